"""Humate of all passes of a season together: what one of them carries, and what comes off it.

The cap counts every pass, and a cut is decided on the season's fertiliser, so nothing is
gained by splitting a rate. A mix of a fixed share that keeps its fertiliser is held back
where its own humate reaches the cap; what other passes use up of the cap only leaves the
humate out, never the fertiliser.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.critical_values import critical_range
from vrxapp.agronomy.humate_plan import HumatePlan
from vrxapp.agronomy.humate_policy import (
    FertiliserPolicy,
    HumatePolicy,
    capped_humate,
    least_phosphorus,
)
from vrxapp.agronomy.phosphorus import replacement_phosphorus
from vrxapp.agronomy.season_load import season_load
from vrxapp.errors import MissingInputError, VrxError
from vrxapp.inputs.compatibility import require_no_refusal
from vrxapp.inputs.products import Material
from vrxapp.need_plans import Purpose
from vrxapp.prescription.mix import products_of
from vrxapp.prescription.need_rules import LayerRead, ResultsOf
from vrxapp.prescription.phosphorus_by_zone import phosphorus_removal
from vrxapp.prescription.rate_steps import uncut_rate
from vrxapp.prescription.supply import brings, supply_per_kg
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.season import HumateShare, Operation, Season
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT

NeedsOf = Callable[[Season, Purpose], ZoneNeed]
"""What a season's zones need for a purpose."""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class PlannedPass:
    """One pass before any cut and before the machine's steps.

    Parameters
    ----------
    operation : Operation
        The pass.
    uncut_kg_ha : ndarray of float
        Product on each zone; 0 where it spreads none, and all 0 where it cannot be told. [kg/ha]
    doubt : str
        Why it cannot be told; empty where it can.
    """

    operation: Operation
    uncut_kg_ha: NDArray[np.float64]
    doubt: str = ""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class HumateLoad:
    """What one pass is to carry.

    Parameters
    ----------
    uncut_kg_ha, product_kg_ha, cut_kg_ha : ndarray of float
        Product before the policy, what it leaves, and what it takes off. [kg/ha]
    humate_kg_ha : ndarray of float
        Humate with it. [kg/ha]
    asked_kg_ha, before_kg_ha, left_kg_ha : ndarray of float
        Humate by the share alone, what earlier passes bring, and what the cap leaves. [kg/ha]
    is_one_of_several : bool
        Whether other passes of the season bring humate too.
    uncounted : tuple of PlannedPass
        Passes with humate that could not be counted.
    season : HumatePlan
        All passes together.
    """

    uncut_kg_ha: NDArray[np.float64]
    product_kg_ha: NDArray[np.float64]
    cut_kg_ha: NDArray[np.float64]
    humate_kg_ha: NDArray[np.float64]
    asked_kg_ha: NDArray[np.float64]
    before_kg_ha: NDArray[np.float64]
    left_kg_ha: NDArray[np.float64]
    is_one_of_several: bool
    uncounted: tuple[PlannedPass, ...]
    season: HumatePlan


def brings_humate(operation: Operation) -> bool:
    """Whether a pass spreads humate, with its product or as its product."""
    return operation.humate is not None or operation.product.material is Material.HUMATE


def planned_passes(season: Season, needs: NeedsOf) -> tuple[PlannedPass, ...]:
    """Every pass of a season before any cut, each after what the ones before it bring."""
    passes: list[PlannedPass] = []
    for operation in season.operations:
        passes.append(_planned(season, operation, needs=needs, before=passes))
    return tuple(passes)


def least_season_phosphorus(season: Season, results: ResultsOf) -> NDArray[np.float64]:
    """Phosphorus below which no zone is cut, by the season's own soil test and crop. [kg P/ha]

    The upper end of the critical range decides; NaN, and so no cut, without a result.
    """
    critical = season.phosphorus.critical
    removal = phosphorus_removal(season.phosphorus, season.crop)
    test = results(LayerRead(critical.analyte, critical.depth_cm))
    pbi = results(LayerRead("pbi", critical.depth_cm))
    return least_phosphorus(
        replacement_phosphorus(
            season.crop.target_yield_t_ha, removal.kg_per_unit if removal else np.nan
        ),
        soil_p=test.mean,
        critical_p=critical_range(critical, pbi.mean)[1],
    )


def humate_load(
    mine: PlannedPass,
    passes: tuple[PlannedPass, ...],
    *,
    humate: HumateShare,
    before_kg_ha: NDArray[np.float64],
    least_p_kg_ha: NDArray[np.float64],
) -> HumateLoad:
    """What a pass carries under its policy, with all passes of the season counted.

    Parameters
    ----------
    mine : PlannedPass
        The pass, with the rate that its need asks for.
    passes : tuple of PlannedPass
        All passes of the season, this one too.
    humate : HumateShare
        The humate of this pass and its policy.
    before_kg_ha : ndarray of float
        Humate that earlier passes really spread. [kg/ha]
    least_p_kg_ha : ndarray of float
        Phosphorus below which the season is not cut. [kg P/ha]

    Raises
    ------
    MissingInputError
        If the humate is to be paid out of a fertiliser and a price is missing.
    """
    # in the order in which they are made; a pass that is only tried out comes last
    counted = [mine if p.operation is mine.operation else p for p in passes if not p.doubt]
    counted += [] if mine in counted else [mine]
    alike = [p for p in counted if _share_of(p) == humate.share_percent]
    unlike = [p for p in counted if _share_of(p) != humate.share_percent]
    uncut = np.array([p.uncut_kg_ha for p in alike])
    other_humate = np.zeros_like(uncut)
    other_humate[0] = sum(_humate_alone(p) for p in unlike)
    p_of_others = sum(p.uncut_kg_ha * p.operation.product.p_percent / PERCENT for p in unlike)
    load = season_load(
        uncut,
        policy_of(humate),
        p_percent=[p.operation.product.p_percent for p in alike],
        least_p_kg_ha=np.maximum(least_p_kg_ha - p_of_others, 0.0),
        price_per_kg=_prices(alike, humate),
        other_humate_kg_ha=other_humate,
    )
    kept = load.fertiliser_kg_ha[alike.index(mine)]
    asked = capped_humate(mine.uncut_kg_ha, share_percent=humate.share_percent)
    left = np.maximum(humate.cap_kg_ha - before_kg_ha, 0.0)
    others = [p for p in passes if p.operation is not mine.operation and brings_humate(p.operation)]
    return HumateLoad(
        uncut_kg_ha=mine.uncut_kg_ha,
        product_kg_ha=kept,
        cut_kg_ha=mine.uncut_kg_ha - kept,
        humate_kg_ha=np.minimum(asked, left),
        asked_kg_ha=asked,
        before_kg_ha=before_kg_ha,
        left_kg_ha=left,
        is_one_of_several=bool(others),
        uncounted=tuple(p for p in others if p.doubt),
        season=load.season,
    )


def _planned(
    season: Season, operation: Operation, *, needs: NeedsOf, before: list[PlannedPass]
) -> PlannedPass:
    """One pass, or why it cannot be told yet: another pass must not fail for it."""
    count = len(season.zones.ids)
    try:
        require_no_refusal(products_of(operation))
        need = needs(season, operation.purpose)
        supplied = np.zeros(count)
        for earlier in before:
            product = earlier.operation.product
            if brings(product, operation.purpose):
                supplied = supplied + earlier.uncut_kg_ha * supply_per_kg(
                    product, operation.purpose
                )
        rate = uncut_rate(need, supplied, operation)
    except VrxError as error:
        return PlannedPass(operation, np.zeros(count), error.note.message)
    return PlannedPass(operation, np.nan_to_num(rate))


def _share_of(planned: PlannedPass) -> float | None:
    """Share of humate by the product; None where no humate travels with it. [%]"""
    humate = planned.operation.humate
    return None if humate is None else humate.share_percent


def _humate_alone(planned: PlannedPass) -> NDArray[np.float64]:
    """Humate of a pass whose fertiliser is not looked at. [kg/ha]"""
    rate = planned.uncut_kg_ha
    if planned.operation.product.material is Material.HUMATE:
        return rate
    return rate * (_share_of(planned) or 0.0) / PERCENT


def policy_of(humate: HumateShare) -> HumatePolicy:
    """The choice as the rule asks for it."""
    return HumatePolicy(
        humate.policy,
        share_percent=humate.share_percent,
        cap_kg_ha=humate.cap_kg_ha,
        cut_fraction=humate.cut_fraction,
        humate_price_per_kg=humate.product.price_per_tonne / KILOGRAMS_PER_TONNE,
    )


def _prices(alike: list[PlannedPass], humate: HumateShare) -> list[float]:
    """Price of each fertiliser, in the money of the humate. [currency/kg]"""
    products = [p.operation.product for p in alike]
    if humate.policy is FertiliserPolicy.PAY_FROM:
        currencies = {p.currency for p in (*products, humate.product) if p.currency}
        if len(currencies) > 1:
            raise MissingInputError(
                f"prices are in {' and '.join(sorted(currencies))}, so nothing can be taken off",
                mend="Give all prices in one currency",
            )
    return [p.price_per_tonne / KILOGRAMS_PER_TONNE for p in products]
