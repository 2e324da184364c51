"""A season kept to a budget: who gets money, what is cut, what falls short, and why."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vrxapp.agronomy.critical_ranges import CriticalRange
from vrxapp.edits.budget import set_budget, set_priority
from vrxapp.errors import MissingInputError
from vrxapp.inputs.products import Product
from vrxapp.need_plans import NutrientPlan, Purpose
from vrxapp.prescription.pipeline import budget_reach, prescription, why
from vrxapp.prescription.season_shortfall import shortfall_lines, shortfalls, whole_cost
from vrxapp.season import Operation, SeasonBudget
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn
from vrxapp.sources import Grade
from vrxapp.spreading.machine import Machine

WEST, EAST = 0, 1


def column_of_potassium():
    """Colwell K 30 mg/kg for the one sample, far below the range."""
    return AnalyteColumn(analyte("colwell_k"), np.array([30.0]), np.full(1, "", "<U1"))


@pytest.fixture
def two(season):
    """MAP capped at 100 kg/ha brings 22 of 30 kg P/ha; 40 kg/ha of TSP (20 % P) the rest."""
    first = replace(season.operations[0], rate_cap_kg_ha=100.0)
    tsp = Product("tsp", "TSP", 0.0, 20.0, 0.0, 0.0, 600.0, "AUD", nitrate_n_percent=0.0)
    later = Operation("op-2", "Top-up", "June", tsp, Machine("Cart", 24.0, 1.0, 10.0, 400.0))
    return replace(season, operations=(first, later))


def rates(season, row=WEST):
    return [float(prescription(season, o).rates_kg_ha[row]) for o in season.operations]


def spent(season):
    return sum(prescription(season, o).totals.cost for o in season.operations)


def test_without_a_budget_nothing_is_cut(two):
    assert rates(two) == [100.0, 40.0]
    assert budget_reach(two) is None
    assert shortfalls(two) == ()
    assert shortfall_lines(two) == ()


def test_money_enough_for_all_cuts_nothing_and_says_so(two):
    kept = set_budget(two, SeasonBudget(whole_cost(two), "AUD"))
    assert rates(kept) == [100.0, 40.0]
    assert [short.share for short in shortfalls(kept)] == [1.0, 1.0]
    assert "paid in full, nothing falls short" in shortfall_lines(kept)[0]


def test_money_goes_to_the_first_in_the_order_and_the_rest_is_cut(two):
    # MAP costs 0.9 and TSP 0.6 by the kilogram: 100 x 0.9 = 90, 40 x 0.6 = 24 by the hectare
    area = prescription(two, two.operations[0]).totals.zone_area_ha[WEST]
    kept = set_budget(two, SeasonBudget(float(area) * (90.0 + 12.0), "AUD"))
    assert rates(kept) == [100.0, 20.0]
    turned = set_priority(kept, ("op-2", "op-1"))
    # TSP first: 24 of 102; 78 of the 90 that MAP costs pay for 86.67, so 86 kg/ha
    assert rates(turned) == [86.0, 40.0]
    assert [short.operation.name for short in shortfalls(turned)] == ["Top-up", "MAP before sowing"]


def test_what_falls_short_is_counted_once_and_the_later_pass_tells_of_it(two):
    area = float(prescription(two, two.operations[0]).totals.zone_area_ha[WEST])
    kept = set_budget(two, SeasonBudget(area * (24.0 + 45.0), "AUD", ("op-2", "op-1")))
    topped, starter = shortfalls(kept)
    assert rates(kept) == [50.0, 40.0]
    assert starter.short[WEST] == pytest.approx(11.0)  # half of 22 kg P/ha
    assert topped.short[WEST] == pytest.approx(0.0)
    assert np.isnan(starter.short[EAST])
    told = " ".join(s.text for s in why(prescription(kept, kept.operations[1]), "West"))
    assert "the budget cut 11 kg P/ha; this pass does not make it good" in told


def test_what_an_earlier_pass_for_another_need_would_have_brought_falls_short_too(two):
    # the first pass now is for potassium, and its 22 % phosphorus would have counted here
    critical = CriticalRange(
        "own", "own", "K", "wheat", "colwell_k", "0-10", 50.0, 70.0, "mg/kg", "", "", "mine",
        Grade.YOURS,
    )  # fmt: skip
    plan = NutrientPlan(Purpose.POTASSIUM, critical, bulk_density_t_m3=1.3)
    pk = replace(two.operations[0].product, k_percent=20.0)
    first = replace(two.operations[0], product=pk, purpose=Purpose.POTASSIUM)
    tests = replace(two.tests, columns=(*two.tests.columns, column_of_potassium()))
    mixed = replace(two, operations=(first, two.operations[1]), nutrients=(plan,), tests=tests)
    assert rates(mixed) == [100.0, 40.0]
    kept = set_budget(mixed, SeasonBudget(0.0, "AUD"))
    starter, topped = shortfalls(kept)
    assert starter.need_unit == "kg K/ha"
    assert starter.short[WEST] == pytest.approx(20.0)  # 100 kg/ha of 20 % potassium
    assert topped.short[WEST] == pytest.approx(30.0)  # 22 from the first pass and 8 of its own


def test_the_trail_says_what_the_budget_cut(two):
    area = float(prescription(two, two.operations[0]).totals.zone_area_ha[WEST])
    kept = set_budget(two, SeasonBudget(area * 45.0, "AUD"))
    plan = prescription(kept, kept.operations[0])
    told = [s.text for s in why(plan, "West")]
    assert any(
        text.startswith("Cut to the budget: the season's budget of") and "100 × 50 ÷ 100" in text
        for text in told
    )
    assert any("reaches 50 % of this pass, number 1 of 2" in note.message for note in plan.notes)
    uncut = [s.text for s in why(prescription(two, two.operations[0]), "West")]
    assert not any("Cut to the budget" in text for text in uncut)


def test_a_rate_below_the_machines_lowest_becomes_none_and_the_trail_says_so(two):
    area = float(prescription(two, two.operations[0]).totals.zone_area_ha[WEST])
    kept = set_budget(two, SeasonBudget(area * (90.0 + 5.0), "AUD"))  # 8.3 of at least 10 kg/ha
    assert rates(kept) == [100.0, 0.0]
    told = " ".join(s.text for s in why(prescription(kept, kept.operations[1]), "West"))
    assert "below the machine's lowest rate of 10 kg/ha" in told


def test_the_map_and_the_totals_follow_the_cut(two):
    kept = set_budget(two, SeasonBudget(1000.0, "AUD"))
    plan = prescription(kept, kept.operations[0])
    assert plan.rate_map.rates.max() == plan.rates_kg_ha[WEST]
    assert plan.totals.product_kg == pytest.approx(plan.totals.zone_product_kg.sum())
    assert plan.totals.cost <= 1000.0


@settings(
    max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(share=st.floats(0.0, 1.3), turned=st.booleans())
def test_the_money_is_never_overspent_and_never_buys_more_than_is_needed(two, share, turned):
    money = share * whole_cost(two)
    kept = set_budget(two, SeasonBudget(money, "AUD", ("op-2",) if turned else ()))
    assert spent(kept) <= money + 1e-6
    assert all(cut <= full for cut, full in zip(rates(kept), rates(two), strict=True))
    for rate, operation in zip(rates(kept), kept.operations, strict=True):
        assert rate == 0.0 or rate >= operation.machine.lowest_rate_kg_ha


def test_a_pass_without_a_price_is_not_counted_and_that_is_said(two):
    free = replace(two.operations[1].product, price_per_tonne=float("nan"), currency="")
    unpriced = replace(
        two, operations=(two.operations[0], replace(two.operations[1], product=free))
    )
    kept = set_budget(unpriced, SeasonBudget(0.0, "AUD"))
    assert rates(kept) == [0.0, 40.0]
    assert "Top-up: not counted, TSP, or what travels with it, has no price" in shortfall_lines(
        kept
    )
    notes = prescription(kept, kept.operations[1]).notes
    assert any("takes no part in the budget" in note.message for note in notes)


def test_a_pass_in_other_money_or_without_a_chosen_way_is_not_counted(two):
    dollars = replace(two.operations[1].product, currency="USD")
    lime = replace(two.operations[1], id="op-3", name="Lime", purpose=Purpose.LIME)
    foreign = replace(two.operations[1], product=dollars)
    kept = set_budget(
        replace(two, operations=(two.operations[0], foreign, lime)), SeasonBudget(0.0, "AUD")
    )
    lines = shortfall_lines(kept)
    assert "its price is in USD, the budget in AUD" in lines[1]
    assert lines[2].startswith("Lime: not counted")
    assert rates(replace(kept, operations=kept.operations[:2])) == [0.0, 40.0]


def test_an_edit_that_changes_nothing_gives_the_same_season(two):
    kept = set_budget(two, SeasonBudget(10.0, "AUD"))
    assert set_budget(kept, SeasonBudget(10.0, "AUD")) is kept
    assert set_budget(two, None) is two
    assert set_priority(two, ("op-2",)) is two
    assert set_budget(kept, None).budget is None


@pytest.mark.parametrize("money", [-1.0, float("nan"), float("inf")])
def test_a_budget_that_cannot_be_is_refused(money):
    with pytest.raises(MissingInputError, match="not possible"):
        SeasonBudget(money)


def test_an_order_that_names_a_pass_twice_is_refused():
    with pytest.raises(MissingInputError, match="twice"):
        SeasonBudget(1.0, "AUD", ("a", "a"))
