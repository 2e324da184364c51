"""A dose of humate set beside what the soil already holds, so that it is seen in proportion."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.humates import cec_added
from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.agronomy.soil_mass import soil_mass
from vrxapp.agronomy.trail import Trail, TrailStep
from vrxapp.sources import Grade
from vrxapp.units import (
    KILOGRAMS_PER_TONNE,
    PERCENT,
    SQUARE_METRES_PER_HECTARE,
    mass_fraction,
    milligrams_per_cmol,
)

_CMOL_PER_MOL = 100.0
_CM_PER_M = 100.0
_GRAMS_PER_KILOGRAM = 1000.0
_KG_MOL_PER_MG_CMOL = 1e-4

_VISIBLE_PERCENT = 8.5
"""Spread of exchangeable cations between laboratories, the least of four [rayment-lyons-2011]."""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class ExchangeInProportion:
    """Exchange capacity of a dose beside the soil's own, for each place.

    Parameters
    ----------
    added_cmol_kg : ndarray of float
        What the dose adds. [cmol(+)/kg]
    share_percent : ndarray of float
        The same by the soil's own capacity; NaN where that is not known. [%]
    dose_for_one_cmol_kg_ha : ndarray of float
        Dose that would add 1 cmol(+)/kg. [kg/ha]
    trail : Trail
        The steps, for the sentences.
    """

    added_cmol_kg: NDArray[np.float64]
    share_percent: NDArray[np.float64]
    dose_for_one_cmol_kg_ha: NDArray[np.float64]
    trail: Trail


def exchange_in_proportion(
    dose_kg_ha: ArrayLike,
    charge_cmol_kg: ArrayLike,
    *,
    soil_cec_cmol_kg: ArrayLike,
    depth_cm: ArrayLike,
    bulk_density_t_m3: ArrayLike,
) -> ExchangeInProportion:
    """What a dose adds to the exchange capacity of a topsoil, beside what is there.

    Parameters
    ----------
    dose_kg_ha : array_like
        Dose of the material. [kg/ha]
    charge_cmol_kg : array_like
        Its charge at the soil's pH (`charge_at_ph`), or the supplier's figure. [cmol/kg]
    soil_cec_cmol_kg : array_like
        The soil's own exchange capacity, above 0; NaN where not measured. [cmol(+)/kg]
    depth_cm, bulk_density_t_m3 : array_like
        Thickness and bulk density of the layer. [cm] [t/m³]

    Returns
    -------
    ExchangeInProportion
        Columns in the shape the inputs broadcast to.

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    References
    ----------
    .. [1] milne-2001. Charge of humic and fulvic acids.

    Examples
    --------
    A sand of 5 and a clay of 30 cmol/kg, 20 kg/ha of pure humic acid at pH 6:

    >>> found = exchange_in_proportion(
    ...     20.0, 268.0, soil_cec_cmol_kg=[5.0, 30.0], depth_cm=10.0, bulk_density_t_m3=1.4
    ... )
    >>> found.share_percent.round(3)
    array([0.077, 0.013])
    """
    require_above_zero(soil_cec_cmol_kg=soil_cec_cmol_kg, charge_cmol_kg=charge_cmol_kg)
    added = cec_added(
        dose_kg_ha, charge_cmol_kg, depth_cm=depth_cm, bulk_density_t_m3=bulk_density_t_m3
    )
    columns = np.broadcast_arrays(
        np.asarray(dose_kg_ha, dtype=float),
        np.asarray(charge_cmol_kg, dtype=float),
        np.asarray(soil_cec_cmol_kg, dtype=float),
        soil_mass(depth_cm, bulk_density_t_m3) * KILOGRAMS_PER_TONNE,
        added,
    )
    dose, charge, own, soil_kg, added = (np.asarray(column) for column in columns)
    share = np.asarray(PERCENT * added / own)
    for_one = np.asarray(soil_kg / charge)
    return ExchangeInProportion(added, share, for_one, _trail(dose, own, share, for_one))


def band_soil_mass(
    *, width_cm: float, depth_cm: float, row_spacing_cm: float, bulk_density_t_m3: float
) -> float:
    r"""Soil of the bands under one hectare: the zone where a banded dose is least diluted.

    Parameters
    ----------
    width_cm : float
        The band across, above 0. [cm]
    depth_cm : float
        The band down, above 0. [cm]
    row_spacing_cm : float
        Distance from row to row, above 0. [cm]
    bulk_density_t_m3 : float
        Bulk density, above 0. [t/m³]

    Returns
    -------
    float
        Mass of the soil in the bands. [t/ha]

    Raises
    ------
    SoilInputError
        If a value is not above 0.

    Notes
    -----
    .. math:: W = 100 \, d \, \rho \, b / r

    d: depth; ρ: bulk density; b: width of the band; r: row spacing.

    Examples
    --------
    >>> band_soil_mass(width_cm=2, depth_cm=2, row_spacing_cm=25, bulk_density_t_m3=1.4)
    22.4
    """
    require_above_zero(
        width_cm=width_cm,
        depth_cm=depth_cm,
        row_spacing_cm=row_spacing_cm,
        bulk_density_t_m3=bulk_density_t_m3,
    )
    band_share = width_cm / row_spacing_cm
    volume_m3_ha = SQUARE_METRES_PER_HECTARE * band_share * depth_cm / _CM_PER_M
    return round(volume_m3_ha * bulk_density_t_m3, 9)


def carbon_share_percent(
    dose_kg_ha: ArrayLike,
    carbon_percent: ArrayLike,
    *,
    soil_carbon_percent: ArrayLike,
    depth_cm: ArrayLike,
    bulk_density_t_m3: ArrayLike,
) -> NDArray[np.float64]:
    r"""Carbon of a dose by the organic carbon of the layer it goes into.

    Parameters
    ----------
    dose_kg_ha : array_like
        Dose. [kg/ha]
    carbon_percent : array_like
        Carbon by the mass of the dose. [%]
    soil_carbon_percent : array_like
        Organic carbon of the soil, above 0. [%]
    depth_cm : array_like
        Thickness of the layer, above 0. [cm]
    bulk_density_t_m3 : array_like
        Dry mass per volume of fine earth, above 0. [t/m³]

    Returns
    -------
    ndarray of float
        Carbon of the dose as a share of the soil's organic carbon. [%]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: share = 100 \, D \, C_D / (W \, C_{soil})

    D: dose; C_D: its carbon; W: mass of the layer; C_soil: the soil's organic carbon.

    Examples
    --------
    >>> carbon_share_percent(
    ...     [20.0], 40.0, soil_carbon_percent=1.0, depth_cm=10.0, bulk_density_t_m3=1.4
    ... ).round(3)
    array([0.057])
    """
    require_at_least_zero(dose_kg_ha=dose_kg_ha, carbon_percent=carbon_percent)
    require_above_zero(soil_carbon_percent=soil_carbon_percent)
    soil_kg = soil_mass(depth_cm, bulk_density_t_m3) * KILOGRAMS_PER_TONNE
    dose_carbon = np.multiply(dose_kg_ha, carbon_percent, dtype=float)
    soil_carbon = soil_kg * np.asarray(soil_carbon_percent, dtype=float)
    return np.asarray(PERCENT * dose_carbon / soil_carbon)


def charge_of_dose(dose_kg_ha: ArrayLike, charge_cmol_kg: ArrayLike) -> NDArray[np.float64]:
    r"""Charge that a dose brings, to set beside what it is said to bind.

    Parameters
    ----------
    dose_kg_ha : array_like
        Dose, or the mass of the soil to set beside it. [kg/ha]
    charge_cmol_kg : array_like
        Charge of the dose, or exchangeable cations of the soil. [cmol/kg]

    Returns
    -------
    ndarray of float
        Charge. [mol/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: Q = D \, q / 100

    D: dose; q: its charge.

    Examples
    --------
    20 kg/ha of humate, and the calcium of 10 cm of soil at 4 cmol/kg:

    >>> charge_of_dose([20.0, 1_400_000.0], [450.0, 4.0])
    array([   90., 56000.])
    """
    require_at_least_zero(dose_kg_ha=dose_kg_ha, charge_cmol_kg=charge_cmol_kg)
    return np.multiply(dose_kg_ha, charge_cmol_kg, dtype=float) / _CMOL_PER_MOL


def charge_per_phosphorus(
    dose_kg_ha: ArrayLike, charge_cmol_kg: ArrayLike, *, p_kg_ha: ArrayLike
) -> NDArray[np.float64]:
    r"""Charge of a dose for each mole of phosphorus that it is said to protect.

    Parameters
    ----------
    dose_kg_ha : array_like
        Dose. [kg/ha]
    charge_cmol_kg : array_like
        Charge of the dose by its mass. [cmol/kg]
    p_kg_ha : array_like
        Phosphorus of the dressing, above 0. [kg P/ha]

    Returns
    -------
    ndarray of float
        Moles of charge for a mole of phosphorus: far below 1, it cannot hold off the
        calcium of a whole dressing. [mol/mol]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: ratio = (D \, q / 100) / (1000 \, P / 30.974)

    D: dose; q: its charge; P: phosphorus.

    References
    ----------
    .. [1] prohaska-2022. Atomic mass of phosphorus.

    Examples
    --------
    >>> charge_per_phosphorus([20.0], 450.0, p_kg_ha=20.0).round(2)
    array([0.14])
    """
    require_above_zero(p_kg_ha=p_kg_ha)
    phosphorus_by_potassium = mass_fraction("P", "PK") / mass_fraction("K", "PK")
    kg_per_mol = phosphorus_by_potassium * milligrams_per_cmol("K") * _KG_MOL_PER_MG_CMOL
    phosphorus_mol_ha = np.asarray(p_kg_ha, dtype=float) / kg_per_mol
    return np.asarray(charge_of_dose(dose_kg_ha, charge_cmol_kg) / phosphorus_mol_ha)


def field_rate_of_pot_dose(
    dose_g_kg_soil: ArrayLike, *, depth_cm: ArrayLike, bulk_density_t_m3: ArrayLike
) -> NDArray[np.float64]:
    r"""A dose of a pot trial as kg/ha: most are hundreds of times what a paddock gets.

    Parameters
    ----------
    dose_g_kg_soil : array_like
        Dose by the mass of soil in the pot. [g/kg]
    depth_cm : array_like
        Thickness of the layer that the pot stands for, above 0. [cm]
    bulk_density_t_m3 : array_like
        Dry mass per volume of fine earth in that layer, above 0. [t/m³]

    Returns
    -------
    ndarray of float
        The same dose in the paddock. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: D = 100 \, d \, \rho \, g

    d: depth; ρ: bulk density; g: dose in the pot.

    Examples
    --------
    >>> field_rate_of_pot_dose([2.5], depth_cm=10.0, bulk_density_t_m3=1.4)
    array([3500.])
    """
    require_at_least_zero(dose_g_kg_soil=dose_g_kg_soil)
    soil_kg = soil_mass(depth_cm, bulk_density_t_m3) * KILOGRAMS_PER_TONNE
    return np.asarray(soil_kg * np.asarray(dose_g_kg_soil, dtype=float) / _GRAMS_PER_KILOGRAM)


def _trail(
    dose: NDArray[np.float64],
    own: NDArray[np.float64],
    share: NDArray[np.float64],
    for_one: NDArray[np.float64],
) -> Trail:
    """The proportion in sentences; the share is printed in thousandths, for it is that small."""
    return Trail(
        (
            TrailStep("dose", "humate", "kg/ha", dose, ""),
            TrailStep("own", "exchange capacity of the soil", "cmol(+)/kg", own, ""),
            TrailStep(
                "share",
                "exchange capacity added, by the soil's own",
                "thousandths",
                10.0 * share,
                "{dose} kg/ha of humate adds {share} thousandths to the soil's exchange capacity "
                "of {own} cmol(+)/kg; no laboratory can see that.",
                source="milne-2001",
                grade=Grade.PUBLISHED,
                told=share < _VISIBLE_PERCENT,
            ),
            TrailStep(
                "for_one",
                "dose for 1 cmol(+)/kg more",
                "kg/ha",
                for_one,
                "One cmol(+)/kg more would take {for_one} kg/ha.",
            ),
        )
    )
