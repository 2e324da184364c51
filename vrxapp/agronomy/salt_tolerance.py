"""What a crop loses to salt: nothing up to a threshold, then a straight line."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import PERCENT

GYPSUM_NOTE = "In soil that holds gypsum, plants bear about 2 dS/m more than the table tells."
"""Told beside every loss [maas-1990]."""

SEEDLING_NOTE = "Seedlings of several crops bear less salt than the grown crop."
"""Told beside every loss [maas-1990]."""


@dataclass(frozen=True, slots=True)
class SaltTolerance:
    """Threshold and slope of one crop."""

    crop: str
    name: str
    threshold_ds_m: float
    slope_percent_per_ds_m: float
    source: str
    where: str
    grade: Grade


def salt_tolerances() -> tuple[SaltTolerance, ...]:
    """Every crop of the table; those of field crops are unverified."""
    return read_table("salt_tolerance.csv", SaltTolerance)


def salt_tolerance(crop: str) -> SaltTolerance:
    """The crop with this key.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    for known in salt_tolerances():
        if known.crop == crop:
            return known
    raise UnknownChoiceError(
        f"no salt tolerance is known for {crop!r}",
        mend=f"Choose one of: {', '.join(known.crop for known in salt_tolerances())}",
    )


def relative_yield_under_salt(
    ece_ds_m: ArrayLike, *, threshold_ds_m: ArrayLike, slope_percent_per_ds_m: ArrayLike
) -> NDArray[np.float64]:
    r"""Yield under salt against the same crop without it.

    Parameters
    ----------
    ece_ds_m : array_like
        Conductivity of the saturation extract, mean of the root zone. [dS/m]
    threshold_ds_m : array_like
        ECe that the crop bears without loss. [dS/m]
    slope_percent_per_ds_m : array_like
        Loss for each unit above it. [% per dS/m]

    Returns
    -------
    ndarray of float
        Relative yield, 0 to 100. [%]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: Y = 100 - b \, (EC_e - a)

    a: threshold; b: slope; never above 100 nor below 0.

    References
    ----------
    .. [1] fao-61-salt. Equation 1 of the annex on salt tolerance.

    Examples
    --------
    Potato, threshold 1.7 and slope 12, at 4 dS/m: 100 - 12 x 2.3.

    >>> relative_yield_under_salt([4.0], threshold_ds_m=1.7, slope_percent_per_ds_m=12.0)
    array([72.4])
    """
    require_at_least_zero(ece_ds_m=ece_ds_m, threshold_ds_m=threshold_ds_m)
    require_above_zero(slope_percent_per_ds_m=slope_percent_per_ds_m)
    above = np.maximum(np.subtract(ece_ds_m, threshold_ds_m, dtype=float), 0.0)
    lost = np.asarray(slope_percent_per_ds_m, dtype=float) * above
    return np.asarray(np.clip(PERCENT - lost, 0.0, PERCENT))
