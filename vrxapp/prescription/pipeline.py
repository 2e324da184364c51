"""The pipeline: from a season and an operation to what is spread where, and why.

Every stage is a pure function, cached on the very parts that it reads, so an edit
works out again only what depends on it.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.trail import Sentence, Trail, told_for
from vrxapp.errors import MissingInputError, Note, UnknownChoiceError
from vrxapp.ground.zones import comparable
from vrxapp.inputs.compatibility import require_no_refusal
from vrxapp.need_plans import Purpose
from vrxapp.prescription.dressing_credit import DressingCredit, dressing_credit
from vrxapp.prescription.ground_plan import GroundPlan, ground_plan
from vrxapp.prescription.history_steps import history_steps
from vrxapp.prescription.mix import products_of, spread_name
from vrxapp.prescription.need_rules import LayerRead, need_rule
from vrxapp.prescription.rate_steps import metered_rates
from vrxapp.prescription.supply import brings, supply_per_kg
from vrxapp.prescription.totals import Totals, totals
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.prescription.zone_results import RowPlaces, row_places, zone_results
from vrxapp.season import Operation, Season
from vrxapp.soil.by_layer import layer_notes
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
    """

    operation: Operation
    zone_names: tuple[str, ...]
    need: NDArray[np.float64]
    need_unit: str
    rates_kg_ha: NDArray[np.float64]
    product_kg_ha: NDArray[np.float64]
    humate_kg_ha: NDArray[np.float64]
    reasons: NDArray[np.str_]
    trail: Trail
    rate_map: RateMap
    totals: Totals
    notes: tuple[Note, ...]


@lru_cache(maxsize=64)
def needs(season: Season, purpose: Purpose) -> ZoneNeed:
    """What a season's zones need for a purpose.

    Raises
    ------
    MissingInputError
        If the season has no laboratory results yet, or no method for lime was chosen.
    """
    tests, places = _joined_tests(season)
    count = len(season.zones.ids)

    def results(read: LayerRead) -> PlaceResults:
        return zone_results(tests, places, read.analyte, read.depth_cm, count)

    return need_rule(purpose).need(results, season, count)


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
    need = needs(season, operation.purpose)
    history = history_steps(season, operation.purpose)
    credit = dressing_credit(season, operation.purpose)
    rates = metered_rates(
        need,
        _supplied_before(season, operation, credit),
        operation,
        suppliers="Dressings and earlier operations" if credit.steps else "Earlier operations",
    )
    ground = ground_plan(season.paddock, season.zones, season.strips)
    rate_map = _rate_map(ground, rates.rates_kg_ha, operation)
    tests, places = _joined_tests(season)
    return Prescription(
        operation=operation,
        zone_names=season.zones.names,
        need=need.amount,
        need_unit=need.unit,
        rates_kg_ha=rates.rates_kg_ha,
        product_kg_ha=rates.product_kg_ha,
        humate_kg_ha=rates.humate_kg_ha,
        reasons=need.reasons,
        trail=need.trail.then(*history, *credit.steps, *rates.steps),
        rate_map=rate_map,
        totals=totals(
            ground,
            rate_map.rates,
            uses=rate_map.uses,
            zone_count=len(season.zones.ids),
            operation=operation,
        ),
        notes=(
            *tests.notes,
            *places.notes,
            *_depth_notes(season, tests, operation),
            *quality_notes(tests),
            *ground.notes,
            *_strip_notes(season, operation),
            *credit.notes,
            *(Note(step.sentence) for step in history),
        ),
    )


def _depth_notes(season: Season, tests: ResultsTable, operation: Operation) -> tuple[Note, ...]:
    """What the sheet says of the layers that the operation's rule reads."""
    reads = need_rule(operation.purpose).reads(season)
    found = (layer_notes(tests, read.analyte, depth_cm=read.depth_cm) for read in reads)
    return tuple(note for notes in found for note in notes)


def _strip_notes(season: Season, operation: Operation) -> tuple[Note, ...]:
    """Strips so narrow that the passes beside them will throw into them."""
    swath_m = operation.machine.swath_width_m
    return tuple(
        Note(
            f"the check strip {strip.name!r} is {strip.width_m:g} m wide, less than one swath of "
            f"{swath_m:g} m, so no pass can leave it untreated",
            mend="Make it a whole number of swaths wide, best two or more",
        )
        for strip in season.strips
        if strip.width_m < swath_m
    )


def _supplied_before(
    season: Season, operation: Operation, credit: DressingCredit
) -> NDArray[np.float64]:
    """What dressings and earlier operations bring, counted once. [unit of the need]"""
    supplied = np.full(len(season.zones.ids), credit.kg_ha)
    for earlier in season.operations:
        if earlier is operation:
            break
        if brings(earlier.product, operation.purpose):
            per_kg = supply_per_kg(earlier.product, operation.purpose)
            product_kg_ha = prescription(season, earlier).product_kg_ha
            supplied = supplied + np.nan_to_num(product_kg_ha) * per_kg
    return supplied


def _rate_map(
    ground: GroundPlan, rates_kg_ha: NDArray[np.float64], operation: Operation
) -> RateMap:
    """The parts of the ground with their rates; only spread ground gets more than zero."""
    spread = ground.uses == GroundUse.SPREAD
    zone_rates = np.where(ground.zone_rows >= 0, rates_kg_ha[ground.zone_rows], np.nan)
    no_rate = spread & np.isnan(zone_rates)
    return RateMap(
        product=spread_name(operation),
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
