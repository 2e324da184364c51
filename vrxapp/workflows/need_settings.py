"""From a few settings to how a need is worked out; what has no sourced default must be given."""

import math
from dataclasses import dataclass, field

from vrxapp.agronomy.cation_balance import FreeSalt
from vrxapp.agronomy.critical_ranges import (
    CriticalRange,
    critical_range_of,
    critical_ranges,
    default_critical_range,
    own_critical_range,
)
from vrxapp.agronomy.figures import Figure, FigureTable, figure, own_figure
from vrxapp.agronomy.gypsum_values import Dispersion, GypsumChoices, GypsumMethod
from vrxapp.agronomy.sufficiency_values import NeedChoices, NeedPolicy
from vrxapp.agronomy.trace_elements import trace_tests
from vrxapp.agronomy.trace_rates import (
    Placement,
    TraceElement,
    TraceRate,
    own_trace_rate,
    trace_rates,
)
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.need_plans import SYMBOLS, GypsumPlan, NitrogenPlan, NutrientPlan, Purpose, TracePlan
from vrxapp.soil.analytes import analyte
from vrxapp.soil.by_layer import layers_down
from vrxapp.soil.results_table import ResultsTable, column_of
from vrxapp.sources import Grade

EFFICIENCIES = ("efficiency_rule", "recovery_victoria", "recovery_wheat")
"""Figures that can stand for the share of nitrogen that ends in the grain."""


@dataclass(frozen=True, slots=True)
class NutrientSettings:
    """What the user decides about potassium, sulfur, magnesium or calcium.

    Parameters
    ----------
    purpose : Purpose
        Which of them.
    range_key : str
        Key of a published range; empty for the default of the crop and the tests at hand.
    test, depth_cm : str
        Soil test and layer of a range of one's own.
    own_low, own_high : float
        Ends of a range of one's own; NaN for none. [unit of the test]
    reason : str
        Where it comes from.
    choices : NeedChoices
        Policy, years, limit.
    bulk_density_t_m3 : float
        Bulk density of the layer. [t/m³]
    texture : str
        Texture of the paddock.
    removal_kg_t : float
        One's own figure of what a tonne of harvest holds. [kg/t]
    scheme : str
        Whose shares of the exchange to aim at, for cation balance.
    free_salt : FreeSalt
        Whether samples held free lime, gypsum or salt.
    """

    purpose: Purpose
    range_key: str = ""
    test: str = ""
    depth_cm: str = "0-10"
    own_low: float = math.nan
    own_high: float = math.nan
    reason: str = ""
    choices: NeedChoices = field(default_factory=NeedChoices)
    bulk_density_t_m3: float = math.nan
    texture: str = ""
    removal_kg_t: float = math.nan
    scheme: str = ""
    free_salt: FreeSalt = FreeSalt.NOT_TOLD


def nutrient_plan_from(
    settings: NutrientSettings, crop: str, tests: ResultsTable | None
) -> NutrientPlan:
    """How a nutrient is worked out.

    Parameters
    ----------
    settings : NutrientSettings
        What the user decided.
    crop : str
        Key of the crop.
    tests : ResultsTable or None
        The lab sheet; its tests choose among the published ranges.

    Raises
    ------
    MissingInputError
        If no published range fits and none of one's own is given.
    """
    is_balance = settings.choices.policy is NeedPolicy.CATION_BALANCE
    return NutrientPlan(
        settings.purpose,
        None if is_balance else _critical(settings, crop, tests),
        settings.choices,
        settings.bulk_density_t_m3,
        settings.texture,
        settings.removal_kg_t,
        settings.scheme,
        settings.free_salt,
    )


def _critical(settings: NutrientSettings, crop: str, tests: ResultsTable | None) -> CriticalRange:
    """The range that was chosen, one's own, or the published one that fits the tests."""
    element = SYMBOLS[settings.purpose]
    if not math.isnan(settings.own_low):
        like = _own(element, crop, test=settings.test, depth_cm=settings.depth_cm)
        high = settings.own_low if math.isnan(settings.own_high) else settings.own_high
        return own_critical_range(like, settings.own_low, high, reason=settings.reason)
    if settings.range_key:
        chosen = critical_range_of(settings.range_key)
        keys = ", ".join(range_choices(settings.purpose, crop))
        if chosen.element != element or chosen.crop not in ("", crop):
            raise UnknownChoiceError(
                f"the range {chosen.name!r} was made for {chosen.element} in "
                f"{chosen.crop or 'any crop'}, not for {element} in {crop}",
                mend=f"Choose one of: {keys or 'none; give your own'}",
            )
        return chosen
    for column in tests.columns if tests is not None else ():
        found = default_critical_range(element, crop, analyte=column.analyte.key)
        if found is not None:
            return found
    others = ", ".join(range_choices(settings.purpose, crop))
    raise MissingInputError(
        f"no published range of {element} fits {crop} and the tests of the lab sheet",
        mend="Give your own range with its test and reason"
        + (f", or choose one of: {others}" if others else ""),
    )


def range_choices(purpose: Purpose, crop: str) -> list[str]:
    """Keys of the ranges that there are of a nutrient for a crop, with what is unverified."""
    return [
        f"{row.key} (unverified)" if row.grade is Grade.UNVERIFIED else row.key
        for row in critical_ranges(SYMBOLS[purpose], crop=crop)
    ]


def _own(element: str, crop: str, *, test: str, depth_cm: str) -> CriticalRange:
    """The frame of a range of one's own: which element, crop, test and layer."""
    if not test:
        raise MissingInputError(
            "a range of your own needs the soil test that it is for",
            mend="Name the test, for instance colwell_k",
        )
    known = analyte(test)
    nan = math.nan
    return CriticalRange(
        "", "", element, crop, known.key, depth_cm, nan, nan, known.unit, "no", "", "", Grade.YOURS
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class NitrogenSettings:
    """What the user decides about nitrogen.

    Parameters
    ----------
    efficiency : str
        Key of a published figure; there is no default.
    own_efficiency : float
        One's own share; NaN for none. [-]
    reason : str
        Where that comes from.
    protein_percent : float
        Protein aimed at. [%]
    layers_cm : tuple of str
        Layers of nitrate; empty for those of the lab sheet. [cm]
    bulk_density_t_m3, growing_season_rain_mm, legume_n_kg_ha, other_n_kg_ha : float
        As in `NitrogenPlan`.
    """

    efficiency: str = ""
    own_efficiency: float = math.nan
    reason: str = ""
    protein_percent: float = math.nan
    layers_cm: tuple[str, ...] = ()
    bulk_density_t_m3: float = math.nan
    growing_season_rain_mm: float = math.nan
    legume_n_kg_ha: float = 0.0
    other_n_kg_ha: float = 0.0


def nitrogen_plan_from(settings: NitrogenSettings, tests: ResultsTable | None) -> NitrogenPlan:
    """How nitrogen is worked out.

    Raises
    ------
    MissingInputError
        If the efficiency is missing, or no layer holds nitrate.
    """
    layers = settings.layers_cm or nitrate_layers(tests)
    if not layers:
        raise MissingInputError(
            "no layer with nitrate is known",
            mend="Open a lab sheet with nitrate N and its depths, or name the layers",
        )
    return NitrogenPlan(
        _efficiency(settings),
        settings.protein_percent,
        layers,
        settings.bulk_density_t_m3,
        settings.growing_season_rain_mm,
        settings.legume_n_kg_ha,
        settings.other_n_kg_ha,
    )


def _efficiency(settings: NitrogenSettings) -> Figure:
    if not math.isnan(settings.own_efficiency):
        name = "Share of the nitrogen within reach that ends in the grain"
        return own_figure(name, settings.own_efficiency, unit="share", reason=settings.reason)
    if settings.efficiency not in EFFICIENCIES:
        raise MissingInputError(
            "the efficiency of nitrogen has no default",
            mend=f"Choose one of: {', '.join(EFFICIENCIES)}; or give your own with its reason",
        )
    return figure(FigureTable.NITROGEN, settings.efficiency)


def nitrate_layers(tests: ResultsTable | None) -> tuple[str, ...]:
    """Layers of a lab sheet that hold nitrate and follow one another, from the top down. [cm]"""
    column = column_of(tests, "nitrate_n") if tests is not None else None
    if tests is None or column is None:
        return ()
    told = zip(tests.depths_cm, column.values, strict=True)
    return layers_down({depth for depth, value in told if depth and not math.isnan(value)})


@dataclass(frozen=True, slots=True)
class GypsumSettings:
    """What the user decides about gypsum; the method and the target have no default.

    Parameters
    ----------
    method : GypsumMethod
        The method.
    target_esp_percent : float
        ESP to be reached. [%]
    dispersion : Dispersion
        What aggregates did in rainwater.
    exchange_factor, field_factor, years : float
        As in `GypsumChoices`.
    bulk_density_t_m3 : float
        Bulk density of the layer. [t/m³]
    texture : str
        Texture of the paddock.
    """

    method: GypsumMethod
    target_esp_percent: float
    dispersion: Dispersion = Dispersion.NOT_TESTED
    exchange_factor: float = math.nan
    field_factor: float = 1.0
    years: float = 1.0
    bulk_density_t_m3: float = math.nan
    texture: str = ""


def gypsum_plan_from(settings: GypsumSettings) -> GypsumPlan:
    """How gypsum is worked out."""
    choices = GypsumChoices(
        settings.target_esp_percent,
        settings.exchange_factor,
        settings.field_factor,
        settings.years,
    )
    return GypsumPlan(
        settings.method,
        choices,
        settings.dispersion,
        settings.bulk_density_t_m3,
        settings.texture,
    )


@dataclass(frozen=True, slots=True)
class TraceSettings:
    """What the user decides about a trace element.

    Parameters
    ----------
    purpose : Purpose
        Which element.
    test : str
        The soil test; empty for the one that there are classes for.
    rate_key : str
        Key of a rate that was tried; empty for the class alone.
    own_rate_kg_ha : float
        One's own rate; NaN for none. [kg/ha of the element]
    placement : Placement
        How it is placed.
    reason : str
        Where one's own rate comes from.
    """

    purpose: Purpose
    test: str = ""
    rate_key: str = ""
    own_rate_kg_ha: float = math.nan
    placement: Placement = Placement.BROADCAST
    reason: str = ""


def trace_plan_from(settings: TraceSettings, tests: ResultsTable | None = None) -> TracePlan:
    """How a trace element is judged.

    Parameters
    ----------
    settings : TraceSettings
        What the user decided.
    tests : ResultsTable or None, optional
        The lab sheet; where no test was chosen, the first of it that has classes counts.

    Raises
    ------
    UnknownChoiceError
        If there are no classes for the test, or no such rate.
    """
    element = TraceElement(SYMBOLS[settings.purpose])
    known = trace_tests(element)
    measured = [key for key in known if tests is not None and column_of(tests, key) is not None]
    test = settings.test or (*measured, *known)[0]
    if test not in known:
        raise UnknownChoiceError(
            f"there are no classes of {settings.purpose} for the test {test!r}",
            mend=f"Choose one of: {', '.join(known)}; else use a leaf test",
        )
    return TracePlan(settings.purpose, test, _rate(settings, element))


def _rate(settings: TraceSettings, element: TraceElement) -> TraceRate | None:
    if not math.isnan(settings.own_rate_kg_ha):
        return own_trace_rate(
            element,
            settings.own_rate_kg_ha,
            placement=settings.placement,
            reason=settings.reason,
        )
    if not settings.rate_key:
        return None
    for rate in trace_rates(element):
        if rate.key == settings.rate_key:
            return rate
    keys = ", ".join(rate.key for rate in trace_rates(element))
    raise UnknownChoiceError(
        f"no rate of {settings.purpose} has the key {settings.rate_key!r}",
        mend=f"Choose one of: {keys or 'none; give your own'}",
    )
