"""Classes of laboratory results for the rules: the default scale of a method, as plain words."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.errors import UnknownChoiceError
from vrxapp.soil.interpretation import class_name, interpretation
from vrxapp.soil.interpretation_scales import Scale, default_scale, scales

UNKNOWN = "unknown"
"""Class of a missing result."""


def rating_scale(test: str) -> Scale:
    """The published scale of a method, for all crops and soils.

    Raises
    ------
    UnknownChoiceError
        If there is none: no other method stands in for it.
    """
    found = default_scale(test)
    if found is None:
        known = ", ".join(dict.fromkeys(s.analyte_key for s in scales() if s.is_default))
        raise UnknownChoiceError(
            f"no classes are known for {test!r}; those of another method do not stand in",
            mend=f"There are classes for: {known}",
        )
    return found


def rated(test: str, values: ArrayLike) -> NDArray[np.str_]:
    """The class of each value by the default scale, ``"unknown"`` where it is missing.

    Parameters
    ----------
    test : str
        Key of the analyte, which is one method in one unit.
    values : array_like
        Results in the analyte's unit, not negative.

    Returns
    -------
    ndarray of str
        Names of the classes, in the shape of the values.

    Raises
    ------
    SoilInputError
        If a value is negative or not possible.
    UnknownChoiceError
        If the method has no scale.

    References
    ----------
    .. [1] rayment-lyons-2011. Classes by method.
    .. [2] havlin-1999. Classes of DTPA trace elements.

    Examples
    --------
    >>> rated("esp", [5.9, 6.0, 15.0, 16.0])
    array(['non-sodic', 'sodic', 'sodic', 'strongly sodic'], dtype='<U14')
    """
    return rated_by(rating_scale(test), values)


def rated_by(
    scale: Scale, values: ArrayLike, *, clay_percent: ArrayLike = np.nan
) -> NDArray[np.str_]:
    """The class of each value by one scale, ``"unknown"`` where it has none.

    Parameters
    ----------
    scale : Scale
        The scale.
    values : array_like
        Results in the unit of the scale's analyte, not negative.
    clay_percent : array_like, optional
        Clay, for a scale that asks for it. [%]

    Raises
    ------
    SoilInputError
        If a value is negative or not possible.
    """
    require_at_least_zero(values=values)
    numbers, clay = np.broadcast_arrays(
        np.asarray(values, dtype=float), np.asarray(clay_percent, dtype=float)
    )
    found = interpretation(np.ravel(numbers), scale, clay_percent=np.ravel(clay))
    # -1, no class, picks the last name
    names = np.array([*map(class_name, scale.steps[0].words), UNKNOWN])
    return np.asarray(names[found.class_number].reshape(numbers.shape))
