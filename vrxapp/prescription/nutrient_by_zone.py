"""Needs of potassium, sulfur, magnesium, calcium and trace elements of the zones."""

import math
from collections.abc import Callable

import numpy as np

from vrxapp.agronomy.cation_balance import (
    Cation,
    CationSoil,
    cation_balance_need,
    cation_target,
)
from vrxapp.agronomy.critical_ranges import CriticalRange
from vrxapp.agronomy.crop_removal import Nutrient, default_removal
from vrxapp.agronomy.crops import crop
from vrxapp.agronomy.magnesium import magnesium_need
from vrxapp.agronomy.potassium import potassium_need
from vrxapp.agronomy.rule_need import RuleNeed
from vrxapp.agronomy.sufficiency import sufficiency_need
from vrxapp.agronomy.sufficiency_values import HarvestRemoval, LayerTest, NeedPolicy
from vrxapp.agronomy.sulfur import sulfur_need
from vrxapp.agronomy.trace_elements import trace_element_need
from vrxapp.agronomy.trace_rates import TraceElement
from vrxapp.agronomy.trail import Trail, TrailStep
from vrxapp.errors import MissingInputError
from vrxapp.need_plans import SYMBOLS, CropPlan, NutrientPlan, Purpose, TracePlan
from vrxapp.prescription.confidence_steps import confidence_steps
from vrxapp.prescription.rule_by_zone import zone_need
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.prescription.zone_textures import texture_steps, zone_textures
from vrxapp.soil.by_place import PlaceResults
from vrxapp.sources import Grade

BALANCE_DEPTH_CM = "0-10"
BALANCE_DEPTH = 10.0
_EXCHANGEABLE = {
    Purpose.POTASSIUM: "exch_k",
    Purpose.MAGNESIUM: "exch_mg",
    Purpose.CALCIUM: "exch_ca",
}
_RULES: dict[Purpose, Callable[..., RuleNeed]] = {
    Purpose.POTASSIUM: potassium_need,
    Purpose.SULFUR: sulfur_need,
    Purpose.MAGNESIUM: magnesium_need,
    Purpose.CALCIUM: sufficiency_need,
}


def harvest_removal(plan: NutrientPlan, crop_plan: CropPlan) -> HarvestRemoval:
    """What the harvest carries away: the agronomist's own figure, else the published one.

    A crop of which nobody has published one gets NaN, and the rule says so.
    """
    aimed = crop_plan.target_yield_t_ha
    if not math.isnan(plan.removal_kg_t):
        return HarvestRemoval(aimed, plan.removal_kg_t, "", "the agronomist's own", Grade.YOURS)
    try:
        known = default_removal(crop(crop_plan.crop).harvest, Nutrient(SYMBOLS[plan.purpose]))
    except MissingInputError as error:
        return HarvestRemoval(aimed, math.nan, "", error.note.message)
    return HarvestRemoval(aimed, known.kg_per_unit, known.source, known.where, known.grade)


def nutrient_reads(plan: NutrientPlan) -> tuple[tuple[str, str], ...]:
    """Soil tests and layers that a nutrient's need reads, the one that decides first."""
    if plan.choices.policy is NeedPolicy.CATION_BALANCE:
        return (
            (_EXCHANGEABLE[plan.purpose], BALANCE_DEPTH_CM),
            ("cec", BALANCE_DEPTH_CM),
        )
    critical = _critical(plan)
    return ((critical.analyte, critical.depth_cm),)


def nutrient_by_zone(
    results: tuple[PlaceResults, ...], plan: NutrientPlan, crop_plan: CropPlan
) -> ZoneNeed:
    """Need of each zone by the policy that was chosen.

    Parameters
    ----------
    results : tuple of PlaceResults
        Results of the soil tests that `nutrient_reads` names.
    plan : NutrientPlan
        Calibration and policy.
    crop_plan : CropPlan
        Crop and target yield.

    Returns
    -------
    ZoneNeed
        The element. [kg/ha]

    Raises
    ------
    MissingInputError
        If neither a calibration nor shares of the exchange were chosen.
    """
    if plan.choices.policy is NeedPolicy.CATION_BALANCE:
        return _balanced(results, plan)
    critical = _critical(plan)
    reads_test = plan.choices.policy is NeedPolicy.SUFFICIENCY
    if reads_test and not is_made_for(critical, crop_plan.crop):
        return _of_another_crop(critical, results, crop_plan)
    test = LayerTest(
        critical.analyte,
        critical.depth_cm,
        results[0].mean,
        bulk_density_t_m3=plan.bulk_density_t_m3,
        texture=zone_textures(results, plan.texture, count=len(results[0].mean)),
    )
    harvest = harvest_removal(plan, crop_plan)
    found = _RULES[plan.purpose](test, critical, harvest=harvest, choices=plan.choices)
    told = texture_steps(results, plan.texture, count=len(results[0].mean))
    return zone_need(found, results, (*told, *confidence_steps(results[0], critical.low)))


def is_made_for(critical: CriticalRange, grown: str) -> bool:
    """Whether a range holds for what is grown; one of another crop never stands in."""
    return critical.crop in ("", grown)


def _of_another_crop(
    critical: CriticalRange, results: tuple[PlaceResults, ...], crop_plan: CropPlan
) -> ZoneNeed:
    """No need, and why: the range that was chosen before the crop was changed."""
    count = len(results[0].mean)
    unit = f"kg {critical.element}/ha"
    reason = (
        f"the critical range was made for {crop(critical.crop).name.lower()}, not for "
        f"{crop(crop_plan.crop).name.lower()}: choose one again, or give your own"
    )
    untold = np.full(count, np.nan)
    return ZoneNeed(
        untold, unit, np.full(count, reason), Trail((TrailStep("need", "need", unit, untold, ""),))
    )


def _critical(plan: NutrientPlan) -> CriticalRange:
    if plan.critical is None:
        raise MissingInputError(
            f"no critical range for {plan.purpose} has been chosen",
            mend="Choose one in the Rates stage, or give your own with its reason (on the command "
            f"line: --{plan.purpose}-range)",
        )
    return plan.critical


def _balanced(results: tuple[PlaceResults, ...], plan: NutrientPlan) -> ZoneNeed:
    """The need by shares of the exchange."""
    if not plan.scheme:
        raise MissingInputError(
            "cation balance needs somebody's shares of the exchange; none is the default",
            mend="Choose whose shares to aim at, or work by sufficiency",
        )
    present, capacity = results
    found = cation_balance_need(
        cation_target(plan.scheme, Cation(SYMBOLS[plan.purpose])),
        CationSoil(
            present.mean,
            capacity.mean,
            plan.free_salt,
            bulk_density_t_m3=plan.bulk_density_t_m3,
            depth_cm=BALANCE_DEPTH,
        ),
    )
    return zone_need(found, results)


def trace_by_zone(result: PlaceResults, plan: TracePlan) -> ZoneNeed:
    """The class of each zone, and the chosen rate where it tested low. [kg/ha of the element]"""
    element = TraceElement(SYMBOLS[plan.purpose])
    found = trace_element_need(element, plan.test, result.mean, rate=plan.rate)
    return zone_need(found, (result,))
