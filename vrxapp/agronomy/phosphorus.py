"""Phosphorus: what a crop takes away, and what lifts the soil to its critical value.

A value by one soil test is never read against a calibration made for another: there
is no safe conversion between Colwell, Olsen, Bray and Mehlich-3 phosphorus.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero

LOSS_RISK_RATIO = 2.0
"""Colwell P / PBI above which the risk of losing phosphorus is raised [moody-2006]."""


def critical_colwell_for_cropping(pbi: ArrayLike) -> NDArray[np.float64]:
    r"""Colwell P at which wheat reaches 90 % of its maximum yield, from the PBI.

    Unverified: the coefficients are from memory, so this is never a default.

    Parameters
    ----------
    pbi : array_like
        Phosphorus buffering index, 15 to 840; outside it the result is NaN. [index]

    Returns
    -------
    ndarray of float
        Critical Colwell P for the top 10 cm. [mg/kg]

    Raises
    ------
    SoilInputError
        If a PBI is zero or negative.

    Notes
    -----
    .. math:: P_{crit} = 4.6 \, PBI^{0.393}

    References
    ----------
    .. [1] moody-2007. Australian Journal of Soil Research 45, 55-62.

    Examples
    --------
    >>> critical_colwell_for_cropping([100.0]).round(1)
    array([28.1])
    """
    require_above_zero(pbi=pbi)
    index = np.asarray(pbi, dtype=float)
    inside = (index >= 15) & (index <= 840)
    return np.where(inside, 4.6 * index**0.393, np.nan)


def critical_colwell_for_pasture(pbi: ArrayLike) -> NDArray[np.float64]:
    r"""Colwell P at which grass-clover pasture reaches 95 % of its maximum, from the PBI.

    Unverified: the equation is from memory; it agrees with the two published ranges
    that were read (28 to 31 at PBI 60, 37 to 44 at PBI 180). Never a default.

    Parameters
    ----------
    pbi : array_like
        Phosphorus buffering index, up to 840; above it the result is NaN. [index]

    Returns
    -------
    ndarray of float
        Critical Colwell P for the top 10 cm. [mg/kg]

    Raises
    ------
    SoilInputError
        If a PBI is zero or negative.

    Notes
    -----
    .. math:: P_{crit} = 19.6 + 1.1 \, PBI^{0.55}

    References
    ----------
    .. [1] gourley-2007. Department of Primary Industries, Victoria.

    Examples
    --------
    >>> critical_colwell_for_pasture([60.0]).round(1)
    array([30.1])
    """
    require_above_zero(pbi=pbi)
    index = np.asarray(pbi, dtype=float)
    return np.where(index <= 840, 19.6 + 1.1 * index**0.55, np.nan)


def build_up_phosphorus(
    soil_test_mg_kg: ArrayLike, target_mg_kg: ArrayLike, *, factor_kg_ha_per_mg_kg: ArrayLike
) -> NDArray[np.float64]:
    r"""Phosphorus that lifts the soil test to a target, beyond what the crop removes.

    Parameters
    ----------
    soil_test_mg_kg : array_like
        Extractable phosphorus of the top 10 cm. [mg/kg]
    target_mg_kg : array_like
        The value to be reached, by the same test. [mg/kg]
    factor_kg_ha_per_mg_kg : array_like
        Phosphorus that lifts the test by one unit. Published for Colwell: 2 to 4
        [1]_ and 5 to 15 [2]_, which disagree; for Olsen 5 to 15. [kg P/ha per mg/kg]

    Returns
    -------
    ndarray of float
        Build-up, zero where the test is at or above the target. [kg P/ha]

    Raises
    ------
    SoilInputError
        If a value is negative or the factor is not above zero.

    Notes
    -----
    .. math:: P_{build} = \max(0, target - test) \, K

    References
    ----------
    .. [1] mmfs-7-4. Making More from Sheep, tool 7.4.
    .. [2] burkitt-2001. Australian Journal of Agricultural Research 52, 885-897.

    Examples
    --------
    >>> build_up_phosphorus([18.0, 35.0], 30.0, factor_kg_ha_per_mg_kg=3.0)
    array([36.,  0.])
    """
    require_at_least_zero(soil_test_mg_kg=soil_test_mg_kg, target_mg_kg=target_mg_kg)
    require_above_zero(factor_kg_ha_per_mg_kg=factor_kg_ha_per_mg_kg)
    deficit_mg_kg = np.subtract(target_mg_kg, soil_test_mg_kg, dtype=float)
    factor = np.asarray(factor_kg_ha_per_mg_kg, dtype=float)
    return np.asarray(np.maximum(deficit_mg_kg, 0.0) * factor)


def replacement_phosphorus(
    target_yield_t_ha: ArrayLike, removal_kg_t: ArrayLike
) -> NDArray[np.float64]:
    r"""Phosphorus that the harvest carries away.

    Above the critical range it is also the most that pays: inputs at long-term
    off-take gave the best yield and profit [2]_.

    Parameters
    ----------
    target_yield_t_ha : array_like
        Yield aimed at. [t/ha]
    removal_kg_t : array_like
        Phosphorus in one tonne of product. [kg P/t]

    Returns
    -------
    ndarray of float
        Replacement. [kg P/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: P_{repl} = yield \times removal

    References
    ----------
    .. [1] ipni-2012. P nutrient removal and replacement.
    .. [2] grdc-2022-p-balance. Update paper, February 2022.

    Examples
    --------
    >>> replacement_phosphorus([3.0], 3.0)
    array([9.])
    """
    require_at_least_zero(target_yield_t_ha=target_yield_t_ha, removal_kg_t=removal_kg_t)
    return np.multiply(target_yield_t_ha, removal_kg_t, dtype=float)


def has_raised_loss_risk(colwell_p_mg_kg: ArrayLike, pbi: ArrayLike) -> NDArray[np.bool_]:
    """Whether phosphorus is likely to leave the soil with water; false where unknown.

    Parameters
    ----------
    colwell_p_mg_kg : array_like
        Colwell phosphorus of the top 10 cm. [mg/kg]
    pbi : array_like
        Phosphorus buffering index. [index]

    Returns
    -------
    ndarray of bool
        True where Colwell P / PBI is above 2.0.

    Raises
    ------
    SoilInputError
        If a value is negative or a PBI is not above zero.

    References
    ----------
    .. [1] moody-2006. In Rayment and Lyons 2011, Table 9.11.

    Examples
    --------
    >>> has_raised_loss_risk([50.0, 50.0], [20.0, 80.0])
    array([ True, False])
    """
    require_at_least_zero(colwell_p_mg_kg=colwell_p_mg_kg)
    require_above_zero(pbi=pbi)
    return np.divide(colwell_p_mg_kg, pbi, dtype=float) > LOSS_RISK_RATIO


def phosphorus_class(
    soil_test_mg_kg: ArrayLike, *, critical_low_mg_kg: ArrayLike, critical_high_mg_kg: ArrayLike
) -> NDArray[np.str_]:
    """Where a soil test stands against its critical range, in words.

    Parameters
    ----------
    soil_test_mg_kg : array_like
        Extractable phosphorus. [mg/kg]
    critical_low_mg_kg, critical_high_mg_kg : array_like
        Ends of the critical range for the same test. [mg/kg]

    Returns
    -------
    ndarray of str
        ``"below"``, ``"inside"``, ``"above"``, or ``"unknown"`` where a value is missing.

    Examples
    --------
    >>> phosphorus_class([10.0, 13.0], critical_low_mg_kg=12.0, critical_high_mg_kg=15.0)
    array(['below', 'inside'], dtype='<U7')
    """
    test = np.asarray(soil_test_mg_kg, dtype=float)
    return np.select(
        [test < critical_low_mg_kg, test > critical_high_mg_kg, test >= critical_low_mg_kg],
        ["below", "above", "inside"],
        default="unknown",
    )


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class PhosphorusNeed:
    """What each place needs, with the columns it was made from. All in kg P/ha or mg/kg."""

    need_kg_ha: NDArray[np.float64]
    build_up_kg_ha: NDArray[np.float64]
    replacement_kg_ha: NDArray[np.float64]
    target_mg_kg: NDArray[np.float64]
    risk_of_loss: NDArray[np.bool_]


def phosphorus_need(
    soil_test_mg_kg: ArrayLike,
    *,
    critical_low_mg_kg: ArrayLike,
    critical_high_mg_kg: ArrayLike,
    target_yield_t_ha: ArrayLike,
    removal_kg_t: ArrayLike,
    build_up_factor_kg_ha_per_mg_kg: float = np.nan,
    build_up_years: float = 1.0,
    pbi: ArrayLike = np.nan,
) -> PhosphorusNeed:
    r"""Phosphorus that each place needs this season: replacement plus a share of build-up.

    Parameters
    ----------
    soil_test_mg_kg : array_like
        Extractable phosphorus of the top 10 cm; NaN where there is no result. [mg/kg]
    critical_low_mg_kg, critical_high_mg_kg : array_like
        Critical range for the same soil test; build-up aims at its middle. [mg/kg]
    target_yield_t_ha : array_like
        Yield aimed at. [t/ha]
    removal_kg_t : array_like
        Phosphorus carried away with one tonne of product. [kg P/t]
    build_up_factor_kg_ha_per_mg_kg : float, default NaN
        Phosphorus that lifts the test by one unit; NaN leaves build-up out, because
        the published values disagree. [kg P/ha per mg/kg]
    build_up_years : float, default 1
        Years over which build-up is shared. [years]
    pbi : array_like, default NaN
        Phosphorus buffering index; where Colwell P / PBI is above 2.0 there is no
        build-up. NaN where it was not measured or the test is not Colwell. [index]

    Returns
    -------
    PhosphorusNeed
        Need and its parts, in the shape the inputs broadcast to; NaN where there is
        no soil test or no critical range.

    Raises
    ------
    SoilInputError
        If a value lies outside its range; the message names the parameter.

    Notes
    -----
    .. math:: P = yield \times removal + \max(0, target - test) \, K / years

    References
    ----------
    .. [1] ipni-2012. P nutrient removal and replacement.
    .. [2] mmfs-7-4. Making More from Sheep, tool 7.4.
    .. [3] moody-2006. In Rayment and Lyons 2011, Table 9.11.

    Examples
    --------
    Colwell 18 against a critical range of 28 to 32, 3 kg P/ha a unit over 3 years,
    3 t/ha of wheat: 9 + 12 x 3 / 3 = 21 kg P/ha.

    >>> phosphorus_need([18.0], critical_low_mg_kg=28.0, critical_high_mg_kg=32.0,
    ...     target_yield_t_ha=3.0, removal_kg_t=3.0,
    ...     build_up_factor_kg_ha_per_mg_kg=3.0, build_up_years=3.0).need_kg_ha
    array([21.])
    """
    require_above_zero(build_up_years=build_up_years)
    require_at_least_zero(soil_test_mg_kg=soil_test_mg_kg)
    test = np.asarray(soil_test_mg_kg, dtype=float)
    target_mg_kg = (np.asarray(critical_low_mg_kg) + np.asarray(critical_high_mg_kg)) / 2.0
    factor = np.nan_to_num(build_up_factor_kg_ha_per_mg_kg, nan=1.0)
    counted = 0.0 if np.isnan(build_up_factor_kg_ha_per_mg_kg) else 1.0
    risk = has_raised_loss_risk(test, pbi) & np.ones(test.shape, dtype=bool)
    build_up = build_up_phosphorus(test, target_mg_kg, factor_kg_ha_per_mg_kg=factor)
    build_up = build_up * (counted / build_up_years)
    # a place that cannot be judged stays without a need, also where phosphorus is lost
    build_up = np.where(risk & ~np.isnan(build_up), 0.0, build_up)
    replacement = replacement_phosphorus(target_yield_t_ha, removal_kg_t)
    need = build_up + replacement
    return PhosphorusNeed(
        need_kg_ha=need,
        build_up_kg_ha=np.broadcast_to(build_up, need.shape),
        replacement_kg_ha=np.broadcast_to(replacement, need.shape),
        target_mg_kg=np.broadcast_to(target_mg_kg, need.shape),
        risk_of_loss=np.broadcast_to(risk, need.shape),
    )
