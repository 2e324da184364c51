"""Which functions stand behind each rule, for those who want to check it by hand."""

from collections.abc import Callable
from dataclasses import dataclass

from vrxapp.agronomy import (
    cation_balance,
    fulvic,
    gypsum,
    gypsum_need,
    humate_plan,
    humate_policy,
    humate_proportion,
    humates,
    lime,
    lime_buffering,
    lime_maintenance,
    lime_quality,
    lime_tables,
    lime_tests,
    lime_upkeep,
    magnesium,
    nitrogen,
    nitrogen_demand,
    nitrogen_supply,
    own_rule,
    phosphorus,
    phosphorus_loss,
    phosphorus_outlook,
    potassium,
    replacement,
    response_curve,
    salinity,
    salt_tolerance,
    sodicity,
    soil_mass,
    sufficiency,
    sulfur,
    trace_elements,
    volatilisation,
    yield_potential,
)
from vrxapp.errors import UnknownChoiceError
from vrxapp.inputs import humate_acceptance, humate_inclusion
from vrxapp.need_plans import NUTRIENTS, SYMBOLS, TRACES, Purpose
from vrxapp.soil import phosphorus_buffering, sampling_size

Function = Callable[..., object]


@dataclass(frozen=True, slots=True)
class BookRule:
    """A rule with the needs it serves and the functions that work it out.

    Parameters
    ----------
    name : str
        What it is called here.
    purposes : tuple of Purpose
        Needs that it serves; none for what no need follows from.
    functions : tuple of callable
        Its functions; the one that gives the need stands first.
    serves : str, optional
        What it serves where no need follows from it.
    """

    name: str
    purposes: tuple[Purpose, ...]
    functions: tuple[Function, ...]
    serves: str = ""


_SUFFICIENCY: tuple[Function, ...] = (
    sufficiency.sufficiency_need,
    sufficiency.capital_by_layer_mass,
    soil_mass.soil_mass,
)
BOOK = (
    BookRule(
        "phosphorus",
        (Purpose.PHOSPHORUS,),
        (
            phosphorus.phosphorus_need,
            phosphorus.build_up_phosphorus,
            phosphorus.replacement_phosphorus,
            phosphorus.critical_colwell_for_cropping,
            phosphorus.critical_colwell_for_pasture,
            phosphorus.has_raised_loss_risk,
            phosphorus_loss.phosphorus_loss_flag,
            phosphorus_outlook.soil_phosphorus_after,
            phosphorus_outlook.build_up_factor_from_pbi,
        ),
    ),
    BookRule(
        "lime",
        (Purpose.LIME,),
        (
            lime.lime_need,
            lime_buffering.buffer_capacity,
            lime_buffering.lime_by_buffering,
            lime_tables.lime_by_buffer_table,
            lime_tables.lime_by_texture,
            lime_tables.lime_by_ecec,
            lime_tests.lime_by_aluminium,
            lime_tests.lime_by_tolerated_aluminium,
            lime_tests.lime_by_mehlich_buffer,
        ),
    ),
    BookRule(
        "lime-maintenance",
        (Purpose.LIME,),
        (
            lime_upkeep.upkeep_t_ha,
            lime_maintenance.lime_for_harvest,
            lime_maintenance.lime_for_nitrogen,
            lime_maintenance.lime_for_elemental_sulfur,
        ),
    ),
    BookRule(
        "lime-quality",
        (Purpose.LIME,),
        (
            lime_quality.lime_product_rate,
            lime_quality.effective_nv_by_size,
            lime_quality.fineness_by_mesh,
            lime_quality.available_value,
            lime_quality.effective_cost,
            lime_quality.is_too_much_on_top,
            lime_quality.pure_neutralising_value,
        ),
    ),
    BookRule(
        "gypsum",
        (Purpose.GYPSUM,),
        (
            gypsum_need.gypsum_need,
            gypsum.gypsum_for_sodium,
            gypsum.sodium_to_replace,
            gypsum.gypsum_by_oster,
            gypsum.gypsum_by_handbook,
            sodicity.exchangeable_sodium_percent,
        ),
    ),
    BookRule(
        "nitrogen",
        (Purpose.NITROGEN,),
        (
            nitrogen.nitrogen_need,
            nitrogen_demand.grain_nitrogen,
            nitrogen_supply.mineral_nitrogen,
            nitrogen_supply.in_crop_mineralisation,
            nitrogen_supply.legume_nitrogen,
            volatilisation.nitrogen_volatilised,
        ),
    ),
    BookRule("potassium", (Purpose.POTASSIUM,), (potassium.potassium_need, *_SUFFICIENCY)),
    BookRule("sulfur", (Purpose.SULFUR,), (sulfur.sulfur_need, *_SUFFICIENCY)),
    BookRule("magnesium", (Purpose.MAGNESIUM,), (magnesium.magnesium_need, *_SUFFICIENCY)),
    BookRule(
        "sufficiency",
        NUTRIENTS,
        _SUFFICIENCY,
    ),
    BookRule(
        "cation-balance",
        (Purpose.CALCIUM, Purpose.MAGNESIUM, Purpose.POTASSIUM),
        (cation_balance.cation_balance_need, cation_balance.cation_deficit),
    ),
    BookRule(
        "trace-elements", TRACES, (trace_elements.trace_element_need, trace_elements.trace_class)
    ),
    BookRule("replacement", tuple(SYMBOLS), (replacement.replacement_need,)),
    BookRule("own-rule", tuple(SYMBOLS), (own_rule.own_rule_need,)),
    BookRule(
        "response-curve",
        (Purpose.NITROGEN, Purpose.PHOSPHORUS),
        (
            response_curve.mitscherlich,
            response_curve.mitscherlich_optimum,
            response_curve.linear_plateau,
            response_curve.linear_plateau_optimum,
            response_curve.quadratic,
            response_curve.quadratic_optimum,
            response_curve.margin_over_nutrient,
        ),
    ),
    BookRule(
        "yield-potential",
        (Purpose.NITROGEN,),
        (
            yield_potential.water_limited_yield,
            yield_potential.stored_water,
            yield_potential.yield_target,
        ),
    ),
    BookRule(
        "phosphorus-buffering",
        (Purpose.PHOSPHORUS,),
        (
            phosphorus_buffering.pbi_with_colwell,
            phosphorus_buffering.pbi_from_unadjusted,
            phosphorus_buffering.pbi_from_olsen,
        ),
    ),
    BookRule(
        "humates",
        (),
        (
            humate_plan.humate_plan,
            humate_policy.capped_humate,
            humate_policy.least_phosphorus,
            humate_inclusion.included_humate,
            humate_acceptance.humic_acid_dose,
            humates.cec_added,
            humate_proportion.exchange_in_proportion,
            humate_proportion.carbon_share_percent,
            humate_proportion.charge_per_phosphorus,
            fulvic.fulvic_band,
        ),
        serves="a humate beside a fertiliser",
    ),
    BookRule(
        "salinity",
        (),
        (
            salinity.salinity_class,
            salinity.ece_by_line,
            salinity.ece_class,
            salt_tolerance.relative_yield_under_salt,
        ),
        serves="notes on salt",
    ),
    BookRule(
        "sampling-size",
        (),
        (
            sampling_size.cores_needed_few,
            sampling_size.cores_needed,
            sampling_size.composite_cv_percent,
            sampling_size.cores_between_bands,
        ),
        serves="sampling",
    ),
)
"""Every rule there is to explain."""


def rules_called(name: str) -> tuple[BookRule, ...]:
    """The rule with this name, else every rule that serves a need of this name.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    wanted = name.strip().casefold()
    named = tuple(rule for rule in BOOK if rule.name == wanted)
    serving = tuple(rule for rule in BOOK if wanted in rule.purposes)
    if not (named or serving):
        names = ", ".join(dict.fromkeys((*(rule.name for rule in BOOK), *map(str, Purpose))))
        raise UnknownChoiceError(f"there is no rule {name!r}", mend=f"Choose one of: {names}")
    return named or serving
