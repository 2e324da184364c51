"""How a lab sheet alone is worked out: as planned, else by what is published for its tests.

Only what has a published default is added; the rest is left to the agronomist, and told.
"""

import math

from vrxapp.agronomy.crops import crop
from vrxapp.agronomy.trace_elements import trace_tests
from vrxapp.agronomy.trace_rates import TraceElement
from vrxapp.errors import MissingInputError, Note
from vrxapp.need_plans import NUTRIENTS, SYMBOLS, TRACES, NutrientPlan, Purpose, TracePlan
from vrxapp.prescription.need_rules import NeedPlans, planned_needs
from vrxapp.prescription.sheet_needs import SheetPlans
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import ResultsTable, column_of
from vrxapp.workflows.need_settings import (
    NutrientSettings,
    nutrient_plan_from,
    range_choices,
)


def sheet_plans(
    plans: NeedPlans,
    tests: ResultsTable,
    *,
    texture: str = "",
    bulk_density_t_m3: float = math.nan,
) -> SheetPlans:
    """The same plans, with the published way of each nutrient that was not planned.

    A nutrient is added where a published range was made for the crop and a test of the sheet,
    a trace element where its test has classes; no rate of a trace element is ever chosen here.

    Parameters
    ----------
    plans : NeedPlans
        A season, or what the options say; what is planned there stays as it is.
    tests : ResultsTable
        The lab sheet.
    texture : str, optional
        Texture of the ground, for what is added; a sample's own goes first.
    bulk_density_t_m3 : float, optional
        Bulk density of the layer, for what is added; NaN for not told. [t/m³]
    """
    planned = planned_needs(plans)
    nutrients = [
        _nutrient(purpose, plans, tests, texture=texture, bulk_density_t_m3=bulk_density_t_m3)
        for purpose in NUTRIENTS
        if purpose not in planned
    ]
    traces = [_trace(purpose, tests) for purpose in TRACES if purpose not in planned]
    return SheetPlans(
        crop=plans.crop,
        phosphorus=plans.phosphorus,
        lime=plans.lime,
        gypsum=plans.gypsum,
        nitrogen=plans.nitrogen,
        nutrients=(*plans.nutrients, *(plan for plan in nutrients if plan is not None)),
        traces=(*plans.traces, *(plan for plan in traces if plan is not None)),
        own_rules=plans.own_rules,
    )


def needs_left_open(plans: NeedPlans) -> tuple[Note, ...]:
    """Why needs are not worked out, and what the agronomist can choose; one note a kind of need.

    Parameters
    ----------
    plans : NeedPlans
        How needs are worked out, such as `sheet_plans` gives them.
    """
    planned = planned_needs(plans)
    untold = [purpose for purpose in Purpose if purpose not in planned]
    notes = [
        _way_open([p for p in untold if p not in (*NUTRIENTS, *TRACES)]),
        _range_open([p for p in untold if p in NUTRIENTS], plans),
        _test_open([p for p in untold if p in TRACES]),
    ]
    return tuple(note for note in notes if note is not None)


def _way_open(purposes: list[Purpose]) -> Note | None:
    """Needs of which the method is the agronomist's to choose."""
    if not purposes:
        return None
    return Note(
        f"Not worked out: {', '.join(purposes)}, for no way is the default",
        f"Choose one in the Rates stage (on the command line: vrxapp plan {'|'.join(purposes)})",
    )


def _range_open(purposes: list[Purpose], plans: NeedPlans) -> Note | None:
    """Nutrients of which no published range fits, with the ranges for other tests."""
    if not purposes:
        return None
    others = [key for purpose in purposes for key in range_choices(purpose, plans.crop.crop)]
    return Note(
        f"Not worked out: {', '.join(purposes)}, for no published range fits "
        f"{crop(plans.crop.crop).name.lower()} and the tests of the sheet",
        "Give your own range with its test and reason"
        + (f", or choose one of: {', '.join(others)}" if others else "")
        + f" (on the command line: vrxapp plan nutrient {'|'.join(purposes)})",
    )


def _test_open(purposes: list[Purpose]) -> Note | None:
    """Trace elements without a test that has classes."""
    if not purposes:
        return None
    known = [key for p in purposes for key in trace_tests(TraceElement(SYMBOLS[p]))]
    return Note(
        f"Not worked out: {', '.join(purposes)}, for the sheet holds no test that has classes "
        f"({', '.join(analyte(key).name for key in known)})",
        "Take a leaf test, or give a rule of your own (on the command line: vrxapp plan own)",
    )


def _nutrient(
    purpose: Purpose,
    plans: NeedPlans,
    tests: ResultsTable,
    *,
    texture: str,
    bulk_density_t_m3: float,
) -> NutrientPlan | None:
    """The published way of a nutrient; None where none was made for the crop and the tests."""
    settings = NutrientSettings(purpose, texture=texture, bulk_density_t_m3=bulk_density_t_m3)
    try:
        return nutrient_plan_from(settings, plans.crop.crop, tests)
    except MissingInputError:
        return None


def _trace(purpose: Purpose, tests: ResultsTable) -> TracePlan | None:
    """The class of a trace element by the first test of the sheet that has classes."""
    for test in trace_tests(TraceElement(SYMBOLS[purpose])):
        if column_of(tests, test) is not None:
            return TracePlan(purpose, test)
    return None
