"""Quality of a gypsum: its purity, the product that holds an amount, and what it brings."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import SoilInputError
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT, mass_fraction

GYPSUM = "CaSO6H4"
"""CaSO4.2H2O, written without its point."""

_ROUNDING_PERCENT = 1.0  # a label may round 18.62 to 18.7


def gypsum_purity(sulfur_percent: ArrayLike) -> NDArray[np.float64]:
    r"""Purity of a dry gypsum from its sulfur.

    Parameters
    ----------
    sulfur_percent : array_like
        Sulfur of the dry product, up to that of pure gypsum, 18.6. [%]

    Returns
    -------
    ndarray of float
        Share of CaSO4.2H2O. [%]

    Raises
    ------
    SoilInputError
        If a value is negative or above what pure gypsum holds.

    Notes
    -----
    .. math:: purity = 100 \, S / 18.62

    S: sulfur of the dry product.

    References
    ----------
    .. [1] prohaska-2022. Atomic masses; pure gypsum holds 18.62 % S.

    Examples
    --------
    >>> gypsum_purity([12.0]).round(1)
    array([64.4])
    """
    require_at_least_zero(sulfur_percent=sulfur_percent)
    pure_percent = mass_fraction("S", GYPSUM) * PERCENT
    purity = np.divide(sulfur_percent, pure_percent, dtype=float) * PERCENT
    if np.any(purity > PERCENT + _ROUNDING_PERCENT):
        raise SoilInputError(
            f"gypsum cannot hold more than {pure_percent:.1f} % sulfur",
            value=f"{float(np.nanmax(np.asarray(sulfur_percent, dtype=float))):g}",
            mend="Check the analysis: anhydrite or elemental sulfur in it is no gypsum",
        )
    return np.asarray(np.minimum(purity, PERCENT))


def gypsum_product(pure_t_ha: ArrayLike, purity_percent: ArrayLike) -> NDArray[np.float64]:
    """Dry product that holds an amount of pure gypsum.

    Parameters
    ----------
    pure_t_ha : array_like
        Pure gypsum. [t/ha]
    purity_percent : array_like
        Share of it in the dry product, above 0 and up to 100. [%]

    Returns
    -------
    ndarray of float
        Dry product. [t/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: R = G / (purity / 100)

    G: pure gypsum.

    Examples
    --------
    >>> gypsum_product([4.0], 80.0)
    array([5.])
    """
    require_at_least_zero(pure_t_ha=pure_t_ha)
    return np.asarray(np.divide(pure_t_ha, _share(purity_percent), dtype=float))


def sulfur_in_gypsum(product_t_ha: ArrayLike, purity_percent: ArrayLike) -> NDArray[np.float64]:
    r"""Sulfur that an amount of gypsum brings, to be counted before any other sulfur.

    Parameters
    ----------
    product_t_ha : array_like
        Dry product. [t/ha]
    purity_percent : array_like
        Share of CaSO4.2H2O, above 0 and up to 100. [%]

    Returns
    -------
    ndarray of float
        Sulfur. [kg S/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: S = 1000 \, R \, 0.1862 \, purity / 100

    R: dry product.

    References
    ----------
    .. [1] prohaska-2022. Atomic masses.

    Examples
    --------
    >>> sulfur_in_gypsum([2.0], 80.0).round(1)
    array([297.9])
    """
    return _brought("S", product_t_ha, purity_percent)


def calcium_in_gypsum(product_t_ha: ArrayLike, purity_percent: ArrayLike) -> NDArray[np.float64]:
    r"""Calcium that an amount of gypsum brings; it does not raise the pH.

    Parameters
    ----------
    product_t_ha : array_like
        Dry product. [t/ha]
    purity_percent : array_like
        Share of CaSO4.2H2O, above 0 and up to 100. [%]

    Returns
    -------
    ndarray of float
        Calcium. [kg Ca/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: Ca = 1000 \, R \, 0.2328 \, purity / 100

    R: dry product.

    References
    ----------
    .. [1] prohaska-2022. Atomic masses.

    Examples
    --------
    >>> calcium_in_gypsum([1.0], 100.0).round(1)
    array([232.8])
    """
    return _brought("Ca", product_t_ha, purity_percent)


def _brought(
    element: str, product_t_ha: ArrayLike, purity_percent: ArrayLike
) -> NDArray[np.float64]:
    """What the product brings of an element. [kg/ha]"""
    require_at_least_zero(product_t_ha=product_t_ha)
    pure_kg_ha = np.asarray(product_t_ha, dtype=float) * _share(purity_percent)
    return np.asarray(pure_kg_ha * KILOGRAMS_PER_TONNE * mass_fraction(element, GYPSUM))


def _share(purity_percent: ArrayLike) -> NDArray[np.float64]:
    """Purity as a share, checked."""
    require_above_zero(purity_percent=purity_percent)
    percent = np.asarray(purity_percent, dtype=float)
    if np.any(percent > PERCENT):
        raise SoilInputError("purity_percent must not be above 100", mend="Give a share by mass")
    return percent / PERCENT
