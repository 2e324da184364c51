"""What the season's budget does to the rates of one operation, and how the trail tells it."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.trail import TrailStep, filled
from vrxapp.sources import Grade
from vrxapp.spreading.machine import Machine
from vrxapp.units import PERCENT

_WHOLE_STEPS = 1e-9


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class BudgetReach:
    """How far the season's budget reaches for one operation.

    Parameters
    ----------
    share : float
        Share of its full rates that the money pays, 0 to 1. [-]
    money : float
        The whole budget. [currency]
    currency : str
        Its currency.
    place, places : int
        Where the operation stands in the order of priority, from 1, and of how many.
    lost_supply : ndarray of float
        What the budget has cut from earlier operations towards this one's need; it is not
        made good, for that would take money from what comes before. [unit of the need]
    need_unit : str
        Unit of the need.
    """

    share: float
    money: float
    currency: str
    place: int
    places: int
    lost_supply: NDArray[np.float64]
    need_unit: str

    @property
    def words(self) -> str:
        """The budget and how far it reaches, for people."""
        return (
            f"the season's budget of {self.money:,.0f} {self.currency}".rstrip()
            + f" reaches {self.share * PERCENT:.0f} % of this pass, number {self.place} of "
            f"{self.places} in the order of priority"
        )


def cut_rates(
    full_kg_ha: NDArray[np.float64], machine: Machine, *, share: float
) -> NDArray[np.float64]:
    """Rates cut to a share of them.

    A cut rate is rounded down to a step of the machine, so that the money always lasts;
    one below the machine's lowest rate becomes none.

    Parameters
    ----------
    full_kg_ha : ndarray of float
        Metered rates without a budget; NaN stays NaN. [kg/ha]
    machine : Machine
        What can be metered.
    share : float
        The share, 0 to 1. [-]
    """
    if share >= 1.0:
        return full_kg_ha
    step = machine.rate_step_kg_ha
    cut = np.round(np.floor(full_kg_ha * share / step + _WHOLE_STEPS) * step, 6)
    return np.where(cut < machine.lowest_rate_kg_ha, 0.0, cut)


def budget_steps(
    full_kg_ha: NDArray[np.float64],
    rates_kg_ha: NDArray[np.float64],
    machine: Machine,
    *,
    reach: BudgetReach | None,
) -> tuple[TrailStep, ...]:
    """The steps that tell what the budget cut; none where no budget is kept to."""
    if reach is None:
        return ()
    count = len(full_kg_ha)
    paid = full_kg_ha * reach.share
    is_cut = (rates_kg_ha < full_kg_ha) & (full_kg_ha > 0)
    none_left = is_cut & (rates_kg_ha == 0) & (reach.share > 0)
    lost = reach.lost_supply > 0
    unit = reach.need_unit
    return (
        TrailStep("budget_full", "rate without the budget", "kg/ha", full_kg_ha, ""),
        TrailStep("budget_share", "share that the budget pays", "%", _percent(reach, count), ""),
        TrailStep(
            "budget",
            "rate that the budget pays",
            "kg/ha",
            np.where(is_cut, paid, math.nan),
            f"Cut to the budget: {reach.words}: {{budget_full}} × {{budget_share}} ÷ 100 = "
            "{budget} kg/ha, rounded down to a step of the machine.",
            grade=Grade.YOURS,
            told=is_cut,
        ),
        TrailStep(
            "budget_none",
            "too little to spread",
            "kg/ha",
            np.where(none_left, machine.lowest_rate_kg_ha, math.nan),
            "That is below the machine's lowest rate of {budget_none} kg/ha, so nothing is spread "
            "here.",
            told=none_left & (machine.lowest_rate_kg_ha > 0),
        ),
        TrailStep(
            "budget_lost",
            "cut from earlier operations",
            unit,
            reach.lost_supply,
            f"Of what earlier operations were to bring, the budget cut {{budget_lost}} {unit}; "
            "this pass does not make it good.",
            grade=Grade.YOURS,
            told=lost,
        ),
    )


def _percent(reach: BudgetReach, count: int) -> NDArray[np.float64] | NDArray[np.str_]:
    """The share as a column. [%]"""
    return filled(reach.share * PERCENT, count)
