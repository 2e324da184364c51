"""A lab sheet alone is worked out by what is published for its tests; the rest is told."""

from pathlib import Path

import numpy as np
import pytest

from vrxapp.agronomy.critical_values import default_critical_value
from vrxapp.need_plans import CropPlan, PhosphorusPlan, Purpose
from vrxapp.prescription.need_rules import planned_needs
from vrxapp.prescription.sheet_needs import SheetPlans, sheet_need
from vrxapp.sources import Grade
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.need_settings import TraceSettings, trace_plan_from
from vrxapp.workflows.sheet_plans import needs_left_open, sheet_plans

WHOLE = """Sample,Depth (cm),Colwell P,PBI,Exch K,DTPA Zn,Hot CaCl2 B
,,mg/kg,,cmol(+)/kg,mg/kg,mg/kg
A,0-10,30,80,0.08,0.3,0.6
B,0-10,30,80,0.35,2,0.6
"""
MEHLICH = """Sample,Depth (cm),Mehlich-3 P (ppm),Mehlich-3 K (ppm)
M1,0-15,18,90
"""


@pytest.fixture
def sheet(tmp_path: Path):
    """A function that reads a sheet out of its text."""

    def read(text):
        path = tmp_path / "sheet.csv"
        path.write_text(text)
        return lab_results(path)

    return read


def plain(crop="wheat"):
    return SheetPlans(CropPlan(crop, 4.0), PhosphorusPlan(default_critical_value(crop)))


def test_what_was_published_for_the_crop_and_a_test_of_the_sheet_is_worked_out(sheet):
    tests = sheet(WHOLE)
    plans = sheet_plans(plain(), tests, bulk_density_t_m3=1.4)
    assert planned_needs(plans) == (
        Purpose.PHOSPHORUS,
        Purpose.POTASSIUM,
        Purpose.ZINC,
        Purpose.BORON,
    )
    assert all(plan.critical.grade is Grade.PUBLISHED for plan in plans.nutrients)
    short, enough = sheet_need(tests, plans, Purpose.POTASSIUM).amount
    assert short > enough == 0.0  # 0.12 cmol(+)/kg is critical for wheat [ipni-2014-k]


def test_no_rate_of_a_trace_element_is_ever_chosen(sheet):
    tests = sheet(WHOLE)
    zinc = sheet_need(tests, sheet_plans(plain(), tests), Purpose.ZINC)
    assert np.isnan(zinc.amount[0])
    assert "none of the published rates was chosen" in zinc.reasons[0]


def test_a_mehlich_sheet_gets_no_range_of_another_test(sheet):
    plans = sheet_plans(plain(), sheet(MEHLICH))
    assert planned_needs(plans) == (Purpose.PHOSPHORUS,)
    told = " ".join(map(str, needs_left_open(plans)))
    assert "no published range fits wheat and the tests of the sheet" in told
    assert "k-wheat-exchangeable, k-wheat-chromosol (unverified)" in told


def test_each_need_is_worked_out_or_told_to_be_left_open(sheet):
    plans = sheet_plans(plain("chickpea"), sheet(WHOLE))
    told = " ".join(map(str, needs_left_open(plans)))
    for purpose in Purpose:
        assert (purpose in planned_needs(plans)) is not (f" {purpose}," in told)


def test_what_was_planned_stays_as_it_is(sheet):
    tests = sheet(WHOLE)
    planned = sheet_plans(plain(), tests, texture="sand", bulk_density_t_m3=1.5)
    again = sheet_plans(planned, tests, texture="clay", bulk_density_t_m3=1.1)
    assert again == planned


def test_a_trace_element_goes_by_the_test_that_was_measured(sheet):
    boron = TraceSettings(Purpose.BORON)
    assert trace_plan_from(boron, sheet(WHOLE)).test == "boron_cacl2"
    assert trace_plan_from(boron).test == "boron_water"
