"""The phosphorus buffering index in its three forms: from the reading, and from one another."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import SoilInputError

# burkitt-2002: 1000 mg P/kg is added at 1:10, so 10 times what stays in solution is unsorbed
_ADDED_MG_KG, _KG_PER_L = 1000.0, 10.0
_EXPONENT, _OLSEN_FACTOR = 0.41, 4.59
_HIGHEST_SOLUTION_MG_L = _ADDED_MG_KG / _KG_PER_L
_LEAST_SOLUTION_MG_L = 1e-3
_HALVINGS = 50


def pbi_with_colwell(solution_p_mg_l: ArrayLike, colwell_p_mg_kg: ArrayLike) -> NDArray[np.float64]:
    r"""Phosphorus buffering index, with the Colwell P that is already sorbed.

    Parameters
    ----------
    solution_p_mg_l : array_like
        Phosphorus left in solution after 17 h with 1000 mg P/kg at 1:10; above 0, at most
        100. [mg/L]
    colwell_p_mg_kg : array_like
        Colwell P. [mg/kg]

    Returns
    -------
    ndarray of float
        Index; NaN where an input is NaN. [index]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: PBI = (1000 - 10 c + P_{Colwell}) / c^{0.41}

    c: phosphorus left in solution.

    References
    ----------
    .. [1] burkitt-2002. As in Rayment and Lyons 2011, method 9I2a and Table 9.7.

    Examples
    --------
    >>> pbi_with_colwell([6.2], [25.0]).round(2)
    array([455.77])
    """
    return _index(solution_p_mg_l, already_sorbed_mg_kg=colwell_p_mg_kg)


def pbi_with_olsen(solution_p_mg_l: ArrayLike, olsen_p_mg_kg: ArrayLike) -> NDArray[np.float64]:
    r"""Phosphorus buffering index, with the Olsen P that is already sorbed.

    Parameters
    ----------
    solution_p_mg_l : array_like
        Phosphorus left in solution; above 0, at most 100. [mg/L]
    olsen_p_mg_kg : array_like
        Olsen P. [mg/kg]

    Returns
    -------
    ndarray of float
        Index; NaN where an input is NaN. [index]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: PBI = (1000 - 10 c + 4.59 P_{Olsen}) / c^{0.41}

    c: phosphorus left in solution.

    References
    ----------
    .. [1] burkitt-2002. As in Rayment and Lyons 2011, method 9I2a and Table 9.7.

    Examples
    --------
    >>> pbi_with_olsen([60.0], [15.0]).round(2)
    array([87.5])
    """
    sorbed = _OLSEN_FACTOR * np.asarray(olsen_p_mg_kg, dtype=float)
    return _index(solution_p_mg_l, already_sorbed_mg_kg=sorbed)


def pbi_unadjusted(solution_p_mg_l: ArrayLike) -> NDArray[np.float64]:
    r"""Phosphorus buffering index without regard to what is already sorbed.

    Parameters
    ----------
    solution_p_mg_l : array_like
        Phosphorus left in solution; above 0, at most 100. [mg/L]

    Returns
    -------
    ndarray of float
        Index; NaN where an input is NaN. [index]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: PBI = (1000 - 10 c) / c^{0.41}

    c: phosphorus left in solution.

    References
    ----------
    .. [1] burkitt-2002. As in Rayment and Lyons 2011, method 9I2a and Table 9.7.

    Examples
    --------
    >>> pbi_unadjusted([6.2]).round(2)
    array([443.94])
    """
    return _index(solution_p_mg_l, already_sorbed_mg_kg=0.0)


def pbi_from_unadjusted(
    unadjusted_pbi: ArrayLike, colwell_p_mg_kg: ArrayLike
) -> NDArray[np.float64]:
    """Phosphorus buffering index with Colwell P, from the unadjusted one of the same reading.

    Parameters
    ----------
    unadjusted_pbi : array_like
        Index without regard to what is already sorbed, not negative. [index]
    colwell_p_mg_kg : array_like
        Colwell P. [mg/kg]

    Returns
    -------
    ndarray of float
        Index as `pbi_with_colwell` gives it; NaN where an input is NaN. [index]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    The unadjusted index falls steadily with the phosphorus left in solution, so it tells
    that reading, and the reading tells the other index. Nothing but rounding is lost.

    References
    ----------
    .. [1] burkitt-2002. As in Rayment and Lyons 2011, method 9I2a and Table 9.7.

    Examples
    --------
    >>> pbi_from_unadjusted([443.94], [25.0]).round(1)
    array([455.8])
    """
    solution = _solution_p_mg_l(unadjusted_pbi, already_sorbed_mg_kg=0.0)
    return pbi_with_colwell(solution, colwell_p_mg_kg)


def pbi_from_olsen(
    pbi_with_olsen_p: ArrayLike, olsen_p_mg_kg: ArrayLike, colwell_p_mg_kg: ArrayLike
) -> NDArray[np.float64]:
    """Phosphorus buffering index with Colwell P, from the one with Olsen P.

    Parameters
    ----------
    pbi_with_olsen_p : array_like
        Index with Olsen P, not negative. [index]
    olsen_p_mg_kg, colwell_p_mg_kg : array_like
        Olsen P and Colwell P, both measured; neither follows from the other. [mg/kg]

    Returns
    -------
    ndarray of float
        Index as `pbi_with_colwell` gives it; NaN where an input is NaN. [index]

    Raises
    ------
    SoilInputError
        If a value is negative.

    References
    ----------
    .. [1] burkitt-2002. As in Rayment and Lyons 2011, method 9I2a and Table 9.7.

    Examples
    --------
    >>> pbi_from_olsen([87.5], [15.0], [40.0]).round(1)
    array([82.1])
    """
    sorbed = _OLSEN_FACTOR * np.asarray(olsen_p_mg_kg, dtype=float)
    solution = _solution_p_mg_l(pbi_with_olsen_p, already_sorbed_mg_kg=sorbed)
    return pbi_with_colwell(solution, colwell_p_mg_kg)


def _solution_p_mg_l(index: ArrayLike, *, already_sorbed_mg_kg: ArrayLike) -> NDArray[np.float64]:
    """Phosphorus left in solution that gives an index: halved down, as the index falls with it."""
    wanted, sorbed = np.broadcast_arrays(
        np.asarray(index, dtype=float), np.asarray(already_sorbed_mg_kg, dtype=float)
    )
    if np.any(wanted < 0):
        raise SoilInputError(
            "a phosphorus buffering index must not be negative",
            value=f"{np.nanmin(wanted):g}",
            mend="Check the value",
        )
    low = np.full(wanted.shape, _LEAST_SOLUTION_MG_L)
    high = np.full(wanted.shape, _HIGHEST_SOLUTION_MG_L)
    for _ in range(_HALVINGS):
        middle = np.sqrt(low * high)
        is_above = _index(middle, already_sorbed_mg_kg=sorbed) > wanted
        low, high = np.where(is_above, middle, low), np.where(is_above, high, middle)
    # an index that no reading gives never moved one of the two ends
    moved = (low > _LEAST_SOLUTION_MG_L) & ((high < _HIGHEST_SOLUTION_MG_L) | (wanted == 0))
    return np.where(moved & ~np.isnan(sorbed), np.sqrt(low * high), np.nan)


def _index(solution_p_mg_l: ArrayLike, *, already_sorbed_mg_kg: ArrayLike) -> NDArray[np.float64]:
    """Phosphorus sorbed per unit of the solution's phosphorus to the power 0.41."""
    solution = np.asarray(solution_p_mg_l, dtype=float)
    sorbed = np.asarray(already_sorbed_mg_kg, dtype=float)
    wrong = (solution <= 0) | (solution > _HIGHEST_SOLUTION_MG_L)
    if np.any(wrong):
        raise SoilInputError(
            f"the phosphorus left in solution lies above 0 and at most {_HIGHEST_SOLUTION_MG_L:g} "
            f"mg/L; {int(np.sum(wrong))} of {solution.size} values do not fit",
            value=f"{solution[wrong].flat[0]:g}",
            mend="Give the final solution of the sorption test, in mg/L",
        )
    if np.any((sorbed < 0) | np.isinf(sorbed)):
        raise SoilInputError("a soil test must not be negative", mend="Check the value")
    fresh = _ADDED_MG_KG - _KG_PER_L * solution
    return np.asarray((fresh + sorbed) / solution**_EXPONENT)
