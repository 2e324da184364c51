"""Response curves of three kinds: read, shared out, and their best rates by hand sums."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vrxapp.errors import MissingInputError
from vrxapp.prescription.budget import best_rates
from vrxapp.prescription.curve_choices import curve_choices, curve_margin, curve_optimum
from vrxapp.prescription.zone_curve import EVERY_ZONE, curves_here
from vrxapp.workflows.budget_settings import curves_from
from vrxapp.workflows.curve_budget import curve_budget

OPERATION = "MAP before sowing"
# 900 AUD/t of MAP with 22 % P: 0.9 ÷ 0.22 = 4.0909 AUD/kg P; wheat at 300 AUD/t
PRICE_P = 0.9 / 0.22


def weighed(season, *texts, crop_price=300.0):
    curves = curves_from([f"{OPERATION}{text}" for text in texts], season)
    return curve_choices(season, curves, crop_price_t=crop_price)


def test_a_plateau_is_fed_to_its_knot_and_no_further(season):
    # 0.03 t/kg × 300 = 9 AUD for 4.09: fed to 12 kg P/ha = 12 ÷ 0.22 = 54.545 kg/ha of MAP
    found = weighed(season, "=linear-plateau:2,0.03,12")
    best = best_rates(found.choices, np.inf)
    assert best.rate_kg_ha[:, 0] == pytest.approx([54.5454, 54.5454], abs=1e-3)
    assert curve_optimum(found).rate_kg_ha == pytest.approx(best.rate_kg_ha)
    # (2 + 0.03 × 12) × 300 − 54.545 × 0.9 = 708 − 49.09
    assert curve_optimum(found).margin[0, 0] == pytest.approx(658.909, abs=1e-3)


def test_a_slope_that_does_not_pay_gets_nothing(season):
    found = weighed(season, "=linear-plateau:2,0.01,12")  # 3 AUD for 4.09
    assert best_rates(found.choices, np.inf).rate_kg_ha[:, 0].tolist() == [0.0, 0.0]
    assert curve_optimum(found).rate_kg_ha[:, 0].tolist() == [0.0, 0.0]


def test_a_parabola_is_never_paid_beyond_its_top(season):
    # top at 0.1 ÷ (2 × 0.005) = 10 kg P/ha = 45.45 kg/ha; the machine could spread 400
    found = weighed(season, "=quadratic:2,0.1,-0.005")
    best = best_rates(found.choices, np.inf).rate_kg_ha[:, 0]
    assert np.all(best <= 10.0 / 0.22)
    # (4.0909 ÷ 300 − 0.1) ÷ (2 × −0.005) = 8.636 kg P/ha
    optimum = (PRICE_P / 300.0 - 0.1) / -0.01 / 0.22
    assert curve_optimum(found).rate_kg_ha[:, 0] == pytest.approx([optimum] * 2)
    piece = 10.0 / 0.22 / 20
    assert best == pytest.approx([optimum] * 2, abs=piece)


def test_a_curve_of_one_zone_may_be_of_another_kind(season):
    found = weighed(season, "=mitscherlich:4.2,0.9,0.12", "/East=linear-plateau:2,0.03,12")
    west, east = curve_optimum(found).rate_kg_ha[:, 0]
    assert east == pytest.approx(54.5454, abs=1e-3)
    # ln(0.12 × 0.9 × 300 ÷ 4.0909) ÷ 0.12 = 17.24 kg P/ha
    assert west == pytest.approx(np.log(0.12 * 0.9 * 300.0 / PRICE_P) / 0.12 / 0.22)


def test_without_a_kind_a_curve_is_a_mitscherlich(season):
    plain, named = (weighed(season, f"={kind}4.2,0.9,0.12") for kind in ("", "Mitscherlich:"))
    assert np.array_equal(plain.choices.yields_t_ha, named.choices.yields_t_ha)


def test_an_optimum_above_the_highest_rate_is_held_and_says_so(season):
    slow = replace(season.operations[0], rate_cap_kg_ha=30.0)
    found = weighed(replace(season, operations=(slow,)), "=linear-plateau:2,0.03,12")
    optimum = curve_optimum(found)
    assert optimum.rate_kg_ha[:, 0].tolist() == [30.0, 30.0]
    assert optimum.is_held.all()


def test_a_lowest_rate_beyond_the_top_is_weighed_as_it_is(season):
    # the machine spreads 100 kg/ha = 22 kg P/ha or nothing, and the parabola is below its start
    machine = replace(season.operations[0].machine, lowest_rate_kg_ha=100.0)
    coarse = replace(season.operations[0], machine=machine)
    found = weighed(replace(season, operations=(coarse,)), "=quadratic:2,0.1,-0.005")
    assert best_rates(found.choices, np.inf).rate_kg_ha[:, 0].tolist() == [0.0, 0.0]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])  # a frozen value
@given(slope=st.floats(0.0, 0.2), bend=st.floats(-0.02, -0.0005), money=st.floats(0.0, 20_000.0))
def test_no_budget_goes_past_the_top_nor_beats_the_optimum(season, slope, bend, money):
    found = weighed(season, f"=quadratic:2,{slope!r},{bend!r}")
    best = best_rates(found.choices, money)
    top = slope / (-2.0 * bend) / 0.22
    assert np.all(best.rate_kg_ha <= top * (1 + 1e-9) + 1e-9)
    assert np.all(curve_margin(found, best.rate_kg_ha) <= curve_optimum(found).margin + 1e-6)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("=cubic:1,2,3", "cannot read the curve"),
        ("=quadratic:1,2", "cannot read the curve"),
        ("=quadratic:2,0.1,0.005", "quadratic"),
        ("=linear-plateau:2,0.03,0", "linear-plateau"),
        ("=mitscherlich:4,nan,0.1", "mitscherlich"),
    ],
)
def test_what_is_no_curve_is_refused_with_the_way_to_write_one(season, text, said):
    with pytest.raises(MissingInputError, match=said) as refused:
        curves_from([f"{OPERATION}{text}"], season)
    assert refused.value.note.mend


def test_the_budget_tells_margins_and_each_budget_tried(season):
    curves = curves_from([f"{OPERATION}=quadratic:2,0.1,-0.005"], season)
    found = curve_budget(season, curves, money=1000.0, crop_price_t=300.0)
    assert found.best.spent == pytest.approx(1000.0)
    assert np.all(found.best_margin <= found.optimum.margin)
    assert found.budgets[0] == 0.0
    assert [plan.spent for plan in found.plans] == pytest.approx(found.budgets.tolist())


def test_curves_follow_their_zones_when_the_rows_change(season):
    texts = [
        f"{OPERATION}=2,0.5,0.05",
        *(f"{OPERATION}/{z}=3,0.5,0.05" for z in season.zones.names),
    ]
    curves = curves_from(texts, season)
    zones = season.zones
    turned = replace(
        zones, ids=zones.ids[::-1], names=zones.names[::-1], shapes=zones.shapes[::-1].copy()
    )
    found = curves_here(curves, zones.ids, replace(season, zones=turned))
    assert [curve.zone_row for curve in found] == [EVERY_ZONE, 1, 0]


def test_a_curve_of_a_zone_or_operation_that_is_no_more_is_left_out(season):
    curves = curves_from(
        [f"{OPERATION}=2,0.5,0.05", f"{OPERATION}/{season.zones.names[0]}=3,0.5,0.05"], season
    )
    other_zones = replace(season, zones=replace(season.zones, ids=("new 1", "new 2")))
    assert curves_here(curves, season.zones.ids, other_zones) == curves[:1]
    renamed = replace(season, operations=(replace(season.operations[0], id="another"),))
    assert curves_here(curves, season.zones.ids, renamed) == ()
