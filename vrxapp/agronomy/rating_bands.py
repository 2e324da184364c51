"""Classes of laboratory results, each for one method: very low to very high, and the like."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.errors import UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table

UNKNOWN = "unknown"
"""Class of a missing result."""


@dataclass(frozen=True, slots=True)
class RatingBand:
    """One class: where it starts, and whether the start itself belongs to it."""

    rating: str
    name: str
    start: float
    start_belongs: str
    unit: str
    source: str
    where: str
    grade: Grade


def rating_bands(rating: str) -> tuple[RatingBand, ...]:
    """The classes of one rating, from the lowest.

    Raises
    ------
    UnknownChoiceError
        If the rating is not in the table: no other method stands in for it.
    """
    rows = read_table("rating_bands.csv", RatingBand)
    found = tuple(row for row in rows if row.rating == rating)
    if not found:
        known = ", ".join(dict.fromkeys(row.rating for row in rows))
        raise UnknownChoiceError(
            f"no classes are known for {rating!r}; those of another method do not stand in",
            mend=f"There are classes for: {known}",
        )
    return found


def rated(rating: str, values: ArrayLike) -> NDArray[np.str_]:
    """The class of each value, ``"unknown"`` where it is missing.

    Parameters
    ----------
    rating : str
        Name of the rating, which is one method in one unit.
    values : array_like
        Results in the rating's unit, not negative.

    Returns
    -------
    ndarray of str
        Names of the classes, in the shape of the values.

    Raises
    ------
    SoilInputError
        If a value is negative.
    UnknownChoiceError
        If the rating is not known.

    References
    ----------
    .. [1] rayment-lyons-2011. Classes by method.
    .. [2] havlin-1999. Classes of DTPA trace elements.

    Examples
    --------
    >>> rated("esp", [5.9, 6.0, 15.0, 16.0])
    array(['non-sodic', 'sodic', 'sodic', 'strongly sodic'], dtype='<U14')
    """
    require_at_least_zero(values=values)
    bands = rating_bands(rating)
    numbers = np.asarray(values, dtype=float)
    # a class printed as "above 15" starts at the next number after 15
    starts = [b.start if b.start_belongs == "yes" else np.nextafter(b.start, np.inf) for b in bands]
    names = np.array([*(band.name for band in bands), UNKNOWN])
    which = np.searchsorted(starts, numbers, side="right") - 1
    return np.asarray(names[np.where(np.isnan(numbers), len(bands), which)])
