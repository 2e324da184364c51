"""Needs of the zones by a rule of the agronomist's own."""

from vrxapp.agronomy.own_rule import own_rule_need
from vrxapp.need_plans import CropPlan, OwnRulePlan
from vrxapp.prescription.rule_by_zone import zone_need
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.soil.by_place import PlaceResults


def own_rule_by_zone(result: PlaceResults, plan: OwnRulePlan, crop_plan: CropPlan) -> ZoneNeed:
    """Need of each zone by the rule. [kg/ha of the element]

    Parameters
    ----------
    result : PlaceResults
        Results of the rule's soil test and layer.
    plan : OwnRulePlan
        The rule.
    crop_plan : CropPlan
        What is grown; a rule for another crop says nothing.
    """
    return zone_need(own_rule_need(plan.rule, result.mean, crop=crop_plan.crop), (result,))
