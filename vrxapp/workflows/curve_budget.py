"""A season's money by response curves, for screen and terminal alike."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.prescription.budget import GAINS_ARE_ADDED, BudgetPlan, best_rates, budget_curve
from vrxapp.prescription.curve_choices import (
    CurveChoices,
    CurveOptimum,
    curve_choices,
    curve_margin,
    curve_optimum,
)
from vrxapp.prescription.zone_curve import ZoneCurve
from vrxapp.progress import Progress
from vrxapp.season import Season

NOTES = (
    GAINS_ARE_ADDED,
    "Below a machine's lowest rate a zone gets nothing, so money goes in lumps: the last dollar "
    "of a larger budget may earn more than that of a smaller one",
    "The curves are yours; no return is more certain than the trials behind them",
    "The form of a curve moves its best rate a long way: on the same trials five forms put it "
    "from 128 to 379 kg N/ha (cerrato-blackmer-1990)",
)
"""To be told with every budget by curves."""

_SHARES = np.linspace(0.0, 1.0, 11)


@dataclass(frozen=True, slots=True, eq=False)
class CurveBudget:
    """Where the money earns most, and what the curves ask for without a budget.

    Parameters
    ----------
    found : CurveChoices
        The curves, the operations of the columns, and those left out.
    best : BudgetPlan
        The best plan for the money there is.
    best_margin : ndarray of float, places × operations
        What the crop brings beyond the product in that plan. [currency/ha]
    optimum : CurveOptimum
        The rates that pay best if money were no matter.
    budgets : ndarray of float
        Budgets that were tried, from nothing to all that earns what is asked. [currency]
    plans : tuple of BudgetPlan
        The best plan for each of them.
    """

    found: CurveChoices
    best: BudgetPlan
    best_margin: NDArray[np.float64]
    optimum: CurveOptimum
    budgets: NDArray[np.float64]
    plans: tuple[BudgetPlan, ...]


def curve_budget(
    season: Season,
    curves: tuple[ZoneCurve, ...],
    *,
    money: float,
    crop_price_t: float,
    extra_return: float = 0.0,
    progress: Progress | None = None,
) -> CurveBudget:
    """The best rates for the money there is, and the return against the budget.

    Parameters
    ----------
    season : Season
        The season; its own budget plays no part.
    curves : tuple of ZoneCurve
        Those of all zones before those of one.
    money : float
        Money there is. [currency]
    crop_price_t : float
        Price of the crop. [currency/t]
    extra_return : float, default 0
        Return asked for beyond each unit of money.
    progress : Progress, optional
        Is told how far it is; may raise `Cancelled`.

    Raises
    ------
    MissingInputError
        If no operation has a curve and a price, or the money cannot be.
    SoilInputError
        If a price cannot be.
    """
    found = curve_choices(season, curves, crop_price_t=crop_price_t)
    best = best_rates(found.choices, money, extra_return=extra_return)
    most = best_rates(found.choices, math.inf, extra_return=extra_return).spent
    budgets = _SHARES * most
    return CurveBudget(
        found,
        best,
        curve_margin(found, best.rate_kg_ha),
        curve_optimum(found, extra_return=extra_return),
        budgets,
        budget_curve(found.choices, budgets, extra_return=extra_return, progress=progress),
    )


@dataclass(frozen=True, slots=True)
class CurveRow:
    """One zone of one operation: with the budget, and what its curve asks for without one.

    Parameters
    ----------
    operation, zone : str
        What they are called.
    rate_kg_ha, below_need_kg_ha : float
        Rate with the budget, and what is short of the need then. [kg/ha]
    margin_per_ha : float
        What the crop brings beyond the product then. [currency/ha]
    best_rate_kg_ha, best_margin_per_ha : float
        Both if money were no matter. [kg/ha] [currency/ha]
    best_rate_is_held : bool
        Whether the highest rate keeps the best one down.
    """

    operation: str
    zone: str
    rate_kg_ha: float
    below_need_kg_ha: float
    margin_per_ha: float
    best_rate_kg_ha: float
    best_margin_per_ha: float
    best_rate_is_held: bool


def curve_rows(by: CurveBudget, zone_names: tuple[str, ...]) -> tuple[CurveRow, ...]:
    """What every zone gets of every operation, operation by operation.

    Parameters
    ----------
    by : CurveBudget
        The money shared out.
    zone_names : tuple of str
        Names of the season's zones.
    """
    return tuple(
        CurveRow(
            operation.name,
            name,
            rate_kg_ha=float(by.best.rate_kg_ha[row, column]),
            below_need_kg_ha=float(by.best.shortfall_kg_ha[row, column]),
            margin_per_ha=float(by.best_margin[row, column]),
            best_rate_kg_ha=float(by.optimum.rate_kg_ha[row, column]),
            best_margin_per_ha=float(by.optimum.margin[row, column]),
            best_rate_is_held=bool(by.optimum.is_held[row, column]),
        )
        for column, operation in enumerate(by.found.operations)
        for row, name in enumerate(zone_names)
    )
