"""Phosphorus needs of the zones, with the trail from soil test to need."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.critical_values import critical_range, is_awaited
from vrxapp.agronomy.crop_removal import Nutrient, Removal, default_removal, removals
from vrxapp.agronomy.crops import Crop, crop
from vrxapp.agronomy.phosphorus import (
    PhosphorusNeed,
    phosphorus_class,
    phosphorus_need,
)
from vrxapp.agronomy.phosphorus_loss import phosphorus_loss_flag
from vrxapp.agronomy.trail import Trail, TrailStep
from vrxapp.errors import MissingInputError
from vrxapp.need_plans import CropPlan, PhosphorusPlan
from vrxapp.prescription.confidence_steps import confidence_steps
from vrxapp.prescription.phosphorus_loss_steps import loss_steps, without_build_up
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.soil.analytes import analyte
from vrxapp.soil.by_place import PlaceResults
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table

COLWELL = "colwell_p"
LOSS_DEPTH_CM = "0-10"
"""The layer in which the flag of phosphorus loss reads Colwell P and PBI. [cm]"""
NEED_UNIT = "kg P/ha"


@dataclass(frozen=True, slots=True)
class BuildUpRange:
    """A published range of the phosphorus that lifts a soil test by one unit."""

    analyte: str
    low_kg_ha_per_mg_kg: float
    high_kg_ha_per_mg_kg: float
    source: str
    where: str
    grade: Grade


def build_up_ranges(analyte_key: str) -> tuple[BuildUpRange, ...]:
    """What has been published on building up this soil test."""
    return tuple(r for r in read_table("build_up.csv", BuildUpRange) if r.analyte == analyte_key)


@lru_cache(maxsize=64)
def phosphorus_by_zone(
    test: PlaceResults,
    pbi: PlaceResults,
    plan: PhosphorusPlan,
    crop_plan: CropPlan,
    *,
    loss: tuple[PlaceResults, PlaceResults],
) -> ZoneNeed:
    """Need of each zone from its soil test, with the trail.

    Parameters
    ----------
    test : PlaceResults
        Results of the soil test that the plan's critical value was made for. [mg/kg]
    pbi : PlaceResults
        Phosphorus buffering index of each zone. [index]
    plan : PhosphorusPlan
        Critical value and build-up.
    crop_plan : CropPlan
        Crop and target yield.
    loss : tuple of two PlaceResults
        Colwell P and PBI of the top 10 cm, whatever test the need is read from: where
        their ratio flags a loss to water, nothing is built up. [mg/kg] [index]
    """
    removal = phosphorus_removal(plan, crop_plan)
    low, high = critical_range(plan.critical, pbi.mean)
    need = phosphorus_need(
        test.mean,
        critical_low_mg_kg=low,
        critical_high_mg_kg=high,
        target_yield_t_ha=crop_plan.target_yield_t_ha,
        removal_kg_t=removal.kg_per_unit if removal else np.nan,
        build_up_factor_kg_ha_per_mg_kg=plan.build_up_factor_kg_ha_per_mg_kg,
        build_up_years=plan.build_up_years,
        pbi=pbi.mean if plan.critical.analyte == COLWELL else np.nan,
    )
    own = test.mean if plan.critical.analyte == COLWELL else np.full(test.mean.shape, np.nan)
    flag = phosphorus_loss_flag(loss[0].mean, loss[1].mean)
    need = without_build_up(need, flag.is_raised)
    steps = (
        *_test_steps(test),
        *_critical_steps(test, plan, low, high),
        *confidence_steps(test, low),
        *_build_up_steps(need, plan, pbi),
        *loss_steps(own, pbi, flag),
        *_replacement_steps(need, crop_plan, removal),
    )
    reasons = _reasons(test, plan, low=low, removal=removal, grown=crop(crop_plan.crop))
    return ZoneNeed(need.need_kg_ha, NEED_UNIT, reasons, Trail(steps))


def phosphorus_removal(plan: PhosphorusPlan, crop_plan: CropPlan) -> Removal | None:
    """Phosphorus in a tonne of harvest: one's own, else the published; None without either."""
    if plan.removal is not None:
        return plan.removal
    try:
        return default_removal(crop(crop_plan.crop).harvest, Nutrient.PHOSPHORUS)
    except MissingInputError:
        return None


def _reasons(
    test: PlaceResults,
    plan: PhosphorusPlan,
    *,
    low: NDArray[np.float64],
    removal: Removal | None,
    grown: Crop,
) -> NDArray[np.str_]:
    """Why a zone has no need; what holds for all zones is told first."""
    name = analyte(plan.critical.analyte).name
    awaited = np.full(low.shape, is_awaited(plan.critical))
    return np.select(
        [awaited, np.full(low.shape, removal is None), np.isnan(test.mean), np.isnan(low)],
        [
            f"no critical value of phosphorus is published for {grown.name.lower()} here; give "
            "your own: value, soil test, layer and reason",
            f"no published figure of phosphorus in {grown.name.lower()} was found; give that of "
            f"your own analysis, in kg P/t{_unverified(grown)}",
            f"no {name} result at {plan.critical.depth_cm} cm; a result by another test is "
            "never read in its place: for that give your own critical value",
            "the chosen critical value needs a phosphorus buffering index between 15 and 840",
        ],
        default="",
    )


def _unverified(grown: Crop) -> str:
    """Figures that nobody could check, for one to choose knowingly."""
    figures = [f"{r.kg_per_unit:g}" for r in removals(grown.harvest, Nutrient.PHOSPHORUS)]
    return f" (from memory, unverified: {' or '.join(figures)})" if figures else ""


def _test_steps(test: PlaceResults) -> tuple[TrailStep, ...]:
    """What the laboratory found."""
    name, unit = test.analyte.name, test.analyte.unit
    count = test.count.astype(float)
    return (
        TrailStep("samples", "samples", "", count, ""),
        TrailStep("error", f"{name}, standard error", unit, test.standard_error, ""),
        TrailStep(
            "test",
            f"{name}, mean",
            unit,
            test.mean,
            f"{name} is {{test}} {unit}, the mean of {{samples}} samples (standard error "
            f"{{error}} {unit}).",
            told=test.count > 1,
        ),
        TrailStep(
            "one_test",
            f"{name}, single sample",
            unit,
            np.where(test.count == 1, test.mean, np.nan),
            f"{name} is {{test}} {unit}, from one sample, so its error is not known.",
            told=test.count == 1,
        ),
        TrailStep(
            "beyond",
            "results beyond a detection limit",
            "",
            test.beyond_limit.astype(float),
            "{beyond} of the results are only known to lie beyond a detection limit; below it half "
            "the limit counts, above it the limit itself.",
            source="program-choice",
            grade=Grade.COMMON_PRACTICE,
            told=test.beyond_limit > 0,
        ),
    )


def _critical_steps(
    test: PlaceResults,
    plan: PhosphorusPlan,
    low: NDArray[np.float64],
    high: NDArray[np.float64],
) -> tuple[TrailStep, ...]:
    """What the test is read against, and how it stands."""
    critical, unit = plan.critical, test.analyte.unit
    klass = phosphorus_class(test.mean, critical_low_mg_kg=low, critical_high_mg_kg=high)
    one_value = bool(np.all((low == high) | np.isnan(low)))
    span = "value is {critical_low}" if one_value else "range is {critical_low} to {critical_high}"
    aim = "" if one_value else "; build-up aims at its middle, {target} " + unit
    standing = {"below": "below", "inside": "inside" if not one_value else "at", "above": "above"}
    words = np.array([standing.get(k, k) for k in klass])
    return (
        TrailStep("critical_low", "critical range, low end", unit, low, ""),
        TrailStep("critical_high", "critical range, high end", unit, high, ""),
        TrailStep("target", "build-up target", unit, (low + high) / 2.0, ""),
        TrailStep(
            "standing",
            "against the critical range",
            "",
            words,
            f"The critical {span} {unit} ({critical.name}, {critical.depth_cm} cm: "
            f"{critical.where}); the test is {{standing}} it{aim}.",
            source=critical.source,
            grade=critical.grade,
        ),
    )


def _build_up_steps(
    need: PhosphorusNeed, plan: PhosphorusPlan, pbi: PlaceResults
) -> tuple[TrailStep, ...]:
    """What lifts the soil towards the target this season."""
    published = build_up_ranges(plan.critical.analyte)
    spans = " or ".join(
        f"{r.low_kg_ha_per_mg_kg:g} to {r.high_kg_ha_per_mg_kg:g} ({r.source})" for r in published
    )
    told = f"published: {spans}" if published else "no published factor for this test is known here"
    factor, years = plan.build_up_factor_kg_ha_per_mg_kg, plan.build_up_years
    chosen = not np.isnan(factor)
    if chosen:
        sentence = (
            f"Build-up: ({{target}} − {{test}}) mg/kg × {factor:g} kg P/ha per mg/kg ÷ "
            f"{years:g} years = {{build_up}} kg P/ha. The factor is the agronomist's; "
            f"{told}."
        )
    elif published:
        sentence = (
            f"Build-up is left out: no factor has been chosen, since the published ones "
            f"disagree: {spans} kg P/ha per mg/kg."
        )
    else:
        sentence = f"Build-up is left out: no factor has been chosen; {told}."
    below = need.build_up_kg_ha > 0
    missing = np.logical_and(not chosen, ~need.risk_of_loss)
    enough = np.isfinite(need.need_kg_ha) & ~below & ~need.risk_of_loss & chosen
    index = TrailStep("pbi", "phosphorus buffering index", "index", pbi.mean, "")
    build_up = TrailStep(
        "build_up",
        "build-up",
        "kg P/ha",
        need.build_up_kg_ha,
        sentence,
        source=published[0].source if published else "",
        grade=Grade.YOURS if chosen else Grade.PUBLISHED if published else None,
        told=below | missing,
    )
    no_deficit = TrailStep(
        "no_deficit",
        "no build-up needed",
        "kg P/ha",
        np.where(enough, 0.0, np.nan),
        "Build-up: none, the test is not below the target.",
        told=enough,
    )
    return (index, build_up, no_deficit)


def _replacement_steps(
    need: PhosphorusNeed, crop_plan: CropPlan, removal: Removal | None
) -> tuple[TrailStep, ...]:
    """What the harvest carries away, and the sum."""
    if removal is None:
        return ()
    grown = crop(crop_plan.crop)
    low, high = removal.low_kg_per_unit, removal.high_kg_per_unit
    span = "" if np.isnan(low) else f"; range {low:g} to {high:g} kg P/t, {removal.range_source}"
    return (
        TrailStep(
            "replacement",
            "replacement",
            "kg P/ha",
            need.replacement_kg_ha,
            f"Replacement: {crop_plan.target_yield_t_ha:g} t/ha × {removal.kg_per_unit:g} kg P/t "
            f"of {grown.name.lower()} {grown.product} = {{replacement}} kg P/ha "
            f"({removal.where}{span}).",
            source=removal.source,
            grade=removal.grade,
        ),
        TrailStep(
            "need",
            "phosphorus need",
            "kg P/ha",
            need.need_kg_ha,
            "Need: {build_up} + {replacement} = {need} kg P/ha.",
        ),
    )
