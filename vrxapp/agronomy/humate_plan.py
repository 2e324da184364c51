"""Humate and fertiliser of each place under a policy, with the trail from the uncut rate."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.humate_policy import (
    FertiliserPolicy,
    HumatePolicy,
    capped_humate,
    policy_limit,
)
from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.agronomy.trail import Trail, TrailStep, filled
from vrxapp.errors import MissingInputError
from vrxapp.sources import Grade
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT

_KG_HA = "kg/ha"
_ROUNDING = 1e-9  # a split rate adds up to the whole one only to the last digits


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class HumatePlan:
    """Humate and fertiliser of each place.

    Parameters
    ----------
    uncut_kg_ha : ndarray of float
        Fertiliser before the humate was thought of. [kg/ha]
    humate_kg_ha : ndarray of float
        Humate, worked out from the uncut rate and capped. [kg/ha]
    fertiliser_kg_ha : ndarray of float
        Fertiliser that is kept. [kg/ha]
    off_kg_ha : ndarray of float
        Fertiliser that is not spread; its nutrients are forgone, not replaced. [kg/ha]
    set_rate_kg_ha : ndarray of float
        Both together, as one mix. [kg/ha]
    humate_kg_t : ndarray of float
        Humate for a tonne of the fertiliser that is kept; NaN where there is none. [kg/t]
    is_capped : ndarray of bool
        Where the cap holds the humate back.
    is_overload : ndarray of bool
        Where the most humate meets a fertiliser that nobody cut: warn.
    is_held_by_phosphorus : ndarray of bool
        Where the policy would cut more than the phosphorus allows, or it is not known.
    is_small_rate : ndarray of bool
        Where a cut falls on a small rate of fertiliser: warn.
    trail : Trail
        The steps, for the sentences.
    """

    uncut_kg_ha: NDArray[np.float64]
    humate_kg_ha: NDArray[np.float64]
    fertiliser_kg_ha: NDArray[np.float64]
    off_kg_ha: NDArray[np.float64]
    set_rate_kg_ha: NDArray[np.float64]
    humate_kg_t: NDArray[np.float64]
    is_capped: NDArray[np.bool_]
    is_overload: NDArray[np.bool_]
    is_held_by_phosphorus: NDArray[np.bool_]
    is_small_rate: NDArray[np.bool_]
    trail: Trail


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class _Columns:
    """What the plan is worked out from, each in the same shape."""

    uncut: NDArray[np.float64]
    wanted: NDArray[np.float64]
    humate: NDArray[np.float64]
    off_share: NDArray[np.float64]
    allowed_share: NDArray[np.float64]


def humate_plan(
    fertiliser_kg_ha: ArrayLike,
    policy: HumatePolicy,
    *,
    p_kg_ha: ArrayLike = np.nan,
    least_p_kg_ha: ArrayLike = np.nan,
    fertiliser_price_per_kg: ArrayLike = np.nan,
    other_humate_kg_ha: ArrayLike = 0.0,
) -> HumatePlan:
    r"""Humate beside a fertiliser, and what the policy leaves of the fertiliser.

    Parameters
    ----------
    fertiliser_kg_ha : array_like
        Fertiliser before any cut; NaN stays NaN. [kg/ha]
    policy : HumatePolicy
        The agronomist's choice.
    p_kg_ha : array_like, default NaN
        Phosphorus in the uncut fertiliser; needed for a policy that cuts. [kg P/ha]
    least_p_kg_ha : array_like, default NaN
        Phosphorus below which nothing is cut, as `least_phosphorus` gives. Where it is not
        known nothing is cut. [kg P/ha]
    fertiliser_price_per_kg : array_like, default NaN
        Price of the fertiliser, above 0; needed to pay the humate from it. [currency/kg]
    other_humate_kg_ha : array_like, default 0
        Humate that is spread without this fertiliser; it counts for the cap. [kg/ha]

    Returns
    -------
    HumatePlan
        Columns over places.

    Raises
    ------
    SoilInputError
        If a value lies outside its range.
    MissingInputError
        If the humate is to be paid from a fertiliser without a price.

    Notes
    -----
    The order is: humate from the uncut fertiliser, cap, cut.

    .. math:: H = \min(i F + H_0, cap), \quad F' = F (1 - c)

    Under a share off, :math:`c` is the agronomist's fraction where :math:`H` reaches the cap
    and 0 below it; paid out of the fertiliser it is :math:`H p_H / (F p_F)`. In both it is
    at most what the phosphorus allows.

    References
    ----------
    .. [1] humate-practice. Share, cap, and a cut at the cap alone.
    .. [2] grdc-2020-p-budget. Phosphorus below which nothing is cut.

    Examples
    --------
    Potatoes with 2000 kg/ha of a compound of 5 % P, of which 60 kg P/ha must stay:

    >>> choice = HumatePolicy(
    ...     FertiliserPolicy.SHARE_OFF, share_percent=5.0, cap_kg_ha=20.0, cut_fraction=1 / 3
    ... )
    >>> plan = humate_plan([50.0, 2000.0], choice, p_kg_ha=[2.5, 100.0], least_p_kg_ha=60.0)
    >>> plan.fertiliser_kg_ha.round(1)
    array([  50. , 1333.3])
    >>> plan.set_rate_kg_ha.round(1)
    array([  52.5, 1353.3])
    """
    require_at_least_zero(
        fertiliser_kg_ha=fertiliser_kg_ha,
        p_kg_ha=p_kg_ha,
        least_p_kg_ha=least_p_kg_ha,
        other_humate_kg_ha=other_humate_kg_ha,
    )
    _require_price(policy, fertiliser_price_per_kg)
    uncut, phosphorus, least_p, price, other = (
        np.asarray(column, dtype=float)
        for column in np.broadcast_arrays(
            fertiliser_kg_ha, p_kg_ha, least_p_kg_ha, fertiliser_price_per_kg, other_humate_kg_ha
        )
    )
    wanted = capped_humate(uncut, share_percent=policy.share_percent) + other
    humate = np.asarray(np.minimum(wanted, policy.cap_kg_ha))
    columns = _Columns(
        uncut,
        wanted,
        humate,
        _share_asked_off(policy, uncut, humate, price),
        _share_allowed_off(phosphorus, least_p),
    )
    return _plan(columns, policy)


def _require_price(policy: HumatePolicy, fertiliser_price_per_kg: ArrayLike) -> None:
    """A swap of money needs both prices."""
    if policy.policy is not FertiliserPolicy.PAY_FROM:
        return
    require_above_zero(fertiliser_price_per_kg=fertiliser_price_per_kg)
    if np.any(np.isnan(np.asarray(fertiliser_price_per_kg, dtype=float))):
        raise MissingInputError(
            "the fertiliser's price is not known, so nothing can be taken off it",
            mend="Type the price of one kilogram",
        )


def _share_asked_off(
    policy: HumatePolicy,
    uncut: NDArray[np.float64],
    humate: NDArray[np.float64],
    price: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Share of the fertiliser that the policy takes off, before the phosphorus is looked at."""
    if policy.policy is FertiliserPolicy.KEEP:
        return np.zeros_like(uncut)
    if policy.policy is FertiliserPolicy.SHARE_OFF:
        return np.where(_reaches_cap(humate, policy), policy.cut_fraction, 0.0)
    cost = humate * policy.humate_price_per_kg
    # no more comes off than is there, so the larger of the two is what is shared out
    shared_out = np.maximum(cost, uncut * price)
    return np.where(uncut > 0, cost / np.where(shared_out > 0, shared_out, 1.0), 0.0)


def _share_allowed_off(
    phosphorus: NDArray[np.float64], least_p: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Share that can come off before too little phosphorus is left; 0 where it is not known."""
    has_phosphorus = np.where(phosphorus > 0, phosphorus, np.nan)
    share = np.maximum(phosphorus - least_p, 0.0) / has_phosphorus
    is_free = (phosphorus == 0) & ~np.isnan(least_p)
    return np.where(is_free, 1.0, np.nan_to_num(share, nan=0.0))


def _reaches_cap(humate: NDArray[np.float64], policy: HumatePolicy) -> NDArray[np.bool_]:
    """Where the humate is all that the cap lets through."""
    return np.asarray(humate >= policy.cap_kg_ha * (1 - _ROUNDING))


def _is_overload(
    columns: _Columns, policy: HumatePolicy, off: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Where the most humate meets a fertiliser of which nothing came off."""
    is_full_rate = (off == 0) & (columns.uncut > 0)
    return np.asarray(_reaches_cap(columns.humate, policy) & is_full_rate)


def _plan(columns: _Columns, policy: HumatePolicy) -> HumatePlan:
    """The plan and its warnings."""
    uncut, humate = columns.uncut, columns.humate
    off = uncut * np.minimum(columns.off_share, columns.allowed_share)
    kept = uncut - off
    is_small = uncut <= policy_limit("small_rate").value
    return HumatePlan(
        uncut_kg_ha=uncut,
        humate_kg_ha=humate,
        fertiliser_kg_ha=kept,
        off_kg_ha=off,
        set_rate_kg_ha=kept + humate,
        humate_kg_t=KILOGRAMS_PER_TONNE * humate / np.where(kept > 0, kept, np.nan),
        is_capped=np.asarray(columns.wanted > policy.cap_kg_ha),
        is_overload=_is_overload(columns, policy, off),
        is_held_by_phosphorus=np.asarray(columns.off_share > columns.allowed_share),
        is_small_rate=np.asarray(is_small & (off > 0)),
        trail=Trail((*_humate_steps(columns, policy), *_fertiliser_steps(columns, policy, kept))),
    )


def _humate_steps(columns: _Columns, policy: HumatePolicy) -> tuple[TrailStep, ...]:
    """From the uncut fertiliser to the humate."""
    count = columns.uncut.size
    return (
        TrailStep(
            "uncut",
            "fertiliser before any cut",
            _KG_HA,
            columns.uncut,
            "The fertiliser is {uncut} kg/ha before the humate.",
        ),
        TrailStep(
            "share", "humate by the fertiliser", "%", filled(policy.share_percent, count), ""
        ),
        TrailStep(
            "wanted",
            "humate before the cap",
            _KG_HA,
            columns.wanted,
            "At {share} % of that, with what is spread without it, the humate is {wanted} kg/ha.",
            *_whose(policy.share_percent, "share"),
        ),
        TrailStep(
            "cap",
            "most humate in the season",
            _KG_HA,
            filled(policy.cap_kg_ha, count),
            "The cap holds it at {cap} kg/ha.",
            *_whose(policy.cap_kg_ha, "cap"),
            told=columns.wanted > policy.cap_kg_ha,
        ),
        TrailStep("humate", "humate", _KG_HA, columns.humate, "The humate is {humate} kg/ha."),
    )


def _whose(chosen: float, key: str) -> tuple[str, Grade]:
    """Source and grade of a number: the trade's where it is the common one, else the user's."""
    common = policy_limit(key)
    if chosen == common.value:
        return common.source, common.grade
    return "", Grade.YOURS


def _fraction_chosen(policy: HumatePolicy) -> float:
    """The fraction that the agronomist chose; a swap follows the trade's rule."""
    if policy.policy is FertiliserPolicy.SHARE_OFF:
        return policy.cut_fraction
    return policy_limit("cut_at_cap").value


def _fertiliser_steps(
    columns: _Columns, policy: HumatePolicy, kept: NDArray[np.float64]
) -> tuple[TrailStep, ...]:
    """From the humate to the fertiliser that is kept."""
    off = columns.uncut - kept
    is_full = _is_overload(columns, policy, off)
    return (
        TrailStep(
            "asked",
            "share that the policy takes off",
            "%",
            PERCENT * columns.off_share,
            f"The policy, to {policy.policy.value}, takes {{asked}} % off the fertiliser.",
            *_whose(_fraction_chosen(policy), "cut_at_cap"),
            told=columns.off_share > 0,
        ),
        TrailStep(
            "allowed",
            "share that the phosphorus allows off",
            "%",
            PERCENT * columns.allowed_share,
            "The phosphorus allows {allowed} % at most; where the soil test is not known, nothing.",
            source="grdc-2020-p-budget",
            grade=Grade.PUBLISHED,
            told=columns.off_share > columns.allowed_share,
        ),
        TrailStep("off", "fertiliser not spread", _KG_HA, off, ""),
        TrailStep(
            "kept",
            "fertiliser kept",
            _KG_HA,
            kept,
            "{off} kg/ha come off, so {kept} kg/ha are spread; the humate replaces none of it.",
            told=off > 0,
        ),
        TrailStep(
            "full",
            "most humate on a full fertiliser rate",
            "",
            is_full.astype(float),
            "Warning: the most humate meets a fertiliser that is not cut. A published average of "
            "trials falls as the rate rises; lay a check strip before spending on both.",
            source="zwyf-2024",
            grade=Grade.PUBLISHED,
            told=is_full,
        ),
    )
