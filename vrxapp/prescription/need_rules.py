"""Which rule serves which purpose: what it reads from the laboratory's results, and its need.

A rule never knows whether its places are zones of a map or samples of a sheet.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol

from vrxapp.agronomy.crops import crop
from vrxapp.agronomy.trail import Trail
from vrxapp.agronomy.water_target import water_steps
from vrxapp.errors import MissingInputError, Note
from vrxapp.need_plans import (
    NUTRIENTS,
    TRACES,
    CropPlan,
    GypsumPlan,
    LimePlan,
    NitrogenPlan,
    NutrientPlan,
    OwnRulePlan,
    PhosphorusPlan,
    Purpose,
    TracePlan,
)
from vrxapp.prescription.estimates_told import estimates_told
from vrxapp.prescription.gypsum_by_zone import GYPSUM_ANALYTES, gypsum_by_zone
from vrxapp.prescription.lime_by_zone import lime_analytes, lime_by_zone
from vrxapp.prescription.nitrogen_by_zone import legume_nitrogen_need, nitrogen_by_zone
from vrxapp.prescription.nutrient_by_zone import nutrient_by_zone, nutrient_reads, trace_by_zone
from vrxapp.prescription.own_rule_by_zone import own_rule_by_zone
from vrxapp.prescription.phosphorus_by_zone import COLWELL, LOSS_DEPTH_CM, phosphorus_by_zone
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.soil.by_layer import layer_notes
from vrxapp.soil.by_place import PlaceResults
from vrxapp.soil.results_table import ResultsTable

LIME_DEPTH_CM = "0-10"
"""The layer that lime is worked out for; deeper layers are limed in their own right."""
_BY_YIELD = frozenset({Purpose.PHOSPHORUS, Purpose.NITROGEN, *NUTRIENTS})
"""The needs that read the target yield."""
TRACE_DEPTH_CM = "0-10"
"""The layer that trace elements are tested in."""


class NeedPlans(Protocol):
    """How needs are worked out: a season has it, and so has a lab sheet without a map."""

    @property
    def crop(self) -> CropPlan:
        """What is grown."""

    @property
    def phosphorus(self) -> PhosphorusPlan:
        """How phosphorus is worked out."""

    @property
    def lime(self) -> LimePlan | None:
        """How lime is worked out; None until a method has been chosen."""

    @property
    def gypsum(self) -> GypsumPlan | None:
        """How gypsum is worked out; None until a method has been chosen."""

    @property
    def nitrogen(self) -> NitrogenPlan | None:
        """How nitrogen is worked out; None until it has been chosen."""

    @property
    def nutrients(self) -> tuple[NutrientPlan, ...]:
        """How potassium, sulfur, magnesium and calcium are worked out."""

    @property
    def traces(self) -> tuple[TracePlan, ...]:
        """How trace elements are judged."""

    @property
    def own_rules(self) -> tuple[OwnRulePlan, ...]:
        """Rules of the agronomist's own; each goes before any other way."""


@dataclass(frozen=True, slots=True)
class LayerRead:
    """A soil test and the layer that a rule reads it from. [cm]"""

    analyte: str
    depth_cm: str


ResultsOf = Callable[[LayerRead], PlaceResults]
"""Results of a soil test over the places, from one layer."""


@dataclass(frozen=True, slots=True)
class NeedRule:
    """One purpose: what it reads, and how the need comes of it.

    Parameters
    ----------
    reads : callable
        From the plans to the soil tests and layers, those that decide first.
    need : callable
        From the results, the plans and the number of places to the need.
    """

    reads: Callable[[NeedPlans], tuple[LayerRead, ...]]
    need: Callable[[ResultsOf, NeedPlans, int], ZoneNeed]


def need_rule(purpose: Purpose) -> NeedRule:
    """The rule that serves a purpose; one of the agronomist's own goes before it."""
    rule = _own_first(purpose, _RULES[purpose])
    told = estimates_told(rule.need)
    return NeedRule(rule.reads, _target_told(told) if purpose in _BY_YIELD else told)


def _target_told(
    need: Callable[[ResultsOf, NeedPlans, int], ZoneNeed],
) -> Callable[[ResultsOf, NeedPlans, int], ZoneNeed]:
    """The same rule, with how its target yield came from water first in its trail."""

    def told(results: ResultsOf, plans: NeedPlans, count: int) -> ZoneNeed:
        found = need(results, plans, count)
        steps = water_steps(plans.crop.water, plans.crop.crop, count)
        return replace(found, trail=Trail((*steps, *found.trail.steps))) if steps else found

    return told


def left_out_layers(tests: ResultsTable, plans: NeedPlans, purpose: Purpose) -> tuple[Note, ...]:
    """What the sheet says of the layers that the rule of a purpose reads."""
    reads = need_rule(purpose).reads(plans)
    found = (layer_notes(tests, read.analyte, depth_cm=read.depth_cm) for read in reads)
    return tuple(note for notes in found for note in notes)


def planned_needs(plans: NeedPlans) -> tuple[Purpose, ...]:
    """The needs that somebody has said how to work out; phosphorus always is."""
    alone = {
        Purpose.LIME: plans.lime,
        Purpose.GYPSUM: plans.gypsum,
        Purpose.NITROGEN: plans.nitrogen,
    }
    listed = {plan.purpose for plan in plans.nutrients} | {plan.purpose for plan in plans.traces}
    listed |= {plan.purpose for plan in plans.own_rules}
    return tuple(
        purpose
        for purpose in Purpose
        if purpose is Purpose.PHOSPHORUS or purpose in listed or alone.get(purpose) is not None
    )


def _phosphorus_reads(plans: NeedPlans) -> tuple[LayerRead, ...]:
    critical = plans.phosphorus.critical
    return (LayerRead(critical.analyte, critical.depth_cm),)


def _phosphorus_need(results: ResultsOf, plans: NeedPlans, _count: int) -> ZoneNeed:
    (test,) = _phosphorus_reads(plans)
    pbi = results(LayerRead("pbi", test.depth_cm))
    loss = (results(LayerRead(COLWELL, LOSS_DEPTH_CM)), results(LayerRead("pbi", LOSS_DEPTH_CM)))
    return phosphorus_by_zone(results(test), pbi, plans.phosphorus, plans.crop, loss=loss)


def _lime_reads(plans: NeedPlans) -> tuple[LayerRead, ...]:
    keys = lime_analytes(plans.lime) if plans.lime is not None else ()
    return tuple(LayerRead(key, LIME_DEPTH_CM) for key in keys)


def _lime_need(results: ResultsOf, plans: NeedPlans, count: int) -> ZoneNeed:
    if plans.lime is None:
        raise MissingInputError(
            "no method for lime has been chosen; there is no default",
            mend="Choose one in the Rates stage (on the command line: --lime-method)",
        )
    found = tuple(map(results, _lime_reads(plans)))
    return lime_by_zone(found, plans.lime, plans.crop, count=count)


def _gypsum_reads(plans: NeedPlans) -> tuple[LayerRead, ...]:
    keys = GYPSUM_ANALYTES if plans.gypsum is not None else ()
    return tuple(LayerRead(key, LIME_DEPTH_CM) for key in keys)


def _gypsum_need(results: ResultsOf, plans: NeedPlans, _count: int) -> ZoneNeed:
    if plans.gypsum is None:
        raise _not_chosen("gypsum", "a method and the ESP to be reached")
    return gypsum_by_zone(tuple(map(results, _gypsum_reads(plans))), plans.gypsum)


def _nitrogen_reads(plans: NeedPlans) -> tuple[LayerRead, ...]:
    layers = plans.nitrogen.layers_cm if plans.nitrogen is not None else ()
    return tuple(LayerRead("nitrate_n", layer) for layer in layers)


def _nitrogen_need(results: ResultsOf, plans: NeedPlans, count: int) -> ZoneNeed:
    if plans.nitrogen is None:
        raise _not_chosen("nitrogen", "its efficiency and the layers that were sampled")
    grown = crop(plans.crop.crop)
    if grown.fixes_nitrogen == "yes":
        return legume_nitrogen_need(grown, count)
    nitrate = _nitrogen_reads(plans)
    ammonium = (LayerRead("ammonium_n", read.depth_cm) for read in nitrate)
    return nitrogen_by_zone(
        tuple(map(results, nitrate)),
        tuple(map(results, ammonium)),
        results(LayerRead("organic_carbon", "0-10")),
        plan=plans.nitrogen,
        crop_plan=plans.crop,
    )


def _nutrient_rule(purpose: Purpose) -> NeedRule:
    """The rule of potassium, sulfur, magnesium or calcium."""

    def plan_of(plans: NeedPlans) -> NutrientPlan | None:
        return next((plan for plan in plans.nutrients if plan.purpose is purpose), None)

    def reads(plans: NeedPlans) -> tuple[LayerRead, ...]:
        plan = plan_of(plans)
        return tuple(LayerRead(*read) for read in nutrient_reads(plan)) if plan else ()

    def need(results: ResultsOf, plans: NeedPlans, _count: int) -> ZoneNeed:
        plan = plan_of(plans)
        if plan is None:
            raise _not_chosen(str(purpose), "a critical range or a policy")
        found = tuple(results(LayerRead(*read)) for read in nutrient_reads(plan))
        return nutrient_by_zone(found, plan, plans.crop)

    return NeedRule(reads, need)


def _trace_rule(purpose: Purpose) -> NeedRule:
    """The rule of one trace element."""

    def plan_of(plans: NeedPlans) -> TracePlan | None:
        return next((plan for plan in plans.traces if plan.purpose is purpose), None)

    def reads(plans: NeedPlans) -> tuple[LayerRead, ...]:
        plan = plan_of(plans)
        return (LayerRead(plan.test, TRACE_DEPTH_CM),) if plan and plan.test else ()

    def need(results: ResultsOf, plans: NeedPlans, _count: int) -> ZoneNeed:
        plan = plan_of(plans)
        if plan is None:
            raise _not_chosen(str(purpose), "the soil test that it was measured by")
        return trace_by_zone(results(LayerRead(plan.test, TRACE_DEPTH_CM)), plan)

    return NeedRule(reads, need)


def _own_first(purpose: Purpose, rule: NeedRule) -> NeedRule:
    """The agronomist's own rule where the plans hold one for the purpose, else this rule."""

    def plan_of(plans: NeedPlans) -> OwnRulePlan | None:
        return next((plan for plan in plans.own_rules if plan.purpose is purpose), None)

    def reads(plans: NeedPlans) -> tuple[LayerRead, ...]:
        plan = plan_of(plans)
        if plan is None:
            return rule.reads(plans)
        return (LayerRead(plan.rule.analyte, plan.rule.depth_cm),)

    def need(results: ResultsOf, plans: NeedPlans, count: int) -> ZoneNeed:
        plan = plan_of(plans)
        if plan is None:
            return rule.need(results, plans, count)
        (test,) = reads(plans)
        return own_rule_by_zone(results(test), plan, plans.crop)

    return NeedRule(reads, need)


def _not_chosen(what: str, lacking: str) -> MissingInputError:
    """The error for a need whose way has not been chosen."""
    return MissingInputError(
        f"how the need for {what} is worked out has not been chosen",
        mend=f"Choose {lacking} in the Rates stage (on the command line: vrxapp plan {what})",
    )


_RULES = {
    Purpose.PHOSPHORUS: NeedRule(_phosphorus_reads, _phosphorus_need),
    Purpose.LIME: NeedRule(_lime_reads, _lime_need),
    Purpose.GYPSUM: NeedRule(_gypsum_reads, _gypsum_need),
    Purpose.NITROGEN: NeedRule(_nitrogen_reads, _nitrogen_need),
    **{purpose: _nutrient_rule(purpose) for purpose in NUTRIENTS},
    **{purpose: _trace_rule(purpose) for purpose in TRACES},
}
