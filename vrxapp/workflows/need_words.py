"""How a season works each need out, in one sentence."""

import math

from vrxapp.agronomy.critical_values import is_awaited
from vrxapp.agronomy.crops import crop as known_crop
from vrxapp.agronomy.gypsum_values import gypsum_method
from vrxapp.agronomy.lime_values import lime_method
from vrxapp.agronomy.sufficiency_values import NeedPolicy
from vrxapp.edits.need_plans import need_plan_of, own_rule_plan_of
from vrxapp.need_plans import (
    GypsumPlan,
    LimePlan,
    NitrogenPlan,
    NutrientPlan,
    OwnRulePlan,
    Purpose,
    TracePlan,
)
from vrxapp.prescription.nutrient_by_zone import is_made_for
from vrxapp.season import Season
from vrxapp.soil.analytes import analyte
from vrxapp.sources import Grade

NOT_CHOSEN = "not chosen"


def plan_words(season: Season, purpose: Purpose) -> str:
    """How a need is worked out, in words; "not chosen" where it is not."""
    if purpose is Purpose.PHOSPHORUS and own_rule_plan_of(season, purpose) is None:
        critical = season.phosphorus.critical
        if is_awaited(critical):
            return critical.name
        return f"{critical.name} ({analyte(critical.analyte).name}, {critical.depth_cm} cm)"
    match need_plan_of(season, purpose):
        case LimePlan() as lime:
            more = "" if lime.upkeep is None else ", with maintenance lime"
            return f"{lime_method(lime.method).name}{more}"
        case GypsumPlan() as gypsum:
            target = gypsum.choices.target_esp_percent
            return f"{gypsum_method(gypsum.method).name}, to an ESP of {target:g} %"
        case NitrogenPlan() as nitrogen:
            return _nitrogen(nitrogen)
        case NutrientPlan() as nutrient:
            return _nutrient(nutrient, season.crop.crop)
        case TracePlan() as trace:
            rate = trace.rate
            given = f"{rate.rate_kg_ha:g} kg/ha where it tested low" if rate else "class alone"
            return f"{analyte(trace.test).name}: {given}"
        case OwnRulePlan() as own:
            return _own(own)
        case None:
            return NOT_CHOSEN


def _nitrogen(plan: NitrogenPlan) -> str:
    protein = "" if math.isnan(plan.protein_percent) else f", {plan.protein_percent:g} % protein"
    rain = plan.growing_season_rain_mm
    free = "" if math.isnan(rain) else f", mineralisation by {rain:g} mm of rain"
    layers = " and ".join(plan.layers_cm)
    return f"efficiency {plan.efficiency.value:g}{protein}, nitrate of {layers} cm{free}"


def _nutrient(plan: NutrientPlan, grown: str) -> str:
    policy = plan.choices.policy
    if policy is NeedPolicy.CATION_BALANCE or plan.critical is None:
        return f"{policy} by {plan.scheme or 'nobody yet'}"
    critical = plan.critical
    if policy is NeedPolicy.SUFFICIENCY and not is_made_for(critical, grown):
        return f"no rate: {critical.name} was not made for {known_crop(grown).name.lower()}"
    mark = " !" if critical.grade is Grade.UNVERIFIED else ""
    return (
        f"{policy}: {critical.low:g} to {critical.high:g} {critical.unit} "
        f"({critical.name}, {critical.depth_cm} cm){mark}"
    )


def _own(plan: OwnRulePlan) -> str:
    rule = plan.rule
    crop = f", {rule.crop}" if rule.crop else ""
    return f"own rule {rule.name!r} ({analyte(rule.analyte).name}, {rule.depth_cm} cm{crop})"
