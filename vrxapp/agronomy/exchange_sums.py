"""Sums of the exchange: effective CEC, aluminium and base saturation, calcium to magnesium.

None of them means much on limy, gypsiferous or saline samples, where free salts count as
exchangeable. A cation that was not measured stays missing and makes the sum missing.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.agronomy.rating_bands import rated
from vrxapp.units import PERCENT

_ROUNDING = 1e-9


def exchangeable_bases(
    calcium_cmol_kg: ArrayLike,
    magnesium_cmol_kg: ArrayLike,
    *,
    potassium_cmol_kg: ArrayLike,
    sodium_cmol_kg: ArrayLike,
) -> NDArray[np.float64]:
    """Sum of calcium, magnesium, potassium and sodium.

    Parameters
    ----------
    calcium_cmol_kg : array_like
        Exchangeable calcium. [cmol(+)/kg]
    magnesium_cmol_kg : array_like
        Exchangeable magnesium. [cmol(+)/kg]
    potassium_cmol_kg : array_like
        Exchangeable potassium. [cmol(+)/kg]
    sodium_cmol_kg : array_like
        Exchangeable sodium. [cmol(+)/kg]

    Returns
    -------
    ndarray of float
        Bases. [cmol(+)/kg]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: bases = Ca + Mg + K + Na

    References
    ----------
    .. [1] rayment-lyons-2011. Method 15L1.

    Examples
    --------
    >>> exchangeable_bases(5.0, [1.5], potassium_cmol_kg=0.4, sodium_cmol_kg=0.3)
    array([7.2])
    """
    cations = {
        "calcium_cmol_kg": calcium_cmol_kg,
        "magnesium_cmol_kg": magnesium_cmol_kg,
        "potassium_cmol_kg": potassium_cmol_kg,
        "sodium_cmol_kg": sodium_cmol_kg,
    }
    require_at_least_zero(**cations)
    columns = np.broadcast_arrays(*(np.asarray(c, dtype=float) for c in cations.values()))
    return np.asarray(np.sum(columns, axis=0))


def effective_cec(
    bases_cmol_kg: ArrayLike, *, aluminium_cmol_kg: ArrayLike, hydrogen_cmol_kg: ArrayLike
) -> NDArray[np.float64]:
    """Effective exchange capacity: bases, aluminium and hydrogen.

    Parameters
    ----------
    bases_cmol_kg : array_like
        Sum of the bases, as `exchangeable_bases` gives. [cmol(+)/kg]
    aluminium_cmol_kg : array_like
        Exchangeable aluminium. [cmol(+)/kg]
    hydrogen_cmol_kg : array_like
        Exchangeable hydrogen. [cmol(+)/kg]

    Returns
    -------
    ndarray of float
        Effective CEC. [cmol(+)/kg]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: ECEC = bases + Al + H

    References
    ----------
    .. [1] rayment-lyons-2011. Method 15J1.

    Examples
    --------
    >>> effective_cec([7.2], aluminium_cmol_kg=0.6, hydrogen_cmol_kg=0.2)
    array([8.])
    """
    require_at_least_zero(
        bases_cmol_kg=bases_cmol_kg,
        aluminium_cmol_kg=aluminium_cmol_kg,
        hydrogen_cmol_kg=hydrogen_cmol_kg,
    )
    acid = np.add(aluminium_cmol_kg, hydrogen_cmol_kg, dtype=float)
    return np.asarray(np.asarray(bases_cmol_kg, dtype=float) + acid)


def saturation_percent(part_cmol_kg: ArrayLike, capacity_cmol_kg: ArrayLike) -> NDArray[np.float64]:
    r"""Share of the exchange that one or more cations hold.

    With aluminium and the effective CEC it is the aluminium saturation, with the bases
    and the CEC the base saturation. Solution strength moves what a crop bears of
    aluminium, so there is no class for it here.

    Parameters
    ----------
    part_cmol_kg : array_like
        The cation, or the sum of several. [cmol(+)/kg]
    capacity_cmol_kg : array_like
        CEC or effective CEC by the same method, above 0. [cmol(+)/kg]

    Returns
    -------
    ndarray of float
        Saturation; NaN where the part is more than the whole, as free lime, gypsum or
        salt in the sample makes it. [%]

    Raises
    ------
    SoilInputError
        If a value is negative or a capacity not above zero.

    Notes
    -----
    .. math:: saturation = 100 \, part / capacity

    References
    ----------
    .. [1] rayment-lyons-2011. Methods 15L1 and 15O1.

    Examples
    --------
    >>> saturation_percent([0.6], 8.0)
    array([7.5])
    """
    require_at_least_zero(part_cmol_kg=part_cmol_kg)
    require_above_zero(capacity_cmol_kg=capacity_cmol_kg)
    share = np.divide(part_cmol_kg, capacity_cmol_kg, dtype=float)
    return np.asarray(np.where(share > 1 + _ROUNDING, np.nan, share * PERCENT))


def base_saturation_class(base_saturation_percent: ArrayLike) -> NDArray[np.str_]:
    """Class of a base saturation: low, medium or high.

    Parameters
    ----------
    base_saturation_percent : array_like
        Share of the exchange that the bases hold. [%]

    Returns
    -------
    ndarray of str
        The class, ``"unknown"`` where it is missing.

    References
    ----------
    .. [1] rayment-lyons-2011. Method 15L1, after Landon 1984.

    Examples
    --------
    >>> base_saturation_class([90.0])
    array(['high'], dtype='<U7')
    """
    return rated("base_saturation", base_saturation_percent)


def calcium_magnesium_ratio(
    calcium_cmol_kg: ArrayLike, magnesium_cmol_kg: ArrayLike
) -> NDArray[np.float64]:
    """Calcium to magnesium by charge: a hint at dispersion below 2, and no target.

    The ratio by itself does not move growth over the range found on farms, so nothing
    here aims at one.

    Parameters
    ----------
    calcium_cmol_kg : array_like
        Exchangeable calcium, never in mg/kg. [cmol(+)/kg]
    magnesium_cmol_kg : array_like
        Exchangeable magnesium, above 0 and never in mg/kg. [cmol(+)/kg]

    Returns
    -------
    ndarray of float
        Calcium to magnesium by charge. [-]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: ratio = Ca / Mg

    References
    ----------
    .. [1] rayment-lyons-2011. Method 15M1.
    .. [2] agricwa-dispersive. Clays and loams disperse more readily below 2.

    Examples
    --------
    >>> calcium_magnesium_ratio([1.2], 0.4).round(2)
    array([3.])
    """
    require_at_least_zero(calcium_cmol_kg=calcium_cmol_kg)
    require_above_zero(magnesium_cmol_kg=magnesium_cmol_kg)
    return np.divide(calcium_cmol_kg, magnesium_cmol_kg, dtype=float)
