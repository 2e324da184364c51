"""Lime from the soil's pH buffer capacity: measured, or estimated from carbon and clay.

The published estimates disagree 2.6-fold on one soil, so the choice among them is the
agronomist's and the spread of all of them stands beside it.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.agronomy.soil_mass import soil_mass
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table

LIME_PER_CMOL = 0.50043
"""CaCO3 for one cmol of acid per kg of soil [rayment-lyons-2011, 16A1]. [g per cmol]"""

HIGHEST_ORGANIC_CARBON_PERCENT = 6.0
"""Above it the estimates are not used: peat and its like [program-choice]. [%]"""


class BufferFunction(StrEnum):
    """An estimate of the pH buffer capacity from organic carbon, and clay in some."""

    AITKEN_1990 = "aitken-1990"
    WONG_2013 = "wong-2013"
    HOCHMAN = "hochman"
    NOBLE = "noble"
    AITKEN_1998 = "aitken-1998"


@dataclass(frozen=True, slots=True)
class BufferEstimate:
    """The coefficients of one estimate: constant + OC x share + clay x share."""

    key: BufferFunction
    name: str
    constant: float
    per_organic_carbon_percent: float
    per_clay_percent: float
    soils: str
    source: str
    where: str
    grade: Grade


def buffer_estimates() -> tuple[BufferEstimate, ...]:
    """Every estimate there is; all of them unverified, none a default."""
    return read_table("buffer_functions.csv", BufferEstimate)


def buffer_estimate(function: BufferFunction) -> BufferEstimate:
    """The coefficients of one estimate."""
    return next(row for row in buffer_estimates() if row.key is function)


def buffer_capacity(
    function: BufferFunction, *, organic_carbon_percent: ArrayLike, clay_percent: ArrayLike = np.nan
) -> NDArray[np.float64]:
    r"""Acid that lifts or lowers the soil's pH by one unit, estimated.

    Unverified: the coefficients were seen only where others quote them.

    Parameters
    ----------
    function : BufferFunction
        The estimate; there is no default.
    organic_carbon_percent : array_like
        Organic carbon by mass; above 6 % the result is NaN. [%]
    clay_percent : array_like, default NaN
        Clay by mass; only two of the estimates read it. [%]

    Returns
    -------
    ndarray of float
        Buffer capacity; NaN where the estimate lacks what it reads. [cmol H+/kg per pH]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: B = a + b \, OC + c \, clay

    References
    ----------
    .. [1] aitken-1990. Australian Journal of Soil Research 28, 695-701.
    .. [2] wong-2013. Quotes the other four.

    Examples
    --------
    >>> buffer_capacity(BufferFunction.WONG_2013, organic_carbon_percent=[1.5]).round(2)
    array([1.72])
    """
    require_at_least_zero(organic_carbon_percent=organic_carbon_percent, clay_percent=clay_percent)
    row = buffer_estimate(function)
    carbon = np.asarray(organic_carbon_percent, dtype=float)
    # an estimate without clay must not go missing where clay was not measured
    clay = np.asarray(clay_percent, dtype=float) if row.per_clay_percent else np.zeros(())
    fitted = row.constant + row.per_organic_carbon_percent * carbon + row.per_clay_percent * clay
    return np.where(carbon > HIGHEST_ORGANIC_CARBON_PERCENT, np.nan, fitted)


def buffer_capacity_spread(
    *, organic_carbon_percent: ArrayLike, clay_percent: ArrayLike = np.nan
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Lowest and highest estimate of the buffer capacity for the same soil.

    Parameters
    ----------
    organic_carbon_percent : array_like
        Organic carbon by mass. [%]
    clay_percent : array_like, default NaN
        Clay by mass; without it only the estimates from carbon alone count. [%]

    Returns
    -------
    tuple of two ndarrays of float
        NaN where no estimate can be made. [cmol H+/kg per pH]

    Examples
    --------
    >>> low, high = buffer_capacity_spread(organic_carbon_percent=1.5, clay_percent=20.0)
    >>> round(float(high / low), 1)
    2.6
    """
    each = [
        buffer_capacity(
            function, organic_carbon_percent=organic_carbon_percent, clay_percent=clay_percent
        )
        for function in BufferFunction
    ]
    columns = np.broadcast_arrays(*each)
    return np.fmin.reduce(columns), np.fmax.reduce(columns)


def lime_by_buffering(
    ph_gap: ArrayLike,
    buffer_capacity_cmol_kg_ph: ArrayLike,
    *,
    depth_cm: ArrayLike,
    bulk_density_t_m3: ArrayLike,
) -> NDArray[np.float64]:
    r"""Pure lime that lifts a layer's pH by a gap, from its buffer capacity.

    Parameters
    ----------
    ph_gap : array_like
        Target less present pH, both on one scale; none is needed at or below 0. [pH]
    buffer_capacity_cmol_kg_ph : array_like
        Buffer capacity, above 0. [cmol H+/kg per pH]
    depth_cm, bulk_density_t_m3 : array_like
        Thickness and bulk density of the layer. [cm] [t/m³]

    Returns
    -------
    ndarray of float
        Pure CaCO3. [t/ha]

    Raises
    ------
    SoilInputError
        If a buffer capacity, a depth or a density is not above zero.

    Notes
    -----
    .. math:: L = 0.00050043 \, W \, \Delta pH \, B

    Nearly straight from pH(CaCl2) 4.3 to 6; it bends outside.

    References
    ----------
    .. [1] rayment-lyons-2011. Method 16A1.

    Examples
    --------
    >>> lime_by_buffering([0.7], 2.0, depth_cm=10.0, bulk_density_t_m3=1.3).round(3)
    array([0.911])
    """
    require_above_zero(buffer_capacity_cmol_kg_ph=buffer_capacity_cmol_kg_ph)
    gap = np.maximum(np.asarray(ph_gap, dtype=float), 0.0)
    grams_per_kg = LIME_PER_CMOL * gap * np.asarray(buffer_capacity_cmol_kg_ph, dtype=float)
    return np.asarray(soil_mass(depth_cm, bulk_density_t_m3) * grams_per_kg / 1_000.0)
