"""The phosphorus buffering index from the laboratory's own reading, in its three forms."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import SoilInputError

# burkitt-2002: 1000 mg P/kg is added at 1:10, so 10 times what stays in solution is unsorbed
_ADDED_MG_KG, _KG_PER_L = 1000.0, 10.0
_EXPONENT, _OLSEN_FACTOR = 0.41, 4.59
_HIGHEST_SOLUTION_MG_L = _ADDED_MG_KG / _KG_PER_L


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
