"""A whole leaf test: the classes of all its nutrients at once."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.tissue import (
    Sampling,
    TissueClass,
    TissueRange,
    tissue_class,
    tissue_range,
    tissue_ranges,
)
from vrxapp.errors import MissingInputError, SoilInputError, UnknownChoiceError


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class SheetClasses:
    """Classes of a leaf test; rows are samples, columns nutrients.

    Parameters
    ----------
    nutrients : tuple of str
        Symbols of the columns.
    classes : ndarray of str, samples × nutrients
        `TissueClass` of each figure.
    ranges : tuple of TissueRange or None
        The range behind each column; None where none was made for this sample.
    reasons : tuple of str
        Why a column has no classes; empty where it has.
    """

    nutrients: tuple[str, ...]
    classes: NDArray[np.str_]
    ranges: tuple[TissueRange | None, ...]
    reasons: tuple[str, ...]


def sheet_classes(
    results: ArrayLike, nutrients: tuple[str, ...], *, sampling: Sampling, source: str = ""
) -> SheetClasses:
    """Classes of every figure of a leaf test.

    Parameters
    ----------
    results : array_like, samples × nutrients
        Concentrations in dry matter; NaN where there is none. [% for N to Cl, else mg/kg]
    nutrients : tuple of str
        Symbols of the columns.
    sampling : Sampling
        What was sampled, the same for all samples.
    source : str, default ""
        Key of the source to go by, as for `tissue_range`.

    Returns
    -------
    SheetClasses
        Nutrients without a range for this sample stay without a class, and say why.

    Raises
    ------
    UnknownChoiceError
        If not one nutrient has a range for this crop, stage and part.
    SoilInputError
        If the columns do not go together, or a figure cannot be.

    Examples
    --------
    >>> from vrxapp.agronomy.tissue import PlantPart
    >>> shoots = Sampling("wheat", PlantPart.WHOLE_SHOOT, zadoks=30)
    >>> sheet = sheet_classes([[3.0, 0.25]], ("N", "Ca"), sampling=shoots)
    >>> print(*sheet.classes[0])
    deficient adequate
    """
    figures = np.asarray(results, dtype=float)
    if figures.ndim != 2 or figures.shape[1] != len(nutrients):
        raise SoilInputError(
            f"a leaf test of {len(nutrients)} nutrients needs as many columns",
            mend="Give one row a sample and one column a nutrient",
        )
    found = [_range_or_reason(nutrient, sampling, source=source) for nutrient in nutrients]
    ranges = tuple(limits for limits, _ in found)
    if not any(ranges):
        known = dict.fromkeys(str(row.part) for row in tissue_ranges(sampling.crop))
        raise UnknownChoiceError(
            f"no nutrient has a range for this sample of {sampling.crop}",
            mend=found[0][1] or f"Parts with ranges: {', '.join(known)}" if found else "",
        )
    blank = np.full(len(figures), str(TissueClass.NONE))
    columns = [
        blank if limits is None else tissue_class(figures[:, column], limits)
        for column, limits in enumerate(ranges)
    ]
    return SheetClasses(
        nutrients, np.stack(columns, axis=1), ranges, tuple(reason for _, reason in found)
    )


def _range_or_reason(
    nutrient: str, sampling: Sampling, *, source: str
) -> tuple[TissueRange | None, str]:
    """The range of a nutrient, or why it has none."""
    try:
        return tissue_range(nutrient, sampling, source=source), ""
    except (UnknownChoiceError, MissingInputError) as error:
        return None, str(error)
