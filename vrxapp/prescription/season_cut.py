"""The season's budget over its operations: who gets money, in the agronomist's own order.

Costs are those of the plan without a budget. An operation that cannot be worked out yet,
or whose price is not known in the budget's currency, is not counted, and that is said.
"""

import math
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vrxapp.prescription.budget_cut import cut_to_budget
from vrxapp.prescription.budget_steps import cut_rates
from vrxapp.prescription.totals import price_of_spread_kg
from vrxapp.season import Operation, Season, SeasonBudget

_HALVINGS = 40


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class FullPlan:
    """One operation as it would be without a budget.

    Parameters
    ----------
    operation : Operation
        The pass.
    rates_kg_ha : ndarray of float
        Rate of each zone; NaN where there is none. [kg/ha]
    area_ha : ndarray of float
        Ground of each zone. [ha]
    lack : str
        Why it cannot be worked out yet; empty where it can.
    """

    operation: Operation
    rates_kg_ha: NDArray[np.float64]
    area_ha: NDArray[np.float64]
    lack: str = ""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class SeasonCut:
    """How far a budget reaches, one entry for each operation of the season, in its order.

    Parameters
    ----------
    share : tuple of float
        Share of the full rates that is paid; 1 for an operation that is not counted. [-]
    place : tuple of int
        Place in the order of priority, from 1; 0 for an operation that is not counted.
    full_cost : tuple of float
        What the operation would cost in full; NaN where not counted. [currency]
    lacks : tuple of str
        Why an operation is not counted; empty where it is.
    """

    share: tuple[float, ...]
    place: tuple[int, ...]
    full_cost: tuple[float, ...]
    lacks: tuple[str, ...]

    @property
    def whole_cost(self) -> float:
        """What all counted operations would cost in full. [currency]"""
        return float(np.nansum(self.full_cost))


def unbudgeted(season: Season) -> Season:
    """The season without its budget; the same object as long as its other parts are the same."""
    if season.budget is None:
        return season
    kept = tuple((f.name, getattr(season, f.name)) for f in fields(season) if f.name != "budget")
    return _season_of(kept)


@lru_cache(maxsize=16)
def _season_of(parts: tuple[tuple[str, Any], ...]) -> Season:
    """A season from its parts, made once, so that all that is worked out of it is kept."""
    return Season(**dict(parts))


def season_cut(plans: tuple[FullPlan, ...], budget: SeasonBudget) -> SeasonCut:
    """The share of each operation's full rates that a budget pays.

    Parameters
    ----------
    plans : tuple of FullPlan
        Every operation of the season without a budget, in the order of the season.
    budget : SeasonBudget
        Money, and who gets it first.
    """
    prices = [price_of_spread_kg(plan.operation) for plan in plans]
    lacks = tuple(
        _lack(plan, price, budget=budget) for plan, price in zip(plans, prices, strict=True)
    )
    counted = [row for row in _in_order(plans, budget) if not lacks[row]]
    share, cost = np.ones(len(plans)), np.full(len(plans), math.nan)
    if counted:
        wanted = np.stack([plans[row].rates_kg_ha for row in counted], axis=1)
        area = plans[counted[0]].area_ha
        price = np.array([prices[row] for row in counted])
        whole = np.nansum(wanted * area[:, np.newaxis], axis=0) * price
        cut = cut_to_budget(
            wanted, area, price_kg=price, order=tuple(range(len(counted))), budget=budget.money
        )
        share[counted] = [
            _stretched(plans[row], part, price, area=area, money=float(paid))
            for row, part, price, paid in zip(
                counted, cut.share, price, cut.share * whole, strict=True
            )
        ]
        cost[counted] = whole
    place = tuple(counted.index(row) + 1 if row in counted else 0 for row in range(len(plans)))
    return SeasonCut(tuple(share.tolist()), place, tuple(cost.tolist()), lacks)


def _stretched(
    plan: FullPlan, share: float, price_kg: float, *, area: NDArray[np.float64], money: float
) -> float:
    """The greatest share whose rates, rounded down to the machine's steps, cost no more.

    Rounding down leaves money over, which lifts a few more zones by a step.
    """
    if not 0.0 < share < 1.0:
        return float(share)

    def cost(tried: float) -> float:
        rates = cut_rates(plan.rates_kg_ha, plan.operation.machine, share=tried)
        return float(np.nansum(rates * area)) * price_kg

    low, high = float(share), 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if cost(middle) <= money else (low, middle)
    # a share that buys no more is not told as if it did
    return low if cost(low) > cost(share) else float(share)


def priority(operations: tuple[Operation, ...], budget: SeasonBudget) -> tuple[Operation, ...]:
    """The operations in the order in which they get money."""
    by_id = {operation.id: operation for operation in operations}
    first = [by_id[name] for name in budget.order if name in by_id]
    return (*first, *(o for o in operations if o.id not in budget.order))


def _in_order(plans: tuple[FullPlan, ...], budget: SeasonBudget) -> list[int]:
    """Rows of the plans in the order in which they get money."""
    operations = tuple(plan.operation for plan in plans)
    return [operations.index(operation) for operation in priority(operations, budget)]


def _lack(plan: FullPlan, price_kg: float, *, budget: SeasonBudget) -> str:
    """Why an operation is not counted; empty where it is."""
    product = plan.operation.product
    if plan.lack:
        return plan.lack
    if math.isnan(price_kg):
        return f"{product.name}, or what travels with it, has no price"
    if budget.currency and product.currency and product.currency != budget.currency:
        return f"its price is in {product.currency}, the budget in {budget.currency}"
    return ""
