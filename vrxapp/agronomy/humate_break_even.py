"""What a humate must earn to pay, and what a cut of fertiliser hides.

A cut pays because fertiliser was not bought. That is no evidence that the humate stood
in for it: only plots with the cut alone, beside plots with both, can tell.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.units import KILOGRAMS_PER_TONNE

CUT_IS_NO_PROOF = (
    "The saving is fertiliser that was not bought. It does not show that the humate replaced it: "
    "lay strips with the cut alone beside strips with the cut and the humate."
)
"""To be shown beside each `net_of_cut` [program-choice]."""


def yield_that_pays(cost_per_ha: ArrayLike, *, crop_price_per_t: ArrayLike) -> NDArray[np.float64]:
    r"""Extra yield that pays for a humate that comes on top.

    Parameters
    ----------
    cost_per_ha : array_like
        Cost of the humate. [currency/ha]
    crop_price_per_t : array_like
        Price of the crop at the farm, above 0. [currency/t]

    Returns
    -------
    ndarray of float
        Extra yield. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: \Delta Y = 1000 \, H \, p_H / p_Y

    H p_H: cost of the humate; p_Y: price of the crop.

    Examples
    --------
    20 kg/ha at 3.00 a kg, grain at 350 a tonne:

    >>> yield_that_pays([60.0], crop_price_per_t=350.0).round(1)
    array([171.4])
    """
    require_at_least_zero(cost_per_ha=cost_per_ha)
    require_above_zero(crop_price_per_t=crop_price_per_t)
    cost = np.asarray(cost_per_ha, dtype=float)
    return np.asarray(KILOGRAMS_PER_TONNE * np.divide(cost, crop_price_per_t))


def net_of_cut(
    fertiliser_off_kg_ha: ArrayLike,
    humate_kg_ha: ArrayLike,
    *,
    fertiliser_price_per_kg: ArrayLike,
    humate_price_per_kg: ArrayLike,
) -> NDArray[np.float64]:
    r"""Money left when less fertiliser and some humate are bought; below 0 it costs more.

    Parameters
    ----------
    fertiliser_off_kg_ha : array_like
        Fertiliser not bought. [kg/ha]
    humate_kg_ha : array_like
        Humate bought. [kg/ha]
    fertiliser_price_per_kg : array_like
        Price of the fertiliser. [currency/kg]
    humate_price_per_kg : array_like
        Price of the humate. [currency/kg]

    Returns
    -------
    ndarray of float
        Money left over; show `CUT_IS_NO_PROOF` beside it. [currency/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: M = \Delta F \, p_F - H \, p_H

    ΔF: fertiliser not bought; H: humate; p: their prices.

    Examples
    --------
    A third off 1800 kg/ha at 0.90, and 20 kg/ha of humate at 3.00:

    >>> net_of_cut([600.0], 20.0, fertiliser_price_per_kg=0.9, humate_price_per_kg=3.0)
    array([480.])
    """
    require_at_least_zero(
        fertiliser_off_kg_ha=fertiliser_off_kg_ha,
        humate_kg_ha=humate_kg_ha,
        fertiliser_price_per_kg=fertiliser_price_per_kg,
        humate_price_per_kg=humate_price_per_kg,
    )
    saved = np.multiply(fertiliser_off_kg_ha, fertiliser_price_per_kg, dtype=float)
    return np.asarray(saved - np.multiply(humate_kg_ha, humate_price_per_kg, dtype=float))


def yield_loss_that_eats_it(
    net_per_ha: ArrayLike, *, crop_price_per_t: ArrayLike
) -> NDArray[np.float64]:
    r"""Loss of yield that eats up the money of a cut.

    Parameters
    ----------
    net_per_ha : array_like
        Money that a cut leaves over; below 0 nothing is left to eat. [currency/ha]
    crop_price_per_t : array_like
        Price of the crop at the farm, above 0. [currency/t]

    Returns
    -------
    ndarray of float
        Loss of yield, at least 0. [t/ha]

    Raises
    ------
    SoilInputError
        If the price is not above 0.

    Notes
    -----
    .. math:: Y = \max(0, M) / p

    M: money of the cut; p: price of the crop.

    Examples
    --------
    >>> yield_loss_that_eats_it([540.0], crop_price_per_t=400.0)
    array([1.35])
    """
    require_above_zero(crop_price_per_t=crop_price_per_t)
    net = np.asarray(net_per_ha, dtype=float)
    return np.asarray(np.divide(np.maximum(net, 0.0), crop_price_per_t))
