"""How much fine earth lies under one hectare: what turns a concentration into an amount."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT

_T_HA_PER_CM = 100.0  # 10 000 m² x 0.01 m of soil at 1 t/m³
_STONE_DENSITY_T_M3 = 2.65  # program-choice: quartz


@dataclass(frozen=True, slots=True)
class TypicalBulkDensity:
    """What a texture often weighs: offered for the user's choice, never taken unasked."""

    texture: str
    low_t_m3: float
    high_t_m3: float
    source: str
    where: str
    grade: Grade


def typical_bulk_densities() -> tuple[TypicalBulkDensity, ...]:
    """Typical bulk densities by texture, unverified: a rate by mass follows them directly."""
    return read_table("bulk_densities.csv", TypicalBulkDensity)


def soil_mass(
    depth_cm: ArrayLike, bulk_density_t_m3: ArrayLike, *, gravel_fraction: ArrayLike = 0.0
) -> NDArray[np.float64]:
    r"""Dry mass of fine earth under one hectare, for one soil layer.

    Parameters
    ----------
    depth_cm : array_like
        Thickness of the layer, above 0. [cm]
    bulk_density_t_m3 : array_like
        Dry mass per volume of fine earth, above 0. [t/m³]
    gravel_fraction : array_like, default 0
        Share of the layer's volume that is stones over 2 mm, below 1. [-]

    Returns
    -------
    ndarray of float
        Mass, in the shape the inputs broadcast to; NaN where an input is NaN. [t/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range; the message names the parameter.

    Notes
    -----
    .. math:: W = 100 \, d \, \rho \, (1 - g)

    d: depth; ρ: bulk density; g: gravel by volume.

    References
    ----------
    .. [1] rayment-lyons-2011. Method 16A1: 10 cm at 1.0 g/cm³ is 1000 t/ha.

    Examples
    --------
    >>> soil_mass(10.0, [1.0, 1.3])
    array([1000., 1300.])
    """
    require_above_zero(depth_cm=depth_cm, bulk_density_t_m3=bulk_density_t_m3)
    require_at_least_zero(gravel_fraction=gravel_fraction)
    if np.any(np.asarray(gravel_fraction, dtype=float) >= 1):
        raise SoilInputError(
            "gravel_fraction must be below 1", mend="Give the share of the volume, 0.2 for 20 %"
        )
    volume = _T_HA_PER_CM * np.asarray(depth_cm, dtype=float)
    fine = np.subtract(1.0, gravel_fraction)
    return np.asarray(volume * np.asarray(bulk_density_t_m3, dtype=float) * fine)


def nutrient_amount(
    concentration_mg_kg: ArrayLike,
    depth_cm: ArrayLike,
    bulk_density_t_m3: ArrayLike,
    *,
    gravel_fraction: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    r"""Amount of a nutrient in one layer from its concentration in the fine earth.

    Parameters
    ----------
    concentration_mg_kg : array_like
        Laboratory result, by mass of fine earth. [mg/kg]
    depth_cm : array_like
        Thickness of the layer, above 0. [cm]
    bulk_density_t_m3 : array_like
        Dry mass per volume of fine earth, above 0. [t/m³]
    gravel_fraction : array_like, default 0
        Share of the layer's volume that is stones over 2 mm, below 1. [-]

    Returns
    -------
    ndarray of float
        Amount; NaN where an input is NaN. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range; the message names the parameter.

    Notes
    -----
    .. math:: q = 0.1 \, c \, d \, \rho \, (1 - g)

    c: concentration; d: depth; ρ: bulk density; g: gravel by volume.

    References
    ----------
    .. [1] rayment-lyons-2011. Method 16A1, for its unit case.

    Examples
    --------
    >>> nutrient_amount([10.0], 10.0, 1.3, gravel_fraction=0.2)
    array([10.4])
    """
    require_at_least_zero(concentration_mg_kg=concentration_mg_kg)
    mass_t_ha = soil_mass(depth_cm, bulk_density_t_m3, gravel_fraction=gravel_fraction)
    grams_per_hectare = np.asarray(concentration_mg_kg, dtype=float) * mass_t_ha
    return np.asarray(grams_per_hectare / KILOGRAMS_PER_TONNE)


def gravel_volume_fraction(
    gravel_mass_percent: ArrayLike,
    bulk_density_t_m3: ArrayLike,
    *,
    stone_density_t_m3: ArrayLike = _STONE_DENSITY_T_M3,
) -> NDArray[np.float64]:
    r"""Share of a layer's volume that is stones, from their share of its mass.

    Laboratories sieve and weigh; a layer holds stones by volume. Taking one for the other
    makes stony soil too poor, since stones are heavier than the earth around them.

    Parameters
    ----------
    gravel_mass_percent : array_like
        Stones over 2 mm, by mass of the whole dry sample, below 100. [%]
    bulk_density_t_m3 : array_like
        Dry mass per volume of the fine earth, above 0. [t/m³]
    stone_density_t_m3 : array_like, default 2.65
        Density of the stones; that of quartz where nobody knows better. [t/m³]

    Returns
    -------
    ndarray of float
        Share of the volume; NaN where an input is NaN. [-]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: g = \frac{m / \rho_s}{m / \rho_s + (1 - m) / \rho}

    m: gravel by mass, as a share; ρ_s: density of the stones; ρ: bulk density.

    References
    ----------
    .. [1] program-choice. The density of quartz for all stones; ironstone is heavier.

    Examples
    --------
    >>> gravel_volume_fraction([40.0], 1.325).round(3)
    array([0.25])
    """
    require_at_least_zero(gravel_mass_percent=gravel_mass_percent)
    require_above_zero(bulk_density_t_m3=bulk_density_t_m3, stone_density_t_m3=stone_density_t_m3)
    share = np.asarray(gravel_mass_percent, dtype=float) / PERCENT
    if np.any(share >= 1):
        raise SoilInputError("gravel_mass_percent must be below 100", mend="Check the value")
    stones = share / np.asarray(stone_density_t_m3, dtype=float)
    earth = (1.0 - share) / np.asarray(bulk_density_t_m3, dtype=float)
    return np.asarray(stones / (stones + earth))
