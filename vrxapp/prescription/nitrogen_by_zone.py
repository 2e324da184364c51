"""Nitrogen needs of the zones: what yield and protein ask for beyond what the soil brings."""

import math

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.claims import both_texts
from vrxapp.agronomy.crop_removal import Nutrient, default_removal
from vrxapp.agronomy.crops import Crop, crop
from vrxapp.agronomy.nitrogen import (
    EFFICIENCY_CAUTION,
    NitrogenChoices,
    NitrogenNeed,
    NitrogenSupply,
    nitrogen_need,
)
from vrxapp.agronomy.nitrogen_demand import grain_nitrogen, protein_factor
from vrxapp.agronomy.nitrogen_supply import MineralNitrogen, mineral_nitrogen
from vrxapp.agronomy.trail import Trail, TrailStep
from vrxapp.need_plans import CropPlan, NitrogenPlan
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.soil.by_place import PlaceResults
from vrxapp.sources import Grade
from vrxapp.units import KILOGRAMS_PER_TONNE

NEED_UNIT = "kg N/ha"
_CAUTIONS = (
    EFFICIENCY_CAUTION,
    "Urea and ammonium on the surface lose ammonia, most on moist, limy or sandy soil without rain "
    "to follow; nitrate is washed from sands. Keep off waterlogged ground and away from water.",
    "Labels, local codes and licensed advice come before this sheet.",
)


def nitrogen_by_zone(
    nitrate: tuple[PlaceResults, ...],
    ammonium: tuple[PlaceResults, ...],
    carbon: PlaceResults,
    *,
    plan: NitrogenPlan,
    crop_plan: CropPlan,
) -> ZoneNeed:
    """Nitrogen that each zone needs, with the trail.

    Parameters
    ----------
    nitrate, ammonium : tuple of PlaceResults
        Results of each of the plan's layers, from the top down. [mg N/kg]
    carbon : PlaceResults
        Organic carbon of the top 10 cm. [%]
    plan : NitrogenPlan
        Efficiency, protein, layers, rain.
    crop_plan : CropPlan
        Crop and target yield.

    Returns
    -------
    ZoneNeed
        Fertiliser nitrogen. [kg N/ha]

    Raises
    ------
    MissingInputError
        If neither protein nor a published removal tells the nitrogen in the harvest.
    """
    soil = _mineral(nitrate, ammonium, plan)
    grain, told, source, grade = _grain(plan, crop_plan)
    counts_rain = not math.isnan(plan.growing_season_rain_mm)
    supply = NitrogenSupply(
        soil.total_kg_ha,
        organic_carbon_percent=carbon.mean,
        growing_season_rain_mm=plan.growing_season_rain_mm,
        legume_n_kg_ha=plan.legume_n_kg_ha,
        other_n_kg_ha=plan.other_n_kg_ha,
    )
    choices = NitrogenChoices(
        plan.efficiency,
        counts_mineralisation=counts_rain,
        counts_legume=plan.legume_n_kg_ha > 0,
    )
    need = nitrogen_need(np.full(len(carbon.mean), grain), supply, choices=choices)
    missing = np.isnan(need.need_kg_ha)
    reasons = np.where(missing & (soil.reason != ""), soil.reason, need.reason)
    steps = (
        *_layer_steps(nitrate, soil, plan),
        TrailStep(
            "grain_n",
            "nitrogen in the harvest",
            NEED_UNIT,
            need.grain_n_kg_ha,
            told,
            source=source,
            grade=grade,
        ),
        *_sum_steps(need, plan, soil=soil),
    )
    return ZoneNeed(
        need.need_kg_ha,
        NEED_UNIT,
        np.where(missing, reasons, "").astype(str),
        Trail(steps),
        _CAUTIONS,
    )


def legume_nitrogen_need(grown: Crop, count: int) -> ZoneNeed:
    """No need at all, with the reason: what nodules bring is not counted here.

    Parameters
    ----------
    grown : Crop
        A legume.
    count : int
        Number of places.
    """
    reason = (
        f"{grown.name.lower()} takes its nitrogen from the air where it nodulates well: look at "
        "the nodules and inoculate; no fertiliser nitrogen is worked out"
    )
    none = np.full(count, np.nan)
    step = TrailStep("need", "nitrogen need", NEED_UNIT, none, "")
    return ZoneNeed(none, NEED_UNIT, np.full(count, reason), Trail((step,)), _CAUTIONS)


def _mineral(
    nitrate: tuple[PlaceResults, ...], ammonium: tuple[PlaceResults, ...], plan: NitrogenPlan
) -> MineralNitrogen:
    """Mineral nitrogen of the layers."""
    ends = [tuple(map(float, layer.split("-"))) for layer in plan.layers_cm]
    return mineral_nitrogen(
        np.array([result.mean for result in nitrate]),
        top_cm=[top for top, _ in ends],
        bottom_cm=[bottom for _, bottom in ends],
        bulk_density_t_m3=[plan.bulk_density_t_m3] * len(ends),
        ammonium_n_mg_kg=np.array([result.mean for result in ammonium]),
    )


def _grain(plan: NitrogenPlan, crop_plan: CropPlan) -> tuple[float, str, str, Grade]:
    """Nitrogen in the harvest, the sentence that tells it, and how well it is known."""
    grown, aimed = crop(crop_plan.crop), crop_plan.target_yield_t_ha
    if math.isnan(plan.protein_percent):
        known = default_removal(grown.harvest, Nutrient.NITROGEN)
        return (
            aimed * known.kg_per_unit,
            f"The harvest holds {aimed:g} t/ha × {known.kg_per_unit:g} kg N/t = {{grain_n}} "
            f"kg N/ha ({known.where}).",
            known.source,
            known.grade,
        )
    factor = protein_factor(grown.harvest)
    amount = grain_nitrogen(aimed, plan.protein_percent, protein_per_n=factor.protein_per_n)
    return (
        float(amount),
        f"The harvest holds {aimed:g} t/ha × {KILOGRAMS_PER_TONNE:g} × {plan.protein_percent:g} % "
        f"protein ÷ 100 ÷ {factor.protein_per_n:g} = {{grain_n}} kg N/ha.",
        factor.source,
        factor.grade,
    )


def _layer_steps(
    nitrate: tuple[PlaceResults, ...], soil: MineralNitrogen, plan: NitrogenPlan
) -> tuple[TrailStep, ...]:
    """What each layer holds."""
    return tuple(
        TrailStep(
            f"layer_{row}",
            f"mineral nitrogen, {layer} cm",
            NEED_UNIT,
            soil.layer_kg_ha[row],
            f"In {layer} cm the soil holds {{layer_{row}}} kg N/ha as nitrate and, where measured, "
            f"ammonium (bulk density {plan.bulk_density_t_m3:g} t/m³).",
            told=nitrate[row].count > 0,
        )
        for row, layer in enumerate(plan.layers_cm)
    )


def _sum_steps(
    need: NitrogenNeed, plan: NitrogenPlan, *, soil: MineralNitrogen
) -> tuple[TrailStep, ...]:
    """Demand, supply and what is left."""
    known = ~np.isnan(need.need_kg_ha)
    last = TrailStep(
        "need",
        "nitrogen need",
        NEED_UNIT,
        need.need_kg_ha,
        "Need: {demand} − {mineral} − {mineralised} − {legume} − {other} = {need} kg N/ha, "
        "never below zero.",
        told=known,
    )
    return (
        _demand_step(need, plan),
        *_supply_steps(need, known),
        *_mind_steps(need, both_texts(need.doubt, soil.doubt), known),
        last,
    )


def _demand_step(need: NitrogenNeed, plan: NitrogenPlan) -> TrailStep:
    """What must be within reach of the roots for the harvest."""
    return TrailStep(
        "demand",
        "nitrogen that must be within reach",
        NEED_UNIT,
        need.demand_kg_ha,
        f"Within reach there must be {{grain_n}} ÷ {plan.efficiency.value:g} = {{demand}} "
        f"kg N/ha ({plan.efficiency.name.lower()}).",
        source=plan.efficiency.source,
        grade=plan.efficiency.grade,
    )


def _supply_steps(need: NitrogenNeed, known: NDArray[np.bool_]) -> tuple[TrailStep, ...]:
    """What the soil, the season and the paddock's past bring."""
    return (
        TrailStep("mineral", "mineral nitrogen", NEED_UNIT, need.mineral_n_kg_ha, ""),
        TrailStep(
            "mineralised",
            "set free in the crop",
            NEED_UNIT,
            need.mineralised_kg_ha,
            "Organic matter sets free about {mineralised} kg N/ha while the crop grows, half more "
            "or less: the need would then be {low} to {high} kg N/ha.",
            source="grdc-mineralisation",
            grade=Grade.PUBLISHED,
            told=known & (need.mineralised_kg_ha > 0),
        ),
        TrailStep("low", "need, least", NEED_UNIT, need.low_kg_ha, ""),
        TrailStep("high", "need, most", NEED_UNIT, need.high_kg_ha, ""),
        TrailStep("legume", "from the legume before", NEED_UNIT, need.legume_n_kg_ha, ""),
        TrailStep("other", "from manure and water", NEED_UNIT, need.other_n_kg_ha, ""),
        TrailStep(
            "surplus",
            "surplus",
            NEED_UNIT,
            need.surplus_kg_ha,
            "The soil brings {surplus} kg N/ha more than is asked for.",
            told=known & (need.surplus_kg_ha > 0),
        ),
    )


def _mind_steps(
    need: NitrogenNeed, doubt: NDArray[np.object_], known: NDArray[np.bool_]
) -> tuple[TrailStep, ...]:
    """Why the need is less sure than it looks, and where it is better split."""
    return (
        TrailStep(
            "doubt",
            "doubt",
            "",
            np.where(known, doubt, "").astype(str),
            "Mind: {doubt}.",
            told=known & (doubt != ""),
        ),
        TrailStep(
            "split",
            "better split",
            "",
            np.where(need.is_better_split, "yes", "no"),
            "So much at once is better split: part at sowing, the rest when the season shows.",
            source="program-choice",
            grade=Grade.COMMON_PRACTICE,
            told=need.is_better_split,
        ),
    )
