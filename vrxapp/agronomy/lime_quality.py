"""How much of a liming material works: neutralising value, fineness, moisture, and its rate."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.agronomy.lime_tables import incorporation_limit
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import PERCENT, mass_fraction, milligrams_per_cmol

SPLIT_ADVICE = (
    "Topdressed lime moves slowly: work this much in, or split it over years and test again "
    "after two to three."
)
"""Advice for a rate above the limit of incorporation [sfs-lime]."""

_MESH_CLASSES = 4
_ROUNDING_PERCENT = 1.5  # the published mesh example adds up to 99


@dataclass(frozen=True, slots=True)
class SizeClass:
    """How much of a size class works; `upper_mm` is NaN where the scheme names none."""

    scheme: str
    size_class: str
    upper_mm: float
    efficiency: float
    source: str
    where: str
    grade: Grade


def size_classes(scheme: str) -> tuple[SizeClass, ...]:
    """The size classes of a scheme, fine to coarse: ``"wa"`` or ``"mesh"``."""
    return tuple(row for row in read_table("lime_fineness.csv", SizeClass) if row.scheme == scheme)


def pure_neutralising_value(formula: str) -> float:
    """Neutralising value of a pure oxide, hydroxide or carbonate of calcium and magnesium.

    Parameters
    ----------
    formula : str
        Formula without brackets: ``"CaMgC2O6"`` is dolomite, ``"CaH2O2"`` slaked lime.

    Returns
    -------
    float
        Neutralising value. [% of pure CaCO3]

    Raises
    ------
    UnknownChoiceError
        If the formula cannot be read.

    References
    ----------
    .. [1] prohaska-2022. Atomic masses.

    Examples
    --------
    >>> round(pure_neutralising_value("CaO"), 1)
    178.5
    """
    return PERCENT * _base_of(formula) / _base_of("CaCO3")


def effective_nv_by_size(
    mass_percent: ArrayLike, nv_percent: ArrayLike, *, upper_mm: ArrayLike
) -> float:
    r"""Effective neutralising value from sieve classes, in the Western Australian form.

    Parameters
    ----------
    mass_percent : array_like
        Share of each sieve class by mass, together 100. [%]
    nv_percent : array_like
        Neutralising value of each class. [% of pure CaCO3]
    upper_mm : array_like
        Upper end of each class; infinite for the coarsest. [mm]

    Returns
    -------
    float
        Effective neutralising value. [% of pure CaCO3]

    Raises
    ------
    SoilInputError
        If a value is negative or the shares do not add up to 100.

    Notes
    -----
    .. math:: ENV = \sum m_i \, NV_i \, k_i / 100

    m: share of a class; NV: its neutralising value; k: how much of it works.

    References
    ----------
    .. [1] dpird-comparing-limes. Table 1.

    Examples
    --------
    >>> round(effective_nv_by_size([91, 8, 1], [92, 72, 62], upper_mm=[0.5, 1.0, np.inf]), 1)
    86.7
    """
    require_at_least_zero(mass_percent=mass_percent, nv_percent=nv_percent)
    shares = _whole(mass_percent)
    classes = size_classes("wa")
    upper = np.asarray(upper_mm, dtype=float)
    works = np.select(
        [upper <= row.upper_mm for row in classes[:-1]],
        [row.efficiency for row in classes[:-1]],
        classes[-1].efficiency,
    )
    return float(np.sum(shares * np.asarray(nv_percent, dtype=float) * works) / PERCENT)


def fineness_by_mesh(mass_percent: ArrayLike) -> float:
    r"""Share of a liming material that is fine enough to work, from four mesh classes.

    Parameters
    ----------
    mass_percent : array_like
        Shares through 60 mesh, 20 to 60, 8 to 20, and coarser, together 100. [%]

    Returns
    -------
    float
        Fineness rating. [%]

    Raises
    ------
    SoilInputError
        If there are not four shares, one is negative, or they do not add up to 100.

    Notes
    -----
    .. math:: F = \sum m_i \, k_i

    m: share of a class; k: how much of it works.

    References
    ----------
    .. [1] rayment-lyons-2011. Method 16A1, note 1.

    Examples
    --------
    >>> round(fineness_by_mesh([78.8, 10, 2.4, 7.8]), 2)
    85.28
    """
    require_at_least_zero(mass_percent=mass_percent)
    shares = _whole(mass_percent)
    if shares.shape != (_MESH_CLASSES,):
        raise SoilInputError(
            "the mesh form has four size classes",
            mend="Give the shares through 60 mesh, 20 to 60, 8 to 20, and coarser",
        )
    return float(np.dot(shares, [row.efficiency for row in size_classes("mesh")]))


def available_value(
    fineness_percent: ArrayLike, nv_percent: ArrayLike, *, moisture_percent: ArrayLike = 0.0
) -> NDArray[np.float64]:
    r"""What of a liming material as delivered acts as pure lime, in the mesh form.

    Parameters
    ----------
    fineness_percent : array_like
        Fineness rating. [%]
    nv_percent : array_like
        Neutralising value of the dry material. [% of pure CaCO3]
    moisture_percent : array_like, default 0
        Water by mass, below 100. [%]

    Returns
    -------
    ndarray of float
        Available value. [% of pure CaCO3]

    Raises
    ------
    SoilInputError
        If a value is negative or the moisture reaches 100.

    Notes
    -----
    .. math:: AV = NV \, F / 100 \, (1 - w / 100)

    NV: neutralising value; F: fineness rating; w: moisture.

    References
    ----------
    .. [1] rayment-lyons-2011. Method 16A1, note 1.

    Examples
    --------
    >>> available_value([85.0], 95.0, moisture_percent=13.0).round(2)
    array([70.25])
    """
    require_at_least_zero(fineness_percent=fineness_percent, nv_percent=nv_percent)
    fine = np.asarray(fineness_percent, dtype=float) / PERCENT
    return np.asarray(fine * np.asarray(nv_percent, dtype=float) * _dry_share(moisture_percent))


def lime_product_rate(
    pure_lime: ArrayLike,
    *,
    effective_nv_percent: ArrayLike,
    moisture_percent: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    r"""Rate of a liming material that acts as an amount of pure lime.

    Parameters
    ----------
    pure_lime : array_like
        Need as pure CaCO3; the result is in the same unit. [t/ha or kg/ha]
    effective_nv_percent : array_like
        Effective neutralising value of the dry material, above 0. [%]
    moisture_percent : array_like, default 0
        Water by mass; 0 where the effective value is of the material as delivered. [%]

    Returns
    -------
    ndarray of float
        Material as delivered. [unit of the need]

    Raises
    ------
    SoilInputError
        If the need is negative, the value is not above 0, or the moisture reaches 100.

    Notes
    -----
    .. math:: R = L / (ENV / 100) / (1 - w / 100)

    L: pure lime; ENV: effective neutralising value; w: moisture.

    References
    ----------
    .. [1] dpird-comparing-limes. Comparing limes.

    Examples
    --------
    >>> lime_product_rate([1.0], effective_nv_percent=[60.0, 90.0]).round(2)
    array([1.67, 1.11])
    """
    require_at_least_zero(pure_lime=pure_lime)
    require_above_zero(effective_nv_percent=effective_nv_percent)
    works = np.asarray(effective_nv_percent, dtype=float) / PERCENT
    return np.asarray(np.asarray(pure_lime, dtype=float) / works / _dry_share(moisture_percent))


def effective_cost(
    price_per_tonne: ArrayLike, *, effective_nv_percent: ArrayLike
) -> NDArray[np.float64]:
    r"""What a tonne of pure lime costs in this material.

    Parameters
    ----------
    price_per_tonne : array_like
        Price of the material, bought, carted and spread. [currency/t]
    effective_nv_percent : array_like
        Effective neutralising value as delivered, above 0. [%]

    Returns
    -------
    ndarray of float
        Price of what acts as a tonne of pure lime. [currency/t]

    Raises
    ------
    SoilInputError
        If the price is negative or the value is not above 0.

    Notes
    -----
    .. math:: cost = price / (ENV / 100)

    ENV: effective neutralising value.

    References
    ----------
    .. [1] dpird-comparing-limes. Comparing limes, Table 2.

    Examples
    --------
    >>> effective_cost([43.0], effective_nv_percent=86.9).round(2)
    array([49.48])
    """
    return lime_product_rate(price_per_tonne, effective_nv_percent=effective_nv_percent)


def is_too_much_on_top(pure_lime_t_ha: ArrayLike, texture: ArrayLike) -> NDArray[np.bool_]:
    """Whether a rate is more than topdressed lime should be; `SPLIT_ADVICE` goes with it.

    Parameters
    ----------
    pure_lime_t_ha : array_like
        Need as pure CaCO3. [t/ha]
    texture : array_like of str
        Texture; where the source tells no limit for it, the lowest one counts.

    Returns
    -------
    ndarray of bool
        Too much on top: it should be worked in or split; no where the need is missing.

    References
    ----------
    .. [1] sfs-lime. Southern Farming Systems, Victoria.

    Examples
    --------
    >>> is_too_much_on_top([1.0, 3.0], "sand")
    array([False,  True])
    """
    return np.asarray(np.asarray(pure_lime_t_ha, dtype=float) > incorporation_limit(texture))


def _whole(mass_percent: ArrayLike) -> NDArray[np.float64]:
    """Shares that add up to the whole, within what rounding may leave."""
    shares = np.asarray(mass_percent, dtype=float)
    total = float(np.sum(shares))
    if not abs(total - PERCENT) <= _ROUNDING_PERCENT:
        raise SoilInputError(
            f"the size classes add up to {total:g} %, not 100 %",
            value=f"{total:g}",
            mend="Give the share of every class, the coarsest too",
        )
    return shares


def _dry_share(moisture_percent: ArrayLike) -> NDArray[np.float64]:
    """Dry mass in one part as delivered. [-]"""
    require_at_least_zero(moisture_percent=moisture_percent)
    moisture = np.asarray(moisture_percent, dtype=float)
    if np.any(moisture >= PERCENT):
        raise SoilInputError("moisture_percent must be below 100", mend="Give water by mass")
    return 1.0 - moisture / PERCENT


def _base_of(formula: str) -> float:
    """Charge of calcium and magnesium in a compound, which is all its base. [cmol/mg]"""
    return sum(mass_fraction(ion, formula) / milligrams_per_cmol(ion) for ion in ("Ca", "Mg"))
