"""Edits of the Rates stage: crop, target, critical value, build-up, product, cap, machine.

Each gives a new season; an edit that changes nothing gives the same one back.
"""

import math
from collections.abc import Callable
from dataclasses import replace

from vrxapp.agronomy.critical_ranges import default_critical_range
from vrxapp.agronomy.critical_values import CriticalValue, default_critical_value
from vrxapp.agronomy.crop_removal import Nutrient, own_removal
from vrxapp.agronomy.crops import crop as known_crop
from vrxapp.agronomy.lime_maintenance import lime_removals
from vrxapp.agronomy.water_target import WaterTarget, target_by_water
from vrxapp.errors import UnknownChoiceError
from vrxapp.inputs.products import Product
from vrxapp.need_plans import LimePlan, NitrogenPlan, NutrientPlan, PhosphorusPlan
from vrxapp.season import Operation, Season
from vrxapp.spreading.machine import Machine


def set_crop(season: Season, crop: str) -> Season:
    """Grow another crop; critical values become that crop's published defaults.

    Where none was published the range of a nutrient stays as a reminder, and gives no rate.

    Raises
    ------
    UnknownChoiceError
        If no crop has this key.
    """
    known_crop(crop)
    if crop == season.crop.crop:
        return season
    return replace(
        season,
        crop=replace(season.crop, crop=crop, water=None, price_t=math.nan),
        phosphorus=replace(season.phosphorus, critical=default_critical_value(crop), removal=None),
        nutrients=tuple(_for_crop(plan, crop) for plan in season.nutrients),
        nitrogen=_of_ordinary_harvest(season.nitrogen),
        lime=_kept_up_for(season.lime, crop),
    )


def _kept_up_for(plan: LimePlan | None, crop: str) -> LimePlan | None:
    """How lime is worked out for another crop, whose harvest its maintenance balances now."""
    if plan is None or plan.upkeep is None or not plan.upkeep.harvest:
        return plan
    harvest = known_crop(crop).harvest.replace("_seed", "_grain")
    known = harvest if harvest in {row.key for row in lime_removals()} else ""
    if not (known or plan.upkeep.nitrogen):
        return replace(plan, upkeep=None)
    return replace(plan, upkeep=replace(plan.upkeep, harvest=known))


def _of_ordinary_harvest(plan: NitrogenPlan | None) -> NitrogenPlan | None:
    """How nitrogen is worked out for another crop; the protein aimed at was that of the old."""
    return None if plan is None else replace(plan, protein_percent=math.nan)


def _for_crop(plan: NutrientPlan, crop: str) -> NutrientPlan:
    """How a nutrient is worked out for another crop; one's own figure was of the old harvest."""
    critical = plan.critical
    if critical is not None and critical.crop not in ("", crop):
        found = default_critical_range(critical.element, crop, analyte=critical.analyte)
        critical = found or critical
    return replace(plan, critical=critical, removal_kg_t=math.nan)


def set_target_yield(season: Season, target_yield_t_ha: float) -> Season:
    """Aim at another yield, told and not worked out from water. [t/ha]"""
    if target_yield_t_ha == season.crop.target_yield_t_ha:
        return season
    plan = replace(season.crop, target_yield_t_ha=target_yield_t_ha, water=None)
    return replace(season, crop=plan)


def set_water_target(season: Season, water: WaterTarget) -> Season:
    """Aim at a share of the yield that the water allows.

    Raises
    ------
    UnknownChoiceError
        If there is no such benchmark, or it was made for another crop.
    SoilInputError
        If the rain, the stored water or the share cannot be.
    """
    target = target_by_water(water, season.crop.crop)
    plan = replace(season.crop, target_yield_t_ha=target, water=water)
    return season if plan == season.crop else replace(season, crop=plan)


def set_crop_price(season: Season, price_t: float) -> Season:
    """Say what the crop is worth at the farm; NaN for not told. [currency/t]"""
    plan = replace(season.crop, price_t=price_t)
    return season if plan == season.crop else replace(season, crop=plan)


def set_critical_value(season: Season, critical: CriticalValue) -> Season:
    """Read the soil test against another calibration.

    Raises
    ------
    UnknownChoiceError
        If it was made for another crop.
    """
    if critical.crop != season.crop.crop:
        raise UnknownChoiceError(
            f"the critical value {critical.name!r} was made for {critical.crop}, not for "
            f"{season.crop.crop}",
            mend="Choose one for the crop that is grown, or give your own",
        )
    if critical == season.phosphorus.critical:
        return season
    return replace(season, phosphorus=replace(season.phosphorus, critical=critical))


def set_phosphorus_plan(season: Season, plan: PhosphorusPlan) -> Season:
    """Work phosphorus out in another way.

    Raises
    ------
    UnknownChoiceError
        If its critical value was made for another crop.
    """
    after = set_critical_value(season, plan.critical)
    same = repr(plan) == repr(after.phosphorus)  # repr, since NaN is not equal to itself
    return after if same else replace(after, phosphorus=plan)


def set_build_up(season: Season, *, factor_kg_ha_per_mg_kg: float, years: float) -> Season:
    """Count build-up with this factor over these years; a factor of NaN leaves it out."""
    plan = replace(
        season.phosphorus,
        build_up_factor_kg_ha_per_mg_kg=factor_kg_ha_per_mg_kg,
        build_up_years=years,
    )
    return set_phosphorus_plan(season, plan)


def set_phosphorus_removal(season: Season, kg_p_t: float, *, reason: str) -> Season:
    """Count the phosphorus of one's own harvest analysis; NaN for the published figure. [kg P/t]

    Raises
    ------
    MissingInputError
        If the figure cannot be, or has no reason.
    """
    harvest = known_crop(season.crop.crop).harvest
    removal = (
        None
        if math.isnan(kg_p_t)
        else own_removal(harvest, Nutrient.PHOSPHORUS, kg_p_t, reason=reason)
    )
    plan = replace(season.phosphorus, removal=removal)
    return set_phosphorus_plan(season, plan)


def set_product(season: Season, operation_id: str, product: Product) -> Season:
    """Spread another product in an operation."""
    return _with_operation(season, operation_id, lambda o: replace(o, product=product))


def set_rate_cap(season: Season, operation_id: str, rate_cap_kg_ha: float) -> Season:
    """Allow at most this rate of product in an operation; infinity for no cap. [kg/ha]"""
    return _with_operation(
        season, operation_id, lambda o: replace(o, rate_cap_kg_ha=rate_cap_kg_ha)
    )


def set_machine(season: Season, operation_id: str, machine: Machine) -> Season:
    """Spread an operation with another machine."""
    return _with_operation(season, operation_id, lambda o: replace(o, machine=machine))


def _with_operation(
    season: Season, operation_id: str, change: Callable[[Operation], Operation]
) -> Season:
    """The season with one operation changed; the same season if nothing changes."""
    operations = tuple(
        change(operation) if operation.id == operation_id else operation
        for operation in season.operations
    )
    if operation_id not in {operation.id for operation in operations}:
        raise UnknownChoiceError(f"the season has no operation {operation_id!r}")
    if [repr(o) for o in operations] == [repr(o) for o in season.operations]:
        return season
    return replace(season, operations=operations)
