"""Ratios of nutrients in plant tissue, each for the crop, stage and part it was found for."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.agronomy.tissue import PlantPart, Sampling
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


class RatioPlace(StrEnum):
    """Where a ratio lies against its limits."""

    NONE = ""
    BELOW = "below"
    WITHIN = "within"
    ABOVE = "above"


@dataclass(frozen=True, slots=True)
class TissueRatio:
    """One ratio of two nutrients by mass, with its limits and what passing them means.

    Parameters
    ----------
    key, name : str
        Lasting name for the program, and what people read.
    crop, stage : str
        Crop and stage it was found for.
    part : PlantPart
        Part of the plant.
    numerator, denominator : str
        Symbols of the two elements.
    least, most : float
        Limits; NaN where the source gives none. [-]
    meaning : str
        What the limits mean.
    source, where : str
        Key of the bibliography, and the place in it.
    grade : Grade
        How well it is known.
    """

    key: str
    name: str
    crop: str
    stage: str
    part: PlantPart
    numerator: str
    denominator: str
    least: float
    most: float
    meaning: str
    source: str
    where: str
    grade: Grade


def tissue_ratios(sampling: Sampling) -> tuple[TissueRatio, ...]:
    """Ratios made for just this crop, part and stage; empty where there are none.

    Canola has no N:S here on purpose: its critical value shifts with age [1]_, so its
    total sulfur is judged instead.

    Parameters
    ----------
    sampling : Sampling
        Crop, part and stage in words.

    Returns
    -------
    tuple of TissueRatio
        In the order of the table.

    References
    ----------
    .. [1] pinkerton-1998. Abstract.

    Examples
    --------
    >>> young = Sampling("wheat", PlantPart.WHOLE_SHOOT, stage="young_plants")
    >>> [ratio.key for ratio in tissue_ratios(young)]
    ['wheat_n_s_limit']
    """
    wanted = (sampling.crop, sampling.part, sampling.stage)
    rows = read_table("tissue_ratios.csv", TissueRatio)
    return tuple(row for row in rows if (row.crop, row.part, row.stage) == wanted)


def ratio_of(numerator: ArrayLike, denominator: ArrayLike) -> NDArray[np.float64]:
    """Ratio of two concentrations of the same unit.

    Parameters
    ----------
    numerator, denominator : array_like
        Concentrations of each sample, in the same unit. [% or mg/kg]

    Returns
    -------
    ndarray of float
        Their ratio; NaN where one is missing or the second is zero. [-]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Examples
    --------
    >>> ratio_of([3.0, 3.0], [0.2, 0.0])
    array([15., nan])
    """
    require_at_least_zero(numerator=numerator, denominator=denominator)
    above, below = np.broadcast_arrays(
        np.asarray(numerator, dtype=float), np.asarray(denominator, dtype=float)
    )
    result = np.full(above.shape, math.nan)
    np.divide(above, below, out=result, where=below > 0)
    return result


def place_of_ratio(values: ArrayLike, ratio: TissueRatio) -> NDArray[np.str_]:
    """Where each sample lies against the limits of a ratio.

    Parameters
    ----------
    values : array_like
        Ratio of each sample, as `ratio_of` gives. [-]
    ratio : TissueRatio
        Its limits.

    Returns
    -------
    ndarray of str
        `RatioPlace` of each sample; empty where the ratio is not known.

    Examples
    --------
    >>> young = Sampling("wheat", PlantPart.WHOLE_SHOOT, stage="young_plants")
    >>> print(*place_of_ratio([15.0, 23.0], tissue_ratios(young)[0]))
    within above
    """
    found = np.asarray(values, dtype=float)
    conditions = [np.isnan(found), found < ratio.least, found > ratio.most]
    choices = [str(known) for known in (RatioPlace.NONE, RatioPlace.BELOW, RatioPlace.ABOVE)]
    return np.asarray(np.select(conditions, choices, default=str(RatioPlace.WITHIN)))
