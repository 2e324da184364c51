"""Metals that a humate or a brown coal may hold: a screen, and what a rate brings."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.agronomy.soil_mass import soil_mass
from vrxapp.errors import UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table

_GRAMS_PER_MILLIGRAM = 1e-3


@dataclass(frozen=True, slots=True)
class MetalLimit:
    """Most of a metal in the dry matter; European, for want of a limit made for humates.

    Parameters
    ----------
    metal, name : str
        Symbol, and name.
    highest_mg_kg : float
        Highest content allowed in the dry matter. [mg/kg]
    source, where : str
        Key of the bibliography, and the place in it.
    grade : Grade
        How well it is known.
    """

    metal: str
    name: str
    highest_mg_kg: float
    source: str
    where: str
    grade: Grade


def humate_metal_limits() -> tuple[MetalLimit, ...]:
    """The limits that a humate is screened by."""
    return read_table("humate_metals.csv", MetalLimit)


def metals_above_limit(content_mg_kg: Mapping[str, float]) -> tuple[MetalLimit, ...]:
    """The limits that an analysis goes past.

    Parameters
    ----------
    content_mg_kg : mapping of str to float
        Metals by symbol, in dry matter; NaN where one lies below detection. [mg/kg]

    Returns
    -------
    tuple of MetalLimit
        Limits it goes past; ask the supplier and do not spread.

    Raises
    ------
    UnknownChoiceError
        If there is no limit for a metal.

    Examples
    --------
    >>> [limit.name for limit in metals_above_limit({"Cd": 2.0, "Pb": 20.0})]
    ['Cadmium']
    """
    limits = {limit.metal: limit for limit in humate_metal_limits()}
    unknown = sorted(content_mg_kg.keys() - limits.keys())
    if unknown:
        raise UnknownChoiceError(
            f"no limit is known for {', '.join(unknown)}", mend=f"Choose from {', '.join(limits)}"
        )
    return tuple(
        limits[metal]
        for metal, content in content_mg_kg.items()
        if content > limits[metal].highest_mg_kg
    )


def metal_load(dose_kg_ha: ArrayLike, content_mg_kg: ArrayLike) -> NDArray[np.float64]:
    r"""Metal that a dose brings.

    Parameters
    ----------
    dose_kg_ha : array_like
        Dose of the product, dry. [kg/ha]
    content_mg_kg : array_like
        Metal in its dry matter. [mg/kg]

    Returns
    -------
    ndarray of float
        Metal brought. [g/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: L = D \, c / 1000

    D: dose; c: content.

    Examples
    --------
    >>> metal_load([500.0], 40.0)
    array([20.])
    """
    require_at_least_zero(dose_kg_ha=dose_kg_ha, content_mg_kg=content_mg_kg)
    return np.multiply(dose_kg_ha, content_mg_kg, dtype=float) * _GRAMS_PER_MILLIGRAM


def metal_rise(
    load_g_ha: ArrayLike, *, depth_cm: ArrayLike, bulk_density_t_m3: ArrayLike
) -> NDArray[np.float64]:
    r"""What a load of metal adds to a layer of soil.

    Parameters
    ----------
    load_g_ha : array_like
        Metal that is brought. [g/ha]
    depth_cm : array_like
        Thickness of the layer that it is mixed into, above 0. [cm]
    bulk_density_t_m3 : array_like
        Dry mass per volume of fine earth, above 0. [t/m³]

    Returns
    -------
    ndarray of float
        Rise of the metal in the layer. [mg/kg]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: r = L / (100 \, d \, \rho)

    L: load; d: depth; ρ: bulk density.

    Examples
    --------
    >>> metal_rise([20.0], depth_cm=10.0, bulk_density_t_m3=1.4).round(4)
    array([0.0143])
    """
    require_at_least_zero(load_g_ha=load_g_ha)
    # a gram in a tonne is a milligram in a kilogram
    return np.asarray(np.asarray(load_g_ha, dtype=float) / soil_mass(depth_cm, bulk_density_t_m3))
