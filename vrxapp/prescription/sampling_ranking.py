"""Zones of a plan in the order in which one more sample would pay, with the reason in words."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.confidence import Blur
from vrxapp.agronomy.trail import Trail
from vrxapp.errors import MissingInputError
from vrxapp.prescription.confidence_steps import CHANCE_BELOW, CHANCE_FROM
from vrxapp.prescription.next_sample import next_sample
from vrxapp.prescription.pipeline import Prescription, prescription
from vrxapp.prescription.season_cut import unbudgeted
from vrxapp.prescription.totals import price_of_spread_kg
from vrxapp.season import Operation, Season
from vrxapp.units import PERCENT

_EVEN = 0.5
_LEAST_TOLD = 0.01
_BUILDS_UP = ("build_up", "capital")


@dataclass(frozen=True, slots=True)
class Stakes:
    """What a wrong class costs, by the agronomist; NaN where not told.

    Parameters
    ----------
    loss_if_short_t_ha : float
        Yield lost where a zone that is short is left without. [t/ha]
    crop_price_t : float
        Price of the crop. [currency/t]
    """

    loss_if_short_t_ha: float = math.nan
    crop_price_t: float = math.nan

    @property
    def is_told(self) -> bool:
        """Whether both numbers are told, so that the cost can be worked out."""
        return math.isfinite(self.loss_if_short_t_ha) and math.isfinite(self.crop_price_t)


@dataclass(frozen=True, slots=True)
class RankedZone:
    """One zone of the ranking.

    Parameters
    ----------
    zone : str
        Its name.
    area_ha : float
        Its ground. [ha]
    chance_wrong : float
        Chance that it is treated as the wrong class; NaN where unknown. [-]
    expected_cost : float
        What that is expected to cost; NaN where it cannot be told. [currency]
    reason : str
        Why it stands where it does, in words.
    is_bound : bool
        Whether the chance is the least there is, told from laboratories alone.
    """

    zone: str
    area_ha: float
    chance_wrong: float
    expected_cost: float
    reason: str
    is_bound: bool


def ranked_zones(
    season: Season, operation: Operation, stakes: Stakes | None = None
) -> tuple[RankedZone, ...]:
    """The zones, the one in which one more sample would pay most first.

    Parameters
    ----------
    season : Season
        The season; a budget plays no part.
    operation : Operation
        The operation whose need is judged.
    stakes : Stakes or None, optional
        What a wrong class costs. Where that is not told, hectares that may be treated
        wrongly are ranked instead of money.

    Returns
    -------
    tuple of RankedZone
        Zones without a chance come first: there both mistakes are open.

    Raises
    ------
    MissingInputError
        If the operation's rule tells no chance of a wrong class.
    VrxError
        If the operation cannot be worked out yet.
    """
    plan = prescription(unbudgeted(season), operation)
    columns = {step.name: step.values for step in plan.trail.steps}
    if CHANCE_BELOW not in columns:
        raise MissingInputError(
            f"the rule for {operation.purpose} tells no chance of a wrong class",
            mend="Choose an operation for phosphorus, potassium, sulfur or magnesium",
        )
    told = stakes is not None and stakes.is_told
    known = stakes if stakes is not None and told else Stakes(1.0, 1.0)
    chance = np.asarray(columns[CHANCE_BELOW], dtype=float) / PERCENT
    found = next_sample(
        chance,
        plan.totals.zone_area_ha,
        loss_if_short_t_ha=known.loss_if_short_t_ha,
        crop_price_t=known.crop_price_t,
        waste_if_ample_ha=_waste_ha(plan, operation) if told else 1.0,
    )
    no_result = np.array([reason != "" for reason in plan.reasons])
    is_bound = columns[CHANCE_FROM] == Blur.LABORATORY
    return tuple(
        RankedZone(
            plan.zone_names[row],
            float(plan.totals.zone_area_ha[row]),
            float(found.chance_wrong[row]),
            float(found.expected_cost[row]) if told else math.nan,
            _untold(has_none=bool(no_result[row]))
            if found.never_sampled[row]
            else _reason(chance[row], found.chance_wrong[row], is_bound=bool(is_bound[row])),
            bool(is_bound[row]),
        )
        for row in found.order
    )


def _waste_ha(plan: Prescription, operation: Operation) -> NDArray[np.float64]:
    """Money spent on lifting the soil test, for nothing where a zone is ample. [currency/ha]"""
    lift = _lift(plan.trail, plan.need)
    share = np.zeros(len(plan.need))
    np.divide(lift, plan.need, out=share, where=plan.need > 0)
    share = np.where(np.isnan(lift) | np.isnan(plan.need), math.nan, np.minimum(share, 1.0))
    return share * plan.rates_kg_ha * price_of_spread_kg(operation)


def _lift(trail: Trail, need: NDArray[np.float64]) -> NDArray[np.float64]:
    """The part of the need that lifts the soil test; all of it where the rule tells none."""
    columns = {step.name: step.values for step in trail.steps}
    name = next((name for name in _BUILDS_UP if name in columns), None)
    return need if name is None else np.asarray(columns[name], dtype=float)


def _untold(*, has_none: bool) -> str:
    """Why no chance is known of a zone."""
    if has_none:
        return "it has no result that can be read, so nothing is known of it"
    return "how far its result may be off is not known"


def _reason(chance: float, wrong: float, *, is_bound: bool) -> str:
    """Why a zone stands where it does."""
    size = f"{wrong:.0%}" if wrong >= _LEAST_TOLD else f"under {_LEAST_TOLD:.0%}"
    least = "at least " if is_bound and wrong >= _LEAST_TOLD else ""
    one = "; one sample says nothing of the spread within it" if is_bound else ""
    size = size.replace("%", " %")
    if chance >= _EVEN:
        return f"it is taken for short, with a chance of {least}{size} that it is not{one}"
    return f"it is taken for enough, with a chance of {least}{size} that it is short{one}"


def first_line(ranked: tuple[RankedZone, ...]) -> str:
    """Where one more sample would pay most, in one line; empty without a zone."""
    if not ranked:
        return ""
    best = ranked[0]
    doubt = "no chance known"
    if math.isfinite(best.chance_wrong):
        least = "at least " if best.is_bound else ""
        doubt = f"{least}{best.chance_wrong * PERCENT:.0f} % chance of a wrong class"
    return f"Where one more sample would pay most: {best.zone} ({doubt})"
