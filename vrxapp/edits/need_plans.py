"""Edits of how needs are worked out, one plan a purpose; an unchanged plan changes nothing."""

from dataclasses import replace

from vrxapp.need_plans import (
    GypsumPlan,
    LimePlan,
    NeedPlan,
    NitrogenPlan,
    NutrientPlan,
    OwnRulePlan,
    Purpose,
    TracePlan,
)
from vrxapp.season import Season


def set_need_plan(season: Season, plan: NeedPlan) -> Season:
    """Work a need out in this way; one's own rule lets the way before it wait beneath."""
    before = need_plan_of(season, purpose_of(plan))
    if repr(before) == repr(plan):  # NaN is never equal to itself
        return season
    season = drop_own_rule(season, purpose_of(plan))
    match plan:
        case LimePlan():
            return replace(season, lime=plan)
        case GypsumPlan():
            return replace(season, gypsum=plan)
        case NitrogenPlan():
            return replace(season, nitrogen=plan)
        case NutrientPlan():
            others = tuple(p for p in season.nutrients if p.purpose is not plan.purpose)
            return replace(season, nutrients=(*others, plan))
        case TracePlan():
            kept = tuple(p for p in season.traces if p.purpose is not plan.purpose)
            return replace(season, traces=(*kept, plan))
        case OwnRulePlan():
            return replace(season, own_rules=(*season.own_rules, plan))


def drop_need_plan(season: Season, purpose: Purpose) -> Season:
    """Work a need out no longer; phosphorus keeps its plan."""
    if need_plan_of(season, purpose) is None:
        return season
    return replace(
        season,
        lime=None if purpose is Purpose.LIME else season.lime,
        gypsum=None if purpose is Purpose.GYPSUM else season.gypsum,
        nitrogen=None if purpose is Purpose.NITROGEN else season.nitrogen,
        nutrients=tuple(p for p in season.nutrients if p.purpose is not purpose),
        traces=tuple(p for p in season.traces if p.purpose is not purpose),
        own_rules=_others(season, purpose),
    )


def drop_own_rule(season: Season, purpose: Purpose) -> Season:
    """Work a need out by one's own rule no longer, but as before it."""
    kept = _others(season, purpose)
    return season if kept == season.own_rules else replace(season, own_rules=kept)


def _others(season: Season, purpose: Purpose) -> tuple[OwnRulePlan, ...]:
    """The own rules of other needs."""
    return tuple(p for p in season.own_rules if p.purpose is not purpose)


def purpose_of(plan: NeedPlan) -> Purpose:
    """The purpose that a plan serves."""
    match plan:
        case LimePlan():
            return Purpose.LIME
        case GypsumPlan():
            return Purpose.GYPSUM
        case NitrogenPlan():
            return Purpose.NITROGEN
        case NutrientPlan() | TracePlan() | OwnRulePlan():
            return plan.purpose


def need_plan_of(season: Season, purpose: Purpose) -> NeedPlan | None:
    """How a season works a need out; None until it was chosen; phosphorus always is."""
    return own_rule_plan_of(season, purpose) or plan_beneath(season, purpose)


def own_rule_plan_of(season: Season, purpose: Purpose) -> OwnRulePlan | None:
    """The rule of one's own by which a season works a need out, or None."""
    return next((plan for plan in season.own_rules if plan.purpose is purpose), None)


def plan_beneath(season: Season, purpose: Purpose) -> NeedPlan | None:
    """How a season works a need out where no rule of one's own does."""
    if purpose is Purpose.LIME:
        return season.lime
    if purpose is Purpose.GYPSUM:
        return season.gypsum
    if purpose is Purpose.NITROGEN:
        return season.nitrogen
    listed: tuple[NutrientPlan | TracePlan, ...] = (*season.nutrients, *season.traces)
    return next((plan for plan in listed if plan.purpose is purpose), None)
