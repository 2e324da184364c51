"""A soluble humate taken in with a starter, as a share of the starter's own mass.

The humate brings no credit: neither nutrients nor yield are counted for it, and the
starter's rate is never cut for it. Only a check strip tells what it did.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.humate_policy import capped_humate
from vrxapp.agronomy.humates import carried_by_dose
from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.inputs.compatibility import require_no_refusal
from vrxapp.inputs.products import Product
from vrxapp.units import PERCENT

COMMON_SHARE_PERCENT = 5.0
"""Share of the starter's mass that is common; offered, never set unasked [humate-practice]."""

COMMON_CAP_KG_HA = 20.0
"""Most humate that is common; offered, never set unasked [humate-practice]."""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class IncludedHumate:
    """Humate beside the starter for each place.

    Parameters
    ----------
    starter_kg_ha : ndarray of float
        Starter, what the need asks for, uncut. [kg/ha]
    humate_kg_ha : ndarray of float
        Humate. [kg/ha]
    set_rate_kg_ha : ndarray of float
        Rate the machine is set to: both together. [kg/ha]
    humic_acid_kg_ha : ndarray of float
        Humic acid in it; NaN where the humate's label does not tell it. [kg/ha]
    is_capped : ndarray of bool
        Held back by the cap.
    share_of_starter_percent : ndarray of float
        Humate by the starter's mass after the cap; one mix can only hold one such
        share. NaN where there is no starter. [%]
    """

    starter_kg_ha: NDArray[np.float64]
    humate_kg_ha: NDArray[np.float64]
    set_rate_kg_ha: NDArray[np.float64]
    humic_acid_kg_ha: NDArray[np.float64]
    is_capped: NDArray[np.bool_]
    share_of_starter_percent: NDArray[np.float64]


def included_humate(
    starter_kg_ha: ArrayLike,
    *,
    starter: Product,
    humate: Product,
    share_percent: float,
    cap_kg_ha: float = math.inf,
) -> IncludedHumate:
    r"""Humate that goes with a starter, and the rate that the machine is set to.

    Parameters
    ----------
    starter_kg_ha : array_like
        Rate of the starter alone; NaN where there is none. [kg/ha]
    starter : Product
        Fertiliser that goes with the seed.
    humate : Product
        Soluble humate; organic carbon with a nitrate is refused.
    share_percent : float
        Humate by the starter's mass, not by the mix's; above 0. [%]
    cap_kg_ha : float, default infinite
        Most humate, above 0. [kg/ha]

    Returns
    -------
    IncludedHumate
        The mix for each place.

    Raises
    ------
    SoilInputError
        If a rate is negative, or the share or the cap is not above 0.
    VrxError
        If the two must not be mixed.

    Notes
    -----
    .. math:: H = \min(i \, F, cap), \quad set = F + H

    F: starter; i: humate by its mass, as a share; cap: most humate.

    References
    ----------
    .. [1] humate-practice. The share and the cap that are common.

    Examples
    --------
    100 kg/ha of MAP with 5 % of its mass as humate:

    >>> from vrxapp.inputs.products import product_called, typical_products
    >>> map_ = product_called("map", typical_products())
    >>> humate = product_called("soluble_humate", typical_products())
    >>> included_humate(100.0, starter=map_, humate=humate, share_percent=5.0).set_rate_kg_ha
    array(105.)
    """
    require_no_refusal((starter, humate))
    require_at_least_zero(starter_kg_ha=starter_kg_ha)
    require_above_zero(share_percent=share_percent)
    if not math.isinf(cap_kg_ha):
        require_above_zero(cap_kg_ha=cap_kg_ha)
    rate = np.asarray(starter_kg_ha, dtype=float)
    wanted = capped_humate(rate, share_percent=share_percent)
    included = np.asarray(np.minimum(wanted, cap_kg_ha))
    has_starter = np.where(rate > 0, rate, np.nan)
    return IncludedHumate(
        starter_kg_ha=rate,
        humate_kg_ha=included,
        set_rate_kg_ha=np.asarray(rate + included),
        humic_acid_kg_ha=np.asarray(carried_by_dose(included, humate.humic_acid_percent)),
        is_capped=np.asarray(wanted > cap_kg_ha),
        share_of_starter_percent=np.asarray(PERCENT * included / has_starter),
    )


def share_of_mix_percent(share_of_starter_percent: float) -> float:
    """Humate by the mass of the mix, from its share by the starter's mass. [%]

    Examples
    --------
    >>> round(share_of_mix_percent(5.0), 3)
    4.762
    """
    require_at_least_zero(share_of_starter_percent=share_of_starter_percent)
    return PERCENT * share_of_starter_percent / (PERCENT + share_of_starter_percent)


def starter_in_mix(mix_mass: ArrayLike, *, share_of_starter_percent: float) -> NDArray[np.float64]:
    r"""Starter in a hopper or in a rate of the mix.

    Parameters
    ----------
    mix_mass : array_like
        Mix in the hopper, or its rate. [kg or kg/ha]
    share_of_starter_percent : float
        Humate by the mass of the starter. [%]

    Returns
    -------
    ndarray of float
        Starter in it. [the unit of the mix]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: F = M / (1 + i / 100)

    M: mix; i: humate by the mass of the starter.

    Examples
    --------
    A machine left at 100 kg/ha spreads less starter than the need asks for:

    >>> starter_in_mix([100.0], share_of_starter_percent=5.0).round(2)
    array([95.24])
    """
    require_at_least_zero(mix_mass=mix_mass)
    kept = 1.0 - share_of_mix_percent(share_of_starter_percent) / PERCENT
    return np.asarray(np.asarray(mix_mass, dtype=float) * kept)


def nutrient_of_mix_percent(starter_percent: float, *, share_of_starter_percent: float) -> float:
    r"""A nutrient by the mass of the mix, none credited to the humate.

    Parameters
    ----------
    starter_percent : float
        The nutrient by the mass of the starter. [%]
    share_of_starter_percent : float
        Humate by the mass of the starter. [%]

    Returns
    -------
    float
        The nutrient by the mass of the mix. [%]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: c_{mix} = c / (1 + i / 100)

    c: nutrient of the starter; i: humate by the mass of the starter.

    Examples
    --------
    >>> round(nutrient_of_mix_percent(21.9, share_of_starter_percent=5.0), 3)
    20.857
    """
    return float(starter_in_mix(starter_percent, share_of_starter_percent=share_of_starter_percent))


def starter_rate_at_cap(cap_kg_ha: float, *, share_percent: float) -> float:
    r"""Rate of starter above which the cap holds the humate back.

    Parameters
    ----------
    cap_kg_ha : float
        Most humate, above 0. [kg/ha]
    share_percent : float
        Humate by the mass of the starter, above 0. [%]

    Returns
    -------
    float
        Rate of starter. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value is not above 0.

    Notes
    -----
    .. math:: F = 100 \, cap / i

    i: humate by the mass of the starter.

    Examples
    --------
    >>> starter_rate_at_cap(20.0, share_percent=5.0)
    400.0
    """
    require_above_zero(cap_kg_ha=cap_kg_ha, share_percent=share_percent)
    return cap_kg_ha * PERCENT / share_percent
