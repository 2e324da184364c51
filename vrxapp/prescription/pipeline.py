"""The pipeline: from a season and an operation to what is spread where, and why.

Every stage is a pure function, cached on the very parts that it reads, so an edit
works out again only what depends on it.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.trail import Sentence, Trail, told_for
from vrxapp.errors import MissingInputError, Note, UnknownChoiceError, VrxError
from vrxapp.ground.zones import comparable
from vrxapp.inputs.compatibility import require_no_refusal
from vrxapp.need_plans import Purpose
from vrxapp.prescription.budget_steps import BudgetReach
from vrxapp.prescription.dressing_credit import dressing_credit
from vrxapp.prescription.ground_plan import GroundPlan, ground_plan
from vrxapp.prescription.history_steps import history_steps
from vrxapp.prescription.humate_metal_steps import metal_steps
from vrxapp.prescription.humate_money import money_steps
from vrxapp.prescription.humate_notes import humate_notes, policy_told
from vrxapp.prescription.humate_proportion_steps import proportion_steps
from vrxapp.prescription.humate_steps import in_mix_steps, load_steps
from vrxapp.prescription.mix import mixed_name, products_of
from vrxapp.prescription.need_rules import LayerRead, ResultsOf, left_out_layers, need_rule
from vrxapp.prescription.plan_notes import budget_notes, caution_notes, strip_notes
from vrxapp.prescription.rate_steps import MeteredRates, Supplied, metered_rates, uncut_rate
from vrxapp.prescription.season_cut import FullPlan, SeasonCut, season_cut, unbudgeted
from vrxapp.prescription.season_humate import (
    HumateLoad,
    PlannedPass,
    brings_humate,
    humate_load,
    least_season_phosphorus,
    planned_passes,
)
from vrxapp.prescription.seed_row_notes import seed_row_notes
from vrxapp.prescription.spread_steps import ammonia_steps, on_top_steps, spread_notes
from vrxapp.prescription.supply import brings, supply_per_kg
from vrxapp.prescription.totals import Totals, totals
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.prescription.zone_results import RowPlaces, row_places, zone_results
from vrxapp.prescription.zone_textures import zone_textures
from vrxapp.season import Operation, Season
from vrxapp.soil.by_place import PlaceResults
from vrxapp.soil.quality_checks import quality_notes
from vrxapp.soil.results_table import ResultsTable
from vrxapp.spreading.rate_map import GroundUse, RateMap

RATE_UNIT = "kg/ha"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Prescription:
    """What one operation spreads where, and why.

    Parameters
    ----------
    operation : Operation
        The pass it is for.
    zone_names : tuple of str
        One name a zone; the columns below have one row each.
    need : ndarray of float
        What is needed this season. [need_unit]
    need_unit : str
        Unit of the need.
    rates_kg_ha : ndarray of float
        Rate that the machine is set to; NaN where there is none, for the reason given. [kg/ha]
    product_kg_ha, humate_kg_ha : ndarray of float
        What that rate holds. [kg/ha]
    cut_kg_ha : ndarray of float
        Product that the policy of the humate takes off; nothing replaces it. [kg/ha]
    reasons : ndarray of str
        Why a zone has no rate; empty where it has one.
    trail : Trail
        The steps from soil test to rate.
    rate_map : RateMap
        Parts of the paddock with their rate, strips and exclusions with zero.
    totals : Totals
        Hectares, kilograms and money.
    notes : tuple of Note
        What the user should know.
    humate_notes, seed_notes : tuple of Note
        Those of them on what the humate does here, and on placing with the seed.
    """

    operation: Operation
    zone_names: tuple[str, ...]
    need: NDArray[np.float64]
    need_unit: str
    rates_kg_ha: NDArray[np.float64]
    product_kg_ha: NDArray[np.float64]
    humate_kg_ha: NDArray[np.float64]
    cut_kg_ha: NDArray[np.float64]
    reasons: NDArray[np.str_]
    trail: Trail
    rate_map: RateMap
    totals: Totals
    notes: tuple[Note, ...]
    humate_notes: tuple[Note, ...]
    seed_notes: tuple[Note, ...]


@lru_cache(maxsize=64)
def needs(season: Season, purpose: Purpose) -> ZoneNeed:
    """What a season's zones need for a purpose.

    Raises
    ------
    MissingInputError
        If the season has no laboratory results yet, or no method for lime was chosen.
    """
    return need_rule(purpose).need(_results_of(season), season, len(season.zones.ids))


def _results_of(season: Season) -> ResultsOf:
    """The season's results by zone, one soil test and layer at a time."""
    tests, places = _joined_tests(season)
    count = len(season.zones.ids)

    def results(read: LayerRead) -> PlaceResults:
        return zone_results(tests, places, read.analyte, read.depth_cm, count)

    return results


def _joined_tests(season: Season) -> tuple[ResultsTable, RowPlaces]:
    """The season's results and the zone of each row."""
    if season.tests is None:
        raise MissingInputError(
            "there are no laboratory results yet",
            mend="Open a lab sheet (on the command line: --lab FILE)",
        )
    return season.tests, row_places(season.tests, season.zones, season.paddock, season.row_matches)


@lru_cache(maxsize=64)
def prescription(season: Season, operation: Operation) -> Prescription:
    """What an operation spreads where: need, product, cap, machine, strips, totals.

    Parameters
    ----------
    season : Season
        The paddock with its zones, results, crop and strips.
    operation : Operation
        One of the season's operations; earlier ones count towards the need.

    Raises
    ------
    RefusedMixError
        If the product and what travels with it must never meet; no quantity is worked out.
    MissingInputError
        If there are no results, or the product cannot cover the need.
    GroundError
        If zones overlap, or no sample lies in the paddock.
    """
    require_no_refusal(products_of(operation))
    full = unbudgeted(season)
    need = needs(full, operation.purpose)
    history = history_steps(season, operation.purpose)
    credit = dressing_credit(season, operation.purpose)
    supplied = supplied_before(full, operation)
    load = _humate_load(full, operation, uncut_rate(need, supplied.settled, operation))
    reach = _reach(season, operation, supplied=supplied, need_unit=need.unit)
    suppliers = "Dressings and earlier operations" if credit.steps else "Earlier operations"
    rates = metered_rates(need, supplied, operation, load=load, reach=reach, suppliers=suppliers)
    ground = ground_plan(season.paddock, season.zones, season.strips)
    rate_map = _rate_map(ground, rates, operation)
    tests, places = _joined_tests(season)
    names = season.zones.names
    about_humate = () if load is None else humate_notes(load, rates, operation, names)
    about_seed = seed_row_notes(
        rates.product_kg_ha, operation, crop=season.crop.crop, zone_names=names
    )
    on_surface = (
        *ammonia_steps(rates.product_kg_ha, operation),
        *on_top_steps(rates.product_kg_ha, operation, _limed_textures(season)),
    )
    beneath = need.trail.then(*history, *credit.steps)
    return Prescription(
        operation=operation,
        zone_names=season.zones.names,
        need=need.amount,
        need_unit=need.unit,
        rates_kg_ha=rates.rates_kg_ha,
        product_kg_ha=rates.product_kg_ha,
        humate_kg_ha=rates.humate_kg_ha,
        cut_kg_ha=np.zeros_like(rates.rates_kg_ha) if load is None else load.cut_kg_ha,
        reasons=need.reasons,
        trail=_trail(season, operation, beneath, load, rates).then(*on_surface),
        rate_map=rate_map,
        totals=totals(
            ground,
            rate_map.rates,
            uses=rate_map.uses,
            humate_share=_humate_share(rates),
            operation=operation,
        ),
        notes=(
            *tests.notes,
            *places.notes,
            *left_out_layers(tests, season, operation.purpose),
            *quality_notes(tests),
            *ground.notes,
            *strip_notes(season, operation),
            *about_humate,
            *policy_told(operation),
            *about_seed,
            *spread_notes(on_surface, operation, names),
            *_budget_notes(season, operation, reach),
            *credit.notes,
            *(Note(step.sentence) for step in history),
            *caution_notes(need),
        ),
        humate_notes=about_humate,
        seed_notes=about_seed,
    )


@lru_cache(maxsize=64)
def _planned(season: Season) -> tuple[PlannedPass, ...]:
    """Every pass of a season before any cut."""
    return planned_passes(season, needs)


def _humate_load(
    season: Season, operation: Operation, uncut_kg_ha: NDArray[np.float64]
) -> HumateLoad | None:
    """What an operation carries of its humate, with all of the season counted; None for none."""
    if operation.humate is None:
        return None
    before = np.zeros(len(season.zones.ids))
    for passed in _planned(season):
        if passed.operation is operation:
            break
        if brings_humate(passed.operation) and not passed.doubt:
            plan = prescription(season, passed.operation)
            alone = plan.operation.humate is None
            before = before + np.nan_to_num(plan.product_kg_ha if alone else plan.humate_kg_ha)
    return humate_load(
        PlannedPass(operation, np.nan_to_num(uncut_kg_ha)),
        _planned(season),
        humate=operation.humate,
        before_kg_ha=before,
        least_p_kg_ha=least_season_phosphorus(season, _results_of(season)),
    )


def _trail(
    season: Season,
    operation: Operation,
    trail: Trail,
    load: HumateLoad | None,
    rates: MeteredRates,
) -> Trail:
    """From the soil test to the rate, and to what of it is humate."""
    humate = operation.humate
    if load is None or humate is None:
        return trail.then(*rates.product_steps, *rates.machine_steps)
    return trail.then(
        *rates.product_steps,
        *load_steps(load, operation, humate),
        *rates.machine_steps,
        *in_mix_steps(rates, operation, humate),
        *proportion_steps(rates, operation, humate, _results_of(season)),
        *metal_steps(rates.humate_kg_ha, humate.test),
        *money_steps(
            rates.humate_kg_ha,
            load.cut_kg_ha,
            operation,
            humate,
            crop_price_t=season.crop.price_t,
        ),
    )


def _limed_textures(season: Season) -> NDArray[np.str_]:
    """Texture of each zone as lime reads it; empty where neither sheet nor plan tells one."""
    count, plan = len(season.zones.ids), season.lime
    if plan is None:
        return np.full(count, "")
    read = map(_results_of(season), need_rule(Purpose.LIME).reads(season))
    return zone_textures(tuple(read), plan.texture, count=count)


def _humate_share(rates: MeteredRates) -> NDArray[np.float64]:
    """Humate by the mass of what each zone gets. [-]"""
    set_rate = np.where(rates.rates_kg_ha > 0, rates.rates_kg_ha, np.nan)
    return np.nan_to_num(rates.humate_kg_ha / set_rate)


@lru_cache(maxsize=64)
def budget_reach(season: Season) -> SeasonCut | None:
    """How far the season's budget reaches for each operation; None without a budget."""
    if season.budget is None:
        return None
    return season_cut(full_plans(season), season.budget)


def full_plans(season: Season) -> tuple[FullPlan, ...]:
    """Every operation of a season as it would be without a budget."""
    full = unbudgeted(season)
    return tuple(_full_plan(full, operation) for operation in full.operations)


def _full_plan(season: Season, operation: Operation) -> FullPlan:
    """An operation without a budget, or why it cannot be worked out yet."""
    try:
        plan = prescription(season, operation)
    except VrxError as error:
        nothing = np.full(len(season.zones.ids), np.nan)
        return FullPlan(operation, nothing, nothing, error.note.message)
    return FullPlan(operation, plan.rates_kg_ha, plan.totals.zone_area_ha)


def _reach(
    season: Season, operation: Operation, *, supplied: Supplied, need_unit: str
) -> BudgetReach | None:
    """How far the season's budget reaches for one operation; None without a budget."""
    budget, cut = season.budget, budget_reach(season)
    if budget is None or cut is None:
        return None
    row = season.operations.index(operation)
    return BudgetReach(
        share=cut.share[row],
        money=budget.money,
        currency=budget.currency,
        place=cut.place[row],
        places=sum(place > 0 for place in cut.place),
        lost_supply=np.maximum(supplied.settled - supplied_before(season, operation).settled, 0.0),
        need_unit=need_unit,
    )


def _budget_notes(
    season: Season, operation: Operation, reach: BudgetReach | None
) -> tuple[Note, ...]:
    """How the budget touches this pass; nothing without a budget."""
    cut = budget_reach(season)
    if cut is None or reach is None:
        return ()
    return budget_notes(operation, reach, lack=cut.lacks[season.operations.index(operation)])


def supplied_before(season: Season, operation: Operation) -> Supplied:
    """What dressings and earlier operations bring towards a need, and what was cut off them."""
    credit = dressing_credit(season, operation.purpose)
    brought = np.full(len(season.zones.ids), credit.kg_ha, dtype=float)
    forgone = np.zeros(len(season.zones.ids))
    for earlier in season.operations:
        if earlier is operation:
            break
        if brings(earlier.product, operation.purpose):
            per_kg = supply_per_kg(earlier.product, operation.purpose)
            plan = prescription(season, earlier)
            brought = brought + np.nan_to_num(plan.product_kg_ha) * per_kg
            forgone = forgone + plan.cut_kg_ha * per_kg
    return Supplied(brought, forgone)


def _rate_map(ground: GroundPlan, rates: MeteredRates, operation: Operation) -> RateMap:
    """The parts of the ground with their rates; only spread ground gets more than zero."""
    spread = ground.uses == GroundUse.SPREAD
    zone_rates = np.where(ground.zone_rows >= 0, rates.rates_kg_ha[ground.zone_rows], np.nan)
    no_rate = spread & np.isnan(zone_rates)
    return RateMap(
        product=mixed_name(operation, rates.product_kg_ha, rates.humate_kg_ha),
        unit=RATE_UNIT,
        shapes=ground.shapes,
        labels=ground.labels,
        uses=np.where(no_rate, GroundUse.NO_RATE, ground.uses),
        rates=np.where(spread & ~no_rate, zone_rates, 0.0),
    )


def why(plan: Prescription, zone_name: str) -> tuple[Sentence, ...]:
    """Why a zone gets its rate: the trail as sentences, or the reason for having none.

    Raises
    ------
    UnknownChoiceError
        If no zone has this name; the mend lists the names.
    """
    by_name = {comparable(name): row for row, name in enumerate(plan.zone_names)}
    row = by_name.get(comparable(zone_name))
    if row is None:
        raise UnknownChoiceError(
            f"no zone is called {zone_name!r}", mend=f"Choose one of: {', '.join(plan.zone_names)}"
        )
    if plan.reasons[row]:
        return (Sentence(f"No rate: {plan.reasons[row]}.", "", None),)
    return told_for(plan.trail, row)
