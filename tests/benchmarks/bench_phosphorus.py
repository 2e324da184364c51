"""Speed of the phosphorus rule and the pipeline, beside copying their inputs."""

import time
from dataclasses import replace

import numpy as np
import pytest
from shapely import box

from vrxapp.agronomy.critical_values import critical_value
from vrxapp.agronomy.phosphorus import phosphorus_need
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zones import Zones
from vrxapp.inputs.products import typical_products
from vrxapp.need_plans import CropPlan, PhosphorusPlan
from vrxapp.prescription.pipeline import prescription
from vrxapp.season import Operation, Season
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn, ResultsTable
from vrxapp.spreading.machine import Machine

pytestmark = pytest.mark.benchmark
PLACES = 1_000_000


def best_of(times, work):
    """Shortest of several runs, in seconds."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def test_a_million_places_cost_little_more_than_moving_their_numbers(capsys):
    rng = np.random.default_rng(1)
    tests, pbi = rng.uniform(5, 80, PLACES), rng.uniform(15, 400, PLACES)
    low, high = np.full(PLACES, 35.0), np.full(PLACES, 42.0)
    columns = (tests, pbi, low, high)

    def rule():
        phosphorus_need(
            tests,
            critical_low_mg_kg=low,
            critical_high_mg_kg=high,
            target_yield_t_ha=4.0,
            removal_kg_t=3.0,
            build_up_factor_kg_ha_per_mg_kg=3.0,
            build_up_years=3.0,
            pbi=pbi,
        )

    rule_s = best_of(5, rule)
    copy_s = best_of(5, lambda: [column.copy() for column in columns])
    with capsys.disabled():
        print(f"\nphosphorus, 1 M places: {rule_s:.3f} s; {rule_s / copy_s:.0f} x copying inputs")
    assert rule_s / copy_s < 20


def season_of(zone_count):
    """A paddock of square zones with one Colwell P and PBI each."""
    side = int(np.ceil(np.sqrt(zone_count)))
    corners = [(682_000 + 40 * (k % side), 6_124_000 + 40 * (k // side)) for k in range(zone_count)]
    shapes = np.array([box(x, y, x + 40, y + 40) for x, y in corners], dtype=object)
    names = tuple(f"Z{k}" for k in range(zone_count))
    none = np.full(zone_count, np.nan)
    rng = np.random.default_rng(2)
    columns = tuple(
        AnalyteColumn(analyte(key), rng.uniform(10, 60, zone_count), np.full(zone_count, "", "<U1"))
        for key in ("colwell_p", "pbi")
    )
    tests = ResultsTable(
        "sheet.csv",
        np.arange(zone_count),
        names,
        names,
        none,
        none,
        ("0-10",) * zone_count,
        columns,
    )
    operation = Operation("op", "MAP", "", typical_products()[0], Machine("m", 24, 1, 0, 400))
    return Season(
        id="s",
        name="s",
        paddock=Paddock("p", "EPSG:7855", box(682_000, 6_124_000, 683_000, 6_125_000)),
        zones=Zones(names, names, shapes),
        tests=tests,
        row_matches=(),
        crop=CropPlan("wheat", 4.0),
        phosphorus=PhosphorusPlan(critical_value("wheat-southern-nsw"), 3.0, 3.0),
        strips=(),
        operations=(operation,),
    )


def test_500_zones_from_soil_to_rates_cost_little_beside_cutting_the_ground(capsys):
    season = season_of(500)
    start = time.perf_counter()
    prescription(season, season.operations[0])
    first_s = time.perf_counter() - start
    targets = iter(np.linspace(2.0, 6.0, 50))

    def again():
        changed = replace(season, crop=CropPlan("wheat", float(next(targets))))
        prescription(changed, changed.operations[0])

    def soil_to_rates():
        tests = replace(season.tests)  # a new sheet, so that joining and averaging count too
        changed = replace(season, tests=tests, crop=CropPlan("wheat", float(next(targets))))
        prescription(changed, changed.operations[0])

    edit_s, soil_s = best_of(10, again), best_of(10, soil_to_rates)
    copy_s = best_of(10, lambda: [c.values.copy() for c in season.tests.columns])
    with capsys.disabled():
        print(
            f"\n500 zones: first run with cutting the ground {first_s * 1e3:.0f} ms, "
            f"soil to rates {soil_s * 1e3:.1f} ms ({soil_s / copy_s:.0f} x copying the inputs), "
            f"after an edit of the target {edit_s * 1e3:.1f} ms"
        )
    assert soil_s < first_s / 3
    assert edit_s <= soil_s
