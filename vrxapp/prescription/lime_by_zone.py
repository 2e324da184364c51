"""Lime needs of the zones, with the trail from soil test to pure lime."""

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.lime import lime_need
from vrxapp.agronomy.lime_upkeep import upkeep_steps
from vrxapp.agronomy.lime_values import LimeMethod, LimeNeed, LimeSoil, lime_method
from vrxapp.agronomy.trail import Trail, TrailStep, filled
from vrxapp.need_plans import CropPlan, LimePlan
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.prescription.zone_textures import texture_steps, zone_textures
from vrxapp.soil.by_place import PlaceResults
from vrxapp.sources import Grade
from vrxapp.units import PERCENT

NEED_UNIT = "t CaCO3/ha"
_SOIL_COLUMNS = {
    "ph_cacl2": "ph_cacl2",
    "ph_water": "ph_water",
    "organic_carbon_percent": "organic_carbon",
    "clay_percent": "clay",
    "buffer_capacity_cmol_kg_ph": "ph_buffer_capacity",
    "aluminium_cmol_kg": "exch_al",
    "ecec_cmol_kg": "ecec",
}
"""Columns of the rule and the analytes of the lab sheet that fill them."""
_BUFFERS = {
    LimeMethod.MEHLICH_BUFFER: "buffer_ph_mehlich",
    LimeMethod.QUEENSLAND_BUFFER: "buffer_ph_queensland",
}
"""Methods that read a buffer pH, each the one by its own buffer."""


def lime_analytes(plan: LimePlan) -> tuple[str, ...]:
    """Keys of the analytes that the chosen method reads, also those that it can do without."""
    needs = (*lime_method(plan.method).needs, *_read_beside(plan))
    known = tuple(key for column, key in _SOIL_COLUMNS.items() if column in needs)
    own_buffer = _BUFFERS.get(plan.method)
    return known if own_buffer is None else (*known, own_buffer)


def _read_beside(plan: LimePlan) -> tuple[str, ...]:
    """Columns that change the need where they were measured, or that one's choice asks for."""
    if plan.method is LimeMethod.TEXTURE:
        return ("organic_carbon_percent",)
    chosen = plan.choices.buffer_function
    is_estimated = plan.method is LimeMethod.ESTIMATED_BUFFERING
    # all estimates stand beside the chosen one, and some of them read clay
    return ("clay_percent",) if is_estimated and chosen is not None else ()


def lime_by_zone(
    results: tuple[PlaceResults, ...], plan: LimePlan, crop_plan: CropPlan, *, count: int
) -> ZoneNeed:
    """Pure lime that each zone needs, with the trail.

    Parameters
    ----------
    results : tuple of PlaceResults
        Results of the analytes that `lime_analytes` names.
    plan : LimePlan
        Method, targets, maintenance, and what the sheet does not tell.
    crop_plan : CropPlan
        Its yield is what maintenance balances.
    count : int
        Number of zones.

    Returns
    -------
    ZoneNeed
        Pure lime. [t CaCO3/ha]
    """
    by_key = {result.analyte.key: result.mean for result in results}
    untold = np.full(count, np.nan)
    soil = LimeSoil(
        ph_cacl2=by_key.get("ph_cacl2", untold),
        ph_water=by_key.get("ph_water", untold),
        buffer_ph=by_key.get(_BUFFERS.get(plan.method, ""), untold),
        organic_carbon_percent=by_key.get("organic_carbon", untold),
        clay_percent=by_key.get("clay", untold),
        buffer_capacity_cmol_kg_ph=by_key.get("ph_buffer_capacity", untold),
        aluminium_cmol_kg=by_key.get("exch_al", untold),
        ecec_cmol_kg=by_key.get("ecec", untold),
        texture=zone_textures(results, plan.texture, count=count),
        bulk_density_t_m3=np.full(count, plan.bulk_density_t_m3),
    )
    need = lime_need(plan.method, soil, choices=plan.choices)
    reasons = np.where(np.isnan(need.need_t_ha), need.reason, "").astype(str)
    upkeep = upkeep_steps(plan.upkeep, crop_plan.target_yield_t_ha, count)
    total = need.need_t_ha + np.asarray(upkeep[-1].values, dtype=float)
    steps = (
        *_result_steps(results),
        *texture_steps(results, plan.texture, count=count),
        *_aluminium_steps(by_key, need, plan),
        *_method_steps(need, plan),
        *upkeep,
        _need_step(total, has_upkeep=plan.upkeep is not None),
    )
    return ZoneNeed(total, NEED_UNIT, reasons, Trail(steps))


def _result_steps(results: tuple[PlaceResults, ...]) -> tuple[TrailStep, ...]:
    """What the laboratory found, one sentence an analyte."""
    return tuple(
        TrailStep(
            result.analyte.key,
            f"{result.analyte.name}, mean",
            result.analyte.unit,
            result.mean,
            f"{result.analyte.name} is {{{result.analyte.key}}} {result.analyte.unit} "
            f"({result.analyte.method}).",
            told=result.count > 0,
        )
        for result in results
    )


def _target(plan: LimePlan) -> float:
    """The target on the scale that the method reads. [pH]"""
    choices = plan.choices
    is_in_water = plan.method is LimeMethod.QUEENSLAND_BUFFER
    return choices.target_ph_water if is_in_water else choices.target_ph_cacl2


def _aluminium_steps(
    by_key: dict[str, NDArray[np.float64]], need: LimeNeed, plan: LimePlan
) -> tuple[TrailStep, ...]:
    """How much aluminium lies above what the crop bears, where that is the method."""
    if plan.method is not LimeMethod.TOLERATED_ALUMINIUM:
        return ()
    borne = plan.choices.tolerated_aluminium_percent
    surplus = by_key["exch_al"] - by_key["ecec"] * borne / PERCENT
    return (
        TrailStep(
            "surplus",
            "aluminium above what the crop bears",
            "cmol(+)/kg",
            surplus,
            f"The crop bears {borne:g} % of the effective CEC: {{exch_al}} − {borne:g} % of "
            "{ecec} = {surplus} cmol(+)/kg too much.",
            grade=Grade.YOURS,
            told=need.need_t_ha > 0,
        ),
    )


def _method_steps(need: LimeNeed, plan: LimePlan) -> tuple[TrailStep, ...]:
    """The method's own steps: gap, buffering, amount, doubt and spread."""
    facts = lime_method(plan.method)
    count = len(need.need_t_ha)
    limed, told = need.need_t_ha > 0, ~np.isnan(need.need_t_ha)
    return (
        TrailStep(
            "ph_gap",
            "pH to be raised",
            "pH",
            need.ph_gap,
            f"The pH is {{ph_gap}} below the target of {_target(plan):g}.",
            told=limed & ~np.isnan(need.ph_gap),
        ),
        TrailStep(
            "buffering",
            "pH buffer capacity",
            "cmol H+/kg per pH",
            need.buffer_capacity_cmol_kg_ph,
            "The pH buffer capacity is {buffering} cmol H+/kg per pH unit, with a bulk density of "
            f"{plan.bulk_density_t_m3:g} t/m³.",
            told=limed & ~np.isnan(need.buffer_capacity_cmol_kg_ph),
        ),
        TrailStep(
            "printed",
            "lime as the method prints it",
            "t/ha",
            need.as_printed_t_ha,
            f"By {facts.name} it takes {{printed}} t/ha in the method's own form ({need.where}).",
            source=need.source,
            grade=need.grade,
            told=limed,
        ),
        TrailStep(
            "doubt",
            "doubt",
            "",
            need.doubt.astype(str),
            "Mind: {doubt}.",
            told=need.doubt != "",
        ),
        TrailStep("low", "least by all estimates", "t/ha", need.low_t_ha, ""),
        TrailStep("high", "most by all estimates", "t/ha", need.high_t_ha, ""),
        _spread_step(need),
        TrailStep(
            "none_needed",
            "no lime needed",
            "",
            np.where(told, need.reason, "").astype(str),
            "No lime: {none_needed}.",
            told=told & ~limed,
        ),
        TrailStep("pure_share", "pure lime in that form", "", filled(need.pure_share, count), ""),
    )


def _need_step(total_t_ha: NDArray[np.float64], *, has_upkeep: bool) -> TrailStep:
    """The need, with the maintenance that was asked for."""
    more = " + {upkeep}" if has_upkeep else ""
    return TrailStep(
        "need",
        "need of pure lime",
        NEED_UNIT,
        total_t_ha,
        f"Need: {{printed}} t/ha × {{pure_share}}{more} = {{need}} t of pure lime (CaCO3) per "
        "hectare.",
    )


def _spread_step(need: LimeNeed) -> TrailStep:
    """How far apart the published estimates of the buffer capacity lie on this soil."""
    spread = ~np.isnan(need.low_t_ha) & (need.need_t_ha > 0)
    words: NDArray[np.str_] = np.where(spread, "yes", "no")
    return TrailStep(
        "spread",
        "estimates disagree",
        "",
        words,
        "The estimates of the buffer capacity disagree: on this soil they ask for {low} to {high} "
        "t/ha of pure lime. A measured buffer test settles it.",
        told=spread,
    )
