"""Phosphorus over the years: what a soil test becomes, and a build-up factor from the PBI.

Neither is a default. The first needs parameters of the paddock's own; the second was seen
without an author and stays unverified.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero


def soil_phosphorus_after(
    soil_test_mg_kg: ArrayLike,
    fertiliser_p_kg_ha: ArrayLike,
    *,
    rise_per_kg: ArrayLike,
    decline_per_year: ArrayLike,
    years: ArrayLike,
) -> NDArray[np.float64]:
    r"""What a soil test becomes with fertiliser given now and nothing after it.

    Parameters
    ----------
    soil_test_mg_kg : array_like
        Extractable phosphorus now. [mg/kg]
    fertiliser_p_kg_ha : array_like
        Phosphorus given in all. [kg P/ha]
    rise_per_kg : array_like
        Rise of the test for each kilogram, of the paddock's own; there is no default.
        [mg/kg per kg P/ha]
    decline_per_year : array_like
        Share that fades in a year, of the paddock's own; there is no default. [1/year]
    years : array_like
        Time from now. [years]

    Returns
    -------
    ndarray of float
        The test then; NaN where an input is missing. [mg/kg]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: P_t = (P_0 + e F) \, e^{-d t}

    References
    ----------
    .. [1] tyson-2020. The form; its parameters differ from site to site.

    Examples
    --------
    >>> soil_phosphorus_after(
    ...     [40.0], 20.0, rise_per_kg=0.30, decline_per_year=0.08, years=2.0).round(1)
    array([39.2])
    """
    require_at_least_zero(
        soil_test_mg_kg=soil_test_mg_kg,
        fertiliser_p_kg_ha=fertiliser_p_kg_ha,
        rise_per_kg=rise_per_kg,
        decline_per_year=decline_per_year,
        years=years,
    )
    raised = np.add(soil_test_mg_kg, np.multiply(rise_per_kg, fertiliser_p_kg_ha), dtype=float)
    return np.asarray(raised * np.exp(-np.multiply(decline_per_year, years, dtype=float)))


def build_up_factor_from_pbi(pbi: ArrayLike) -> NDArray[np.float64]:
    r"""Phosphorus that lifts Colwell P by one unit, from the PBI; unverified, never a default.

    Parameters
    ----------
    pbi : array_like
        Phosphorus buffering index, above 0. [index]

    Returns
    -------
    ndarray of float
        Factor; NaN where the index is missing. [kg P/ha per mg/kg]

    Raises
    ------
    SoilInputError
        If an index is not above zero.

    Notes
    -----
    .. math:: K = 2.6 + 0.0012 \, PBI

    References
    ----------
    .. [1] build-up-from-pbi. Seen without an author; inside the published 2 to 4 of one guide.

    Examples
    --------
    >>> build_up_factor_from_pbi([60.0]).round(3)
    array([2.672])
    """
    require_above_zero(pbi=pbi)
    return np.asarray(2.6 + 0.0012 * np.asarray(pbi, dtype=float))
