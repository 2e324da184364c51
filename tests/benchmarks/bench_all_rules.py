"""A million places through every rule: seconds, memory, and beside copying what the rules read.

The ratio is that of all rules together to copying the columns that each of them reads. Copying is
the least that reading every number can cost. A rule goes some tens of times over its columns, for
it compares, chooses among reasons, gathers doubts and keeps each step of its trail; all together
take about 30 to 50 times the copy. 100 leaves room for a busy machine, and still notices a column
of texts made anew for each place or a sort in every rule; a loop in Python over the places would
take thousands of times the copy. Memory depends on no machine, so it is asserted as it is.
"""

import resource
import sys
import time
import tracemalloc
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import pytest

from vrxapp.agronomy.cation_balance import (
    Cation,
    CationSoil,
    FreeSalt,
    cation_balance_need,
    cation_target,
)
from vrxapp.agronomy.critical_ranges import critical_range_of
from vrxapp.agronomy.crop_removal import Nutrient, default_removal
from vrxapp.agronomy.figures import FigureTable, figure
from vrxapp.agronomy.gypsum_need import gypsum_need
from vrxapp.agronomy.gypsum_values import Dispersion, GypsumChoices, GypsumMethod, GypsumSoil
from vrxapp.agronomy.lime import lime_need
from vrxapp.agronomy.lime_buffering import BufferFunction
from vrxapp.agronomy.lime_values import LimeChoices, LimeMethod, LimeSoil, lime_method
from vrxapp.agronomy.magnesium import magnesium_need
from vrxapp.agronomy.nitrogen import NitrogenChoices, NitrogenSupply, nitrogen_need
from vrxapp.agronomy.nitrogen_supply import mineral_nitrogen
from vrxapp.agronomy.own_rule import own_rule_need
from vrxapp.agronomy.own_rule_values import OwnRule, OwnShape
from vrxapp.agronomy.phosphorus import phosphorus_need
from vrxapp.agronomy.potassium import potassium_need
from vrxapp.agronomy.replacement import replacement_need
from vrxapp.agronomy.sufficiency_values import HarvestRemoval, LayerTest
from vrxapp.agronomy.sulfur import sulfur_need
from vrxapp.agronomy.trace_elements import trace_element_need, trace_tests
from vrxapp.agronomy.trace_rates import TraceElement, trace_rates
from vrxapp.sources import Grade

pytestmark = pytest.mark.benchmark
PLACES = 1_000_000
MOST_TIMES_COPYING = 100
MOST_BYTES = 2e9
HARVEST = HarvestRemoval(4.0, 4.0, "", "as set")


@dataclass(frozen=True)
class Run:
    """A rule with the columns that it reads."""

    name: str
    rule: object
    columns: tuple


def column(seed, low, high):
    """A column in which one place in a hundred was not measured."""
    draw = np.random.default_rng(seed)
    values = draw.uniform(low, high, PLACES)
    values[draw.random(PLACES) < 0.01] = np.nan
    return values


SOIL = {
    "ph_cacl2": (3.8, 7.0),
    "ph_water": (4.3, 7.5),
    "buffer_ph": (5.0, 6.8),
    "organic_carbon_percent": (0.5, 3.0),
    "clay_percent": (5.0, 60.0),
    "aluminium_cmol_kg": (0.0, 2.0),
    "ecec_cmol_kg": (2.0, 12.0),
    "buffer_capacity_cmol_kg_ph": (1.0, 5.0),
    "bulk_density_t_m3": (1.1, 1.6),
}


def lime_run(method):
    needs = lime_method(method).needs
    columns = {name: column(i, *SOIL[name]) for i, name in enumerate(SOIL) if name in needs}
    if "texture" in needs:
        textures = np.array(["sand", "sandy loam", "clay loam", "clay"])
        columns["texture"] = textures[np.random.default_rng(9).integers(0, 4, PLACES)]
    if method is LimeMethod.ESTIMATED_BUFFERING:
        columns["clay_percent"] = column(7, *SOIL["clay_percent"])
    choices = LimeChoices(5.2, 6.5, BufferFunction.WONG_2013, 5.0)
    work = partial(lime_need, method, LimeSoil(**columns), choices=choices)
    return Run(f"lime, {method}", work, tuple(columns.values()))


def gypsum_run(method):
    sodium, cec, density = column(1, 0.1, 6.0), column(2, 8.0, 30.0), column(3, 1.1, 1.6)
    kinds = np.array([str(kind) for kind in Dispersion])
    dispersion = kinds[np.random.default_rng(4).integers(0, len(kinds), PLACES)]
    soil = GypsumSoil(sodium, cec, dispersion, density)
    choices = GypsumChoices(5.0, exchange_factor=1.2 if method is GypsumMethod.OSTER else np.nan)
    work = partial(gypsum_need, method, soil, choices=choices)
    return Run(f"gypsum, {method}", work, (sodium, cec, dispersion, density))


def phosphorus_run():
    tests, pbi = column(1, 5, 80), column(2, 15, 400)
    low, high = np.full(PLACES, 35.0), np.full(PLACES, 42.0)
    work = partial(
        phosphorus_need,
        tests,
        critical_low_mg_kg=low,
        critical_high_mg_kg=high,
        target_yield_t_ha=4.0,
        removal_kg_t=3.0,
        build_up_factor_kg_ha_per_mg_kg=3.0,
        build_up_years=3.0,
        pbi=pbi,
    )
    return Run("phosphorus", work, (tests, low, high, pbi))


def nitrogen_run():
    top, deep, density = column(1, 2, 30), column(2, 1, 15), column(3, 1.1, 1.6)
    grain, carbon = column(4, 20, 120), column(5, 0.5, 3.0)
    choices = NitrogenChoices(figure(FigureTable.NITROGEN, "efficiency_rule"))

    def work():
        mineral = mineral_nitrogen(
            np.array([top, deep]),
            top_cm=[0.0, 10.0],
            bottom_cm=[10.0, 60.0],
            bulk_density_t_m3=np.array([density, density]),
        )
        supply = NitrogenSupply(
            mineral.total_kg_ha, organic_carbon_percent=carbon, growing_season_rain_mm=250.0
        )
        return nitrogen_need(grain, supply, choices=choices)

    return Run("nitrogen", work, (top, deep, density, grain, carbon))


def nutrient_run(name, rule, critical, high):
    values, density = column(1, 0.0, high), column(2, 1.1, 1.6)
    test = LayerTest(critical.analyte, critical.depth_cm, values, bulk_density_t_m3=density)
    return Run(name, partial(rule, test, critical, harvest=HARVEST), (values, density))


def cation_run():
    present, cec, density = column(1, 0.1, 8.0), column(2, 4.0, 20.0), column(3, 1.1, 1.6)
    soil = CationSoil(present, cec, FreeSalt.NONE, bulk_density_t_m3=density, depth_cm=10.0)
    work = partial(cation_balance_need, cation_target("bear", Cation.CALCIUM), soil)
    return Run("cation balance", work, (present, cec, density))


def trace_run(element):
    values = column(1, 0.0, 3.0)
    rate = next(iter(trace_rates(element)), None)
    work = partial(trace_element_need, element, trace_tests(element)[0], values, rate=rate)
    return Run(f"trace element {element}", work, (values,))


def replacement_run():
    yields, lost = column(1, 0.0, 8.0), column(2, 0.0, 3.0)
    removal = default_removal("wheat_grain", Nutrient.PHOSPHORUS)
    work = partial(replacement_need, yields, removal, lost_kg_ha=lost)
    return Run("replacement", work, (yields, lost))


def own_run(shape):
    values = column(1, 0.0, 120.0)
    rule = OwnRule(
        "Mine",
        "colwell_k",
        "0-10",
        Nutrient.POTASSIUM,
        shape,
        (5.0, 20.0, 40.0, 80.0),
        (60.0, 50.0, 30.0, 0.0),
        "district trials",
        cap_kg_ha=45.0,
    )
    return Run(f"own rule, {shape}", partial(own_rule_need, rule, values), (values,))


def runs():
    """Every rule, one after another, so that only one's columns are held at a time."""
    potash = critical_range_of("k-wheat-exchangeable")
    magnesium = replace(
        potash, element="Mg", analyte="exch_mg", low=0.3, high=0.4, source="", grade=Grade.YOURS
    )  # none is published
    yield phosphorus_run()
    yield from map(lime_run, LimeMethod)
    yield from map(gypsum_run, GypsumMethod)
    yield nitrogen_run()
    yield nutrient_run("potassium", potassium_need, potash, 0.4)
    yield nutrient_run("sulfur", sulfur_need, critical_range_of("s-canola-30"), 15.0)
    yield nutrient_run("magnesium", magnesium_need, magnesium, 1.0)
    yield cation_run()
    yield from (trace_run(e) for e in TraceElement if trace_tests(e))
    yield replacement_run()
    yield from map(own_run, OwnShape)


def timed(work):
    """Seconds of a run; what it made is let go."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def peak_bytes(work):
    """Most memory that a run holds at once, above what was there before."""
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def test_a_million_places_go_through_all_rules_in_seconds_and_two_gigabytes(capsys):
    lines, rule_s, copy_s, peak = [], 0.0, 0.0, 0
    for run in runs():
        once = min(timed(run.rule) for _ in range(2))
        copy = min(timed(lambda: [c.copy() for c in run.columns]) for _ in range(5))  # noqa: B023
        held = peak_bytes(run.rule)
        lines.append(
            f"{run.name:<32} {once:6.3f} s  {once / copy:5.0f} x copying  {held / 1e6:5.0f} MB"
        )
        rule_s, copy_s, peak = rule_s + once, copy_s + copy, max(peak, held)
    resident = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    resident *= 1 if sys.platform == "darwin" else 1024
    with capsys.disabled():
        print("", *lines, sep="\n")
        print(
            f"all rules, 1 M places: {rule_s:.2f} s; {rule_s / copy_s:.0f} x copying inputs; "
            f"at most {peak / 1e6:.0f} MB in one rule, {resident / 1e6:.0f} MB in all"
        )
    assert rule_s / copy_s < MOST_TIMES_COPYING
    assert peak < MOST_BYTES
