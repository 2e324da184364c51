"""Response curves: what a crop answers to a nutrient, and the rate that pays best.

The form of the curve moves the optimum a long way: on the same trials five of them put it
from 128 to 379 kg N/ha [cerrato-blackmer-1990]. A rate from a curve is no better than the
trials behind it, so the curve's own values come from the agronomist; none is shipped.
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import SoilInputError


def mitscherlich(
    rate_kg_ha: ArrayLike,
    *,
    unfed_yield_t_ha: ArrayLike,
    top_yield_t_ha: ArrayLike,
    curvature_ha_kg: ArrayLike,
) -> NDArray[np.float64]:
    r"""Yield that rises ever more slowly towards a top.

    Parameters
    ----------
    rate_kg_ha : array_like
        Nutrient applied. [kg/ha]
    unfed_yield_t_ha : array_like
        Yield with none of it. [t/ha]
    top_yield_t_ha : array_like
        Yield approached with plenty. [t/ha]
    curvature_ha_kg : array_like
        How fast it rises, above 0. [ha/kg]

    Returns
    -------
    ndarray of float
        Yield; NaN where an input is missing. [t/ha]

    Raises
    ------
    SoilInputError
        If a rate or yield is negative, or the curvature is not above 0.

    Notes
    -----
    .. math:: Y = Y_0 + (A - Y_0)(1 - e^{-cx})

    Y_0: yield with none; A: yield with plenty; c: how fast it rises; x: rate.

    References
    ----------
    .. [1] cerrato-blackmer-1990. The exponential model.

    Examples
    --------
    >>> mitscherlich(
    ...     [0.0, 50.0], unfed_yield_t_ha=3.0, top_yield_t_ha=5.0, curvature_ha_kg=0.02
    ... ).round(3)
    array([3.   , 4.264])
    """
    require_at_least_zero(
        rate_kg_ha=rate_kg_ha, unfed_yield_t_ha=unfed_yield_t_ha, top_yield_t_ha=top_yield_t_ha
    )
    require_above_zero(curvature_ha_kg=curvature_ha_kg)
    unfed = np.asarray(unfed_yield_t_ha, dtype=float)
    gap = np.asarray(top_yield_t_ha, dtype=float) - unfed
    share = -np.expm1(-np.multiply(curvature_ha_kg, rate_kg_ha, dtype=float))
    return np.asarray(unfed + gap * share)


def mitscherlich_optimum(
    *,
    unfed_yield_t_ha: ArrayLike,
    top_yield_t_ha: ArrayLike,
    curvature_ha_kg: ArrayLike,
    crop_price_t: ArrayLike,
    nutrient_price_kg: ArrayLike,
    extra_return: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    r"""Rate at which the last kilogram just earns what is asked of it.

    Parameters
    ----------
    unfed_yield_t_ha : array_like
        Yield with none of the nutrient. [t/ha]
    top_yield_t_ha : array_like
        Yield approached with plenty. [t/ha]
    curvature_ha_kg : array_like
        How fast it rises, above 0. [ha/kg]
    crop_price_t : array_like
        Price of the crop, above 0. [currency/t]
    nutrient_price_kg : array_like
        Price of the nutrient, above 0. [currency/kg]
    extra_return : array_like, default 0
        Return asked for beyond each unit of money spent; 1 doubles it. [-]

    Returns
    -------
    ndarray of float
        Rate; zero where the first kilogram does not pay. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: x^* = \max(0, \ln[c (A - Y_0) p / (r (1 + R))] / c)

    Y_0: yield with none; A: yield with plenty; c: how fast it rises; p: price of the
    crop; r: price of the nutrient; R: return asked for.

    Profit is flat around it, so a rate near the optimum loses little.

    References
    ----------
    .. [1] bachmaier-2012. How far the optimum moves with model and design.

    Examples
    --------
    >>> mitscherlich_optimum(
    ...     unfed_yield_t_ha=3.0,
    ...     top_yield_t_ha=5.0,
    ...     curvature_ha_kg=0.02,
    ...     crop_price_t=300.0,
    ...     nutrient_price_kg=1.50,
    ...     extra_return=[0.0, 1.0],
    ... ).round(1)
    array([104. ,  69.3])
    """
    require_at_least_zero(unfed_yield_t_ha=unfed_yield_t_ha, top_yield_t_ha=top_yield_t_ha)
    require_above_zero(curvature_ha_kg=curvature_ha_kg)
    asked = _asked_t_kg(crop_price_t, nutrient_price_kg, extra_return=extra_return)
    curvature = np.asarray(curvature_ha_kg, dtype=float)
    gap = np.maximum(np.subtract(top_yield_t_ha, unfed_yield_t_ha, dtype=float), 0.0)
    # below 1 the first kilogram earns less than is asked, and the best rate is none
    first_over_asked = np.maximum(curvature * gap / asked, 1.0)
    return np.asarray(np.log(first_over_asked) / curvature)


def linear_plateau(
    rate_kg_ha: ArrayLike,
    *,
    unfed_yield_t_ha: ArrayLike,
    slope_t_kg: ArrayLike,
    knot_kg_ha: ArrayLike,
) -> NDArray[np.float64]:
    r"""Yield that rises in a straight line up to a knot, then stays.

    Parameters
    ----------
    rate_kg_ha : array_like
        Nutrient applied. [kg/ha]
    unfed_yield_t_ha : array_like
        Yield with none of it. [t/ha]
    slope_t_kg : array_like
        Yield for each kilogram below the knot. [t/kg]
    knot_kg_ha : array_like
        Rate beyond which nothing more is gained. [kg/ha]

    Returns
    -------
    ndarray of float
        Yield; NaN where an input is missing. [t/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: Y = a + b \min(x, k)

    a: yield with none; b: slope; x: rate; k: knot.

    References
    ----------
    .. [1] cerrato-blackmer-1990. The linear-plus-plateau model.

    Examples
    --------
    >>> linear_plateau([40.0, 100.0], unfed_yield_t_ha=2.0, slope_t_kg=0.03, knot_kg_ha=80.0)
    array([3.2, 4.4])
    """
    require_at_least_zero(
        rate_kg_ha=rate_kg_ha,
        unfed_yield_t_ha=unfed_yield_t_ha,
        slope_t_kg=slope_t_kg,
        knot_kg_ha=knot_kg_ha,
    )
    paid = np.minimum(np.asarray(rate_kg_ha, dtype=float), np.asarray(knot_kg_ha, dtype=float))
    return np.asarray(np.asarray(unfed_yield_t_ha, dtype=float) + slope_t_kg * paid)


def linear_plateau_optimum(
    *,
    slope_t_kg: ArrayLike,
    knot_kg_ha: ArrayLike,
    crop_price_t: ArrayLike,
    nutrient_price_kg: ArrayLike,
    extra_return: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    r"""The knot where a kilogram below it pays, else nothing.

    Parameters
    ----------
    slope_t_kg : array_like
        Yield for each kilogram below the knot. [t/kg]
    knot_kg_ha : array_like
        Rate beyond which nothing more is gained. [kg/ha]
    crop_price_t : array_like
        Price of the crop, above 0. [currency/t]
    nutrient_price_kg : array_like
        Price of the nutrient, above 0. [currency/kg]
    extra_return : array_like, default 0
        Return asked for beyond each unit of money spent. [-]

    Returns
    -------
    ndarray of float
        Rate; NaN where an input is missing. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: x^* = k \text{ where } b \, p > r (1 + R), \text{ else } 0

    k: knot; b: slope; p: price of the crop; r: price of the nutrient; R: return asked
    for.

    References
    ----------
    .. [1] cerrato-blackmer-1990. The linear-plus-plateau model.

    Examples
    --------
    >>> linear_plateau_optimum(
    ...     slope_t_kg=[0.03, 0.004], knot_kg_ha=80.0, crop_price_t=300.0, nutrient_price_kg=1.5
    ... )
    array([80.,  0.])
    """
    require_at_least_zero(slope_t_kg=slope_t_kg, knot_kg_ha=knot_kg_ha)
    asked = _asked_t_kg(crop_price_t, nutrient_price_kg, extra_return=extra_return)
    slope, knot, least = np.broadcast_arrays(
        np.asarray(slope_t_kg, dtype=float), np.asarray(knot_kg_ha, dtype=float), asked
    )
    rate = np.where(slope > least, knot, 0.0)
    return np.where(np.isnan(slope) | np.isnan(least) | np.isnan(knot), math.nan, rate)


def quadratic(
    rate_kg_ha: ArrayLike,
    *,
    unfed_yield_t_ha: ArrayLike,
    slope_t_kg: ArrayLike,
    bend_t_ha_kg2: ArrayLike,
) -> NDArray[np.float64]:
    r"""Yield on a parabola: it falls again beyond its vertex.

    Parameters
    ----------
    rate_kg_ha : array_like
        Nutrient applied. [kg/ha]
    unfed_yield_t_ha : array_like
        Yield with none of it. [t/ha]
    slope_t_kg : array_like
        Yield of the first kilogram. [t/kg]
    bend_t_ha_kg2 : array_like
        Bend of the curve, below 0. [t·ha/kg²]

    Returns
    -------
    ndarray of float
        Yield; NaN where an input is missing. [t/ha]

    Raises
    ------
    SoilInputError
        If the bend is not below 0, or another value is negative.

    Notes
    -----
    .. math:: Y = a + b x + c x^2

    a: yield with none; b: yield of the first kilogram; c: bend; x: rate.

    References
    ----------
    .. [1] cerrato-blackmer-1990. The quadratic model; it put the optimum too high.

    Examples
    --------
    >>> quadratic([0.0, 125.0], unfed_yield_t_ha=2.0, slope_t_kg=0.02, bend_t_ha_kg2=-6e-5)
    array([2.    , 3.5625])
    """
    require_at_least_zero(
        rate_kg_ha=rate_kg_ha, unfed_yield_t_ha=unfed_yield_t_ha, slope_t_kg=slope_t_kg
    )
    _require_bent_down(bend_t_ha_kg2)
    rate = np.asarray(rate_kg_ha, dtype=float)
    gain = np.multiply(slope_t_kg, rate) + np.multiply(bend_t_ha_kg2, rate**2)
    return np.asarray(np.asarray(unfed_yield_t_ha, dtype=float) + gain)


def quadratic_optimum(
    *,
    slope_t_kg: ArrayLike,
    bend_t_ha_kg2: ArrayLike,
    crop_price_t: ArrayLike,
    nutrient_price_kg: ArrayLike,
    extra_return: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    r"""Rate at which the last kilogram just earns what is asked, never past the vertex.

    Parameters
    ----------
    slope_t_kg : array_like
        Yield of the first kilogram. [t/kg]
    bend_t_ha_kg2 : array_like
        Bend of the curve, below 0. [t·ha/kg²]
    crop_price_t : array_like
        Price of the crop, above 0. [currency/t]
    nutrient_price_kg : array_like
        Price of the nutrient, above 0. [currency/kg]
    extra_return : array_like, default 0
        Return asked for beyond each unit of money spent. [-]

    Returns
    -------
    ndarray of float
        Rate; zero where the first kilogram does not pay. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: x^* = \max(0, (r (1 + R) / p - b) / (2c))

    b: yield of the first kilogram; c: bend; p: price of the crop; r: price of the
    nutrient; R: return asked for.

    References
    ----------
    .. [1] bachmaier-2012. The quadratic model.

    Examples
    --------
    >>> quadratic_optimum(
    ...     slope_t_kg=0.020, bend_t_ha_kg2=-6e-5, crop_price_t=300.0, nutrient_price_kg=[1.5]
    ... ).round(6)
    array([125.])
    """
    require_at_least_zero(slope_t_kg=slope_t_kg)
    _require_bent_down(bend_t_ha_kg2)
    asked = _asked_t_kg(crop_price_t, nutrient_price_kg, extra_return=extra_return)
    bend = np.asarray(bend_t_ha_kg2, dtype=float)
    # a price above zero keeps it short of the vertex
    return np.asarray(np.maximum((asked - np.asarray(slope_t_kg, dtype=float)) / (2 * bend), 0.0))


def margin_over_nutrient(
    yield_t_ha: ArrayLike,
    rate_kg_ha: ArrayLike,
    *,
    crop_price_t: ArrayLike,
    nutrient_price_kg: ArrayLike,
) -> NDArray[np.float64]:
    r"""What the crop brings beyond the cost of the nutrient.

    Parameters
    ----------
    yield_t_ha : array_like
        Yield. [t/ha]
    rate_kg_ha : array_like
        Nutrient it took. [kg/ha]
    crop_price_t : array_like
        Price of the crop. [currency/t]
    nutrient_price_kg : array_like
        Price of the nutrient. [currency/kg]

    Returns
    -------
    ndarray of float
        Margin; NaN where an input is missing. [currency/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: M = Y \, p - x \, r

    Y: yield; x: rate; p: price of the crop; r: price of the nutrient.

    Examples
    --------
    >>> margin_over_nutrient([4.0], [100.0], crop_price_t=300.0, nutrient_price_kg=1.5)
    array([1050.])
    """
    require_at_least_zero(
        yield_t_ha=yield_t_ha,
        rate_kg_ha=rate_kg_ha,
        crop_price_t=crop_price_t,
        nutrient_price_kg=nutrient_price_kg,
    )
    brings = np.multiply(yield_t_ha, crop_price_t, dtype=float)
    return np.asarray(brings - np.multiply(rate_kg_ha, nutrient_price_kg, dtype=float))


def _asked_t_kg(
    crop_price_t: ArrayLike, nutrient_price_kg: ArrayLike, *, extra_return: ArrayLike
) -> NDArray[np.float64]:
    """Crop that a kilogram of nutrient has to bring. [t/kg]"""
    require_above_zero(crop_price_t=crop_price_t, nutrient_price_kg=nutrient_price_kg)
    require_at_least_zero(extra_return=extra_return)
    price_ratio = np.divide(nutrient_price_kg, crop_price_t, dtype=float)
    return np.asarray(price_ratio * np.add(1.0, extra_return))


def _require_bent_down(bend_t_ha_kg2: ArrayLike) -> None:
    """Refuse a parabola that does not bend down; a missing bend may stay missing."""
    if np.any(np.asarray(bend_t_ha_kg2, dtype=float) >= 0):
        raise SoilInputError(
            "bend_t_ha_kg2 must be below zero", mend="A curve that bends up has no best rate"
        )
