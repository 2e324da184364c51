"""What the season's budget leaves short, zone by zone and operation by operation."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.trail import printed_value
from vrxapp.prescription.pipeline import (
    budget_reach,
    full_plans,
    prescription,
    supplied_before,
)
from vrxapp.prescription.season_cut import priority, season_cut, unbudgeted
from vrxapp.prescription.supply import brings, supply_per_kg
from vrxapp.season import Operation, Season, SeasonBudget
from vrxapp.units import PERCENT

_LEAST_TOLD = 0.005


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Shortfall:
    """What the budget takes from one operation.

    Parameters
    ----------
    operation : Operation
        The pass.
    share : float
        Share of its full rates that is paid; 1 where it is not counted. [-]
    lack : str
        Why it takes no part in the budget; empty where it does.
    full_cost, cost : float
        Money in full and within the budget; NaN where not counted. [currency]
    full_kg_ha, rates_kg_ha : ndarray of float
        Rate of each zone without and within the budget. [kg/ha]
    short : ndarray of float
        Need of each zone that stays uncovered because of the budget. What it cut from an
        earlier operation for the same need is counted there, not here again. [need_unit]
    need_unit : str
        Unit of the need.
    """

    operation: Operation
    share: float
    lack: str
    full_cost: float
    cost: float
    full_kg_ha: NDArray[np.float64]
    rates_kg_ha: NDArray[np.float64]
    short: NDArray[np.float64]
    need_unit: str


def whole_cost(season: Season) -> float:
    """What all operations that can be priced would cost in full. [currency]"""
    budget = season.budget or SeasonBudget(0.0, budget_currency(season))
    return season_cut(full_plans(season), budget).whole_cost


def budget_currency(season: Season) -> str:
    """The currency of the budget, else that of the first price there is."""
    if season.budget is not None and season.budget.currency:
        return season.budget.currency
    priced = (o.product for o in season.operations if not math.isnan(o.product.price_per_tonne))
    return next((product.currency for product in priced if product.currency), "")


def shortfalls(season: Season) -> tuple[Shortfall, ...]:
    """What the budget takes from each operation, in the order of priority; none without one."""
    cut = budget_reach(season)
    if cut is None or season.budget is None:
        return ()
    return tuple(
        _shortfall(
            season,
            operation,
            share=cut.share[row],
            lack=cut.lacks[row],
            full_cost=cut.full_cost[row],
        )
        for operation in priority(season.operations, season.budget)
        for row in (season.operations.index(operation),)
    )


def _shortfall(
    season: Season, operation: Operation, *, share: float, lack: str, full_cost: float
) -> Shortfall:
    """What the budget takes from one operation."""
    if lack:
        nothing = np.full(len(season.zones.ids), math.nan)
        return Shortfall(
            operation, 1.0, lack, math.nan, math.nan, nothing, nothing, nothing, need_unit=""
        )
    full = unbudgeted(season)
    before, after = prescription(full, operation), prescription(season, operation)
    per_kg = supply_per_kg(operation.product, operation.purpose)
    supplied = supplied_before(full, operation).settled
    left = supplied - _lost_beside(season, full, operation)
    open_before = np.maximum(before.need - supplied - before.product_kg_ha * per_kg, 0.0)
    open_after = np.maximum(before.need - left - after.product_kg_ha * per_kg, 0.0)
    return Shortfall(
        operation,
        share,
        lack,
        full_cost,
        after.totals.cost,
        before.rates_kg_ha,
        after.rates_kg_ha,
        np.maximum(open_after - open_before, 0.0),
        after.need_unit,
    )


def _lost_beside(season: Season, full: Season, operation: Operation) -> NDArray[np.float64]:
    """What the budget cut from earlier operations for other needs that would have counted here."""
    lost = np.zeros(len(season.zones.ids))
    for earlier in season.operations[: season.operations.index(operation)]:
        if earlier.purpose is not operation.purpose and brings(earlier.product, operation.purpose):
            cut = (
                prescription(full, earlier).product_kg_ha
                - prescription(season, earlier).product_kg_ha
            )
            per_kg = supply_per_kg(earlier.product, operation.purpose)
            lost = lost + np.nan_to_num(cut) * per_kg
    return lost


def shortfall_lines(season: Season) -> tuple[str, ...]:
    """What falls short where, one sentence an operation; empty without a budget."""
    names = season.zones.names
    return tuple(_line(short, names) for short in shortfalls(season))


def _line(short: Shortfall, names: tuple[str, ...]) -> str:
    """One operation in words: how far the money reaches, and where it falls short."""
    name = short.operation.name
    if short.lack:
        return f"{name}: not counted, {short.lack}"
    where = [
        f"{names[row]} {printed_value(float(short.short[row]))}"
        for row in np.argsort(-np.nan_to_num(short.short), kind="stable")
        if short.short[row] >= _LEAST_TOLD
    ]
    reached = "paid in full" if short.share >= 1.0 else f"{short.share * PERCENT:.0f} % paid"
    if not where:
        return f"{name}: {reached}, nothing falls short"
    unit = short.need_unit
    more = f" and {len(where) - 3} more" if len(where) > 3 else ""
    return f"{name}: {reached}; short of {unit}: {', '.join(where[:3])}{more}"
