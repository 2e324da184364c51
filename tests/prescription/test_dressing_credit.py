"""Compost, manure and litter towards a need: the least published, counted once, or a note."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.agronomy.figures import FigureTable, figure
from vrxapp.agronomy.organic_dressing import OrganicDressing, YearSpread, typical_analysis
from vrxapp.edits.dressings import add_dressing
from vrxapp.edits.operations import add_operation
from vrxapp.need_plans import NitrogenPlan, Purpose
from vrxapp.prescription.dressing_credit import dressing_credit
from vrxapp.prescription.pipeline import prescription, why

MANURE = typical_analysis("feedlot_aged")  # 0.7 % P and 1.6 % N as supplied
COMPOST = replace(typical_analysis("compost", moisture_percent=40.0), name="Heap {1}")


def dressed(season, *dressings):
    for dressing in dressings:
        season = add_dressing(season, dressing)
    return season


def test_manure_lowers_the_rate_by_its_least_phosphorus_in_the_first_season(season, with_results):
    # sask-feedlot: 50 % of 2 t/ha x 7 kg P/t = 7 kg P/ha; MAP of the sample has 22 % P
    season = with_results(season, [("1", "West", 60.0), ("2", "East", 60.0)])
    plain = prescription(season, season.operations[0])
    after = dressed(season, OrganicDressing(MANURE, 2.0))
    plan = prescription(after, after.operations[0])
    fewer = np.maximum(plain.need - 7.0, 0.0) / 0.22
    assert plan.product_kg_ha == pytest.approx(fewer, abs=0.51)
    assert plan.product_kg_ha[0] < plain.product_kg_ha[0]
    told = [s for s in why(plan, "West") if s.source == "sask-feedlot"]
    assert "carries 14 kg P/ha, of which 7 kg/ha" in told[0].text


def test_it_is_counted_once_over_several_passes(season):
    season = dressed(season, OrganicDressing(MANURE, 2.0))
    first = replace(season.operations[0], rate_cap_kg_ha=20.0)
    second = replace(season.operations[0], id="op-2", name="Top-up")
    season = add_operation(replace(season, operations=(first,)), second)
    plans = [prescription(season, operation) for operation in season.operations]
    brought = sum(plan.product_kg_ha[0] for plan in plans) * 0.22 + 7.0
    assert brought == pytest.approx(plans[0].need[0], abs=0.2)
    assert any("Dressings and earlier operations bring" in s.text for s in why(plans[1], "West"))


def test_the_year_before_counts_by_its_second_season(season):
    season = dressed(season, OrganicDressing(MANURE, 10.0, YearSpread.BEFORE))
    # sask-feedlot: 10 % of 70 kg P/ha, 5 % of 160 kg N/ha
    assert dressing_credit(season, Purpose.PHOSPHORUS).kg_ha == pytest.approx(7.0)
    assert dressing_credit(season, Purpose.NITROGEN).kg_ha == pytest.approx(8.0)


def test_the_least_of_a_range_is_counted_and_the_range_told(season):
    # compost-nitrogen-review: 5 to 15 % of 10 t x 0.6 x 15.3 kg N/t = 91.8 kg N/ha
    season = dressed(season, OrganicDressing(COMPOST, 10.0))
    credit = dressing_credit(season, Purpose.NITROGEN)
    assert credit.kg_ha == pytest.approx(4.59)
    assert "4.59 to 13.77 kg/ha" in credit.steps[0].sentence
    assert credit.steps[0].sentence.format(dressing_1="4.59").startswith("Heap {1}, 10 t/ha")


@pytest.mark.parametrize(
    ("dressing", "purpose", "why_not"),
    [
        (OrganicDressing(COMPOST, 10.0), Purpose.PHOSPHORUS, "not published"),
        (OrganicDressing(MANURE, 10.0), Purpose.POTASSIUM, "tells no K"),
        (
            OrganicDressing(typical_analysis("litter_straw"), 5.0),
            Purpose.NITROGEN,
            "found in a laboratory",
        ),
        (OrganicDressing(MANURE, 10.0, is_in_test=True), Purpose.PHOSPHORUS, "tested after"),
    ],
)
def test_what_cannot_be_counted_is_a_note_and_no_credit(season, dressing, purpose, why_not):
    credit = dressing_credit(dressed(season, dressing), purpose)
    assert (credit.kg_ha, credit.steps) == (0.0, ())
    assert why_not in str(credit.notes[0])


def test_the_notes_reach_the_plan_and_leave_its_rates(season):
    after = dressed(season, OrganicDressing(COMPOST, 10.0))
    plain, plan = (prescription(s, s.operations[0]) for s in (season, after))
    assert np.array_equal(plan.rates_kg_ha, plain.rates_kg_ha, equal_nan=True)
    assert any("Heap {1}" in str(note) for note in plan.notes)


def test_lime_and_trace_elements_get_nothing_of_it(season):
    season = dressed(season, OrganicDressing(MANURE, 10.0))
    for purpose in (Purpose.LIME, Purpose.GYPSUM, Purpose.ZINC):
        assert dressing_credit(season, purpose).kg_ha == 0.0


def test_manure_that_the_nitrogen_plan_counts_too_is_doubted(season):
    plan = NitrogenPlan(figure(FigureTable.NITROGEN, "efficiency_rule"), other_n_kg_ha=15.0)
    season = replace(dressed(season, OrganicDressing(MANURE, 10.0)), nitrogen=plan)
    assert "same manure" in str(dressing_credit(season, Purpose.NITROGEN).notes[0])
