"""Fertiliser policies beside a humate, against the handbook's check values."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.humate_break_even import (
    CUT_IS_NO_PROOF,
    net_of_cut,
    yield_loss_that_eats_it,
    yield_that_pays,
)
from vrxapp.agronomy.humate_plan import humate_plan
from vrxapp.agronomy.humate_policy import (
    FertiliserPolicy,
    HumatePolicy,
    least_phosphorus,
    policy_limits,
    policy_notes,
)
from vrxapp.agronomy.humates import carried_by_dose
from vrxapp.agronomy.trail import told_for
from vrxapp.errors import MissingInputError, SoilInputError
from vrxapp.sources import Grade

COMMON = {"share_percent": 5.0, "cap_kg_ha": 20.0}
KEEP = HumatePolicy(FertiliserPolicy.KEEP, **COMMON)
THIRD_OFF = HumatePolicy(FertiliserPolicy.SHARE_OFF, **COMMON, cut_fraction=1 / 3)
PAY = HumatePolicy(FertiliserPolicy.PAY_FROM, **COMMON, humate_price_per_kg=3.0)
ENOUGH = {"p_kg_ha": 100.0, "least_p_kg_ha": 0.0}
CUTTING = st.sampled_from([THIRD_OFF, PAY])


def test_a_heavy_program_is_capped_and_cut_in_that_order():
    plan = humate_plan([2000.0], THIRD_OFF, **ENOUGH)
    assert plan.fertiliser_kg_ha == pytest.approx(1333.3, abs=0.1)  # QTY-11
    assert plan.set_rate_kg_ha == pytest.approx(1353.3, abs=0.1)  # QTY-12
    assert plan.humate_kg_t == pytest.approx(15.0, abs=0.01)  # QTY-13
    assert plan.humate_kg_ha == 20.0
    assert plan.is_capped.all()


@pytest.mark.parametrize("expected", [pytest.param(52.5, id="QTY-14")])
def test_a_small_rate_is_not_cut(expected):
    plan = humate_plan([50.0], THIRD_OFF, **ENOUGH)
    assert plan.set_rate_kg_ha == pytest.approx(expected)
    assert plan.off_kg_ha == 0


def test_the_cut_is_a_step_at_the_cap_and_no_ramp():
    # QTY-10: 400 kg/ha reaches 20 kg/ha; one kilogram less does not
    plan = humate_plan([399.0, 400.0], THIRD_OFF, **ENOUGH)
    assert plan.fertiliser_kg_ha == pytest.approx([399.0, 400 * 2 / 3])


def test_the_humate_is_worked_out_before_the_cut():
    # 450 kg/ha cut first would be 300 and get 15 kg/ha of humate
    plan = humate_plan([450.0], THIRD_OFF, **ENOUGH)
    assert plan.humate_kg_ha == 20.0


@pytest.mark.parametrize(
    ("dap_price", "off"),
    [pytest.param(1.0, 15.0, id="QTY-15"), pytest.param(1.2, 12.5, id="QTY-16")],
)
def test_a_swap_takes_off_what_the_humate_costs(dap_price, off):
    # 5 kg/ha at 3.00 is 15 per hectare, on 100 kg/ha of DAP
    plan = humate_plan([100.0], PAY, fertiliser_price_per_kg=dap_price, **ENOUGH)
    assert plan.off_kg_ha == pytest.approx(off)
    assert plan.is_small_rate.all()


@pytest.mark.parametrize(
    ("percent", "lost"),
    [pytest.param(18.0, 2.7, id="QTY-17"), pytest.param(20.0, 3.0, id="QTY-18")],
)
def test_neutral_in_cost_is_not_neutral_in_nutrients(percent, lost):
    plan = humate_plan([100.0], PAY, fertiliser_price_per_kg=1.0, **ENOUGH)
    assert carried_by_dose(plan.off_kg_ha, percent) == pytest.approx(lost)


@pytest.mark.parametrize(
    ("cost", "expected"),
    [pytest.param(60.0, 171.4, id="QTY-19"), pytest.param(15.0, 42.9, id="QTY-20")],
)
def test_the_yield_that_pays_is_the_handbook_value(cost, expected):
    assert yield_that_pays(cost, crop_price_per_t=350.0) == pytest.approx(expected, abs=0.1)


def test_the_money_of_a_cut_and_the_loss_that_eats_it_are_the_handbook_values():
    plan = humate_plan([2000.0], THIRD_OFF, **ENOUGH)
    net = net_of_cut(
        plan.off_kg_ha, plan.humate_kg_ha, fertiliser_price_per_kg=0.9, humate_price_per_kg=3.0
    )
    assert net == pytest.approx(540.0, abs=0.01)  # QTY-21
    assert yield_loss_that_eats_it(net, crop_price_per_t=400.0) == pytest.approx(1.35)  # QTY-22
    assert "cut alone" in CUT_IS_NO_PROOF


def test_a_swap_that_costs_money_leaves_no_loss_to_tolerate():
    assert yield_loss_that_eats_it([-10.0], crop_price_per_t=400.0) == 0


def test_phosphorus_below_critical_holds_a_cut_back():
    # 100 kg P/ha uncut, 90 must stay: 10 % may come off, not a third
    plan = humate_plan([2000.0], THIRD_OFF, p_kg_ha=100.0, least_p_kg_ha=90.0)
    assert plan.fertiliser_kg_ha == pytest.approx(1800.0)
    assert plan.is_held_by_phosphorus.all()


def test_where_the_soil_test_is_not_known_nothing_is_cut():
    plan = humate_plan([2000.0], THIRD_OFF, p_kg_ha=100.0)
    assert plan.off_kg_ha == 0
    assert plan.is_held_by_phosphorus.all()
    told = " ".join(sentence.text for sentence in told_for(plan.trail, 0))
    assert "where the soil test is not known, nothing" in told


def test_a_fertiliser_without_phosphorus_is_not_held_by_it():
    plan = humate_plan([500.0], THIRD_OFF, p_kg_ha=0.0, least_p_kg_ha=12.0)
    assert plan.off_kg_ha == pytest.approx(500 / 3)


@pytest.mark.parametrize(
    ("soil_p", "replacement", "least"),
    [
        (20.0, 12.0, 12.0),  # below critical: all of the replacement
        (60.0, 12.0, 5.0),  # above: a third is 4, and not less than 5
        (60.0, 30.0, 10.0),  # above: a third
        (60.0, 3.0, 3.0),  # never more than the replacement
        (35.0, 12.0, 5.0),  # at the critical value it is not below
    ],
)
def test_the_least_phosphorus_follows_the_soil_test(soil_p, replacement, least):
    found = least_phosphorus(replacement, soil_p=soil_p, critical_p=35.0)
    assert found == pytest.approx(least)


def test_the_most_humate_on_a_full_rate_is_warned_about():
    plan = humate_plan([399.0, 400.0, 2000.0, 0.0], KEEP)
    assert plan.is_overload.tolist() == [False, True, True, False]
    assert "Warning" in told_for(plan.trail, 2)[-1].text
    assert not any("Warning" in sentence.text for sentence in told_for(plan.trail, 0))
    assert not humate_plan([2000.0], THIRD_OFF, **ENOUGH).is_overload.any()


def test_the_trail_tells_the_sum():
    plan = humate_plan([50.0, 2000.0], THIRD_OFF, **ENOUGH)
    told = [sentence.text for sentence in told_for(plan.trail, 1)]
    assert told[0] == "The fertiliser is 2000 kg/ha before the humate."
    assert any("humate is 100 kg/ha" in text for text in told)
    assert any("cap holds it at 20 kg/ha" in text for text in told)
    assert any("1333.33 kg/ha are spread; the humate replaces none" in text for text in told)
    assert not any("cap" in sentence.text for sentence in told_for(plan.trail, 0))


def test_a_number_of_ones_own_is_not_called_common_practice():
    own = HumatePolicy(FertiliserPolicy.SHARE_OFF, 5.0, 12.0, cut_fraction=0.2)
    grades = {step.name: step.grade for step in humate_plan([2000.0], own, **ENOUGH).trail.steps}
    assert grades["wanted"] is Grade.COMMON_PRACTICE
    assert grades["cap"] is grades["asked"] is Grade.YOURS


def test_limits_and_their_notes_are_told():
    assert {limit.policy for limit in policy_limits()} == set(FertiliserPolicy)
    grades = {limit.grade for limit in policy_limits(FertiliserPolicy.SHARE_OFF)}
    assert grades == {Grade.PUBLISHED, Grade.COMMON_PRACTICE}
    half_off = HumatePolicy(FertiliserPolicy.SHARE_OFF, 5.0, 20.0, cut_fraction=0.5)
    assert "cut_at_cap" in {limit.key for limit in policy_notes(half_off)}
    assert "cut_at_cap" not in {limit.key for limit in policy_notes(THIRD_OFF)}
    assert "cut_without_control" in {limit.key for limit in policy_notes(THIRD_OFF)}


@pytest.mark.parametrize(
    ("wrong", "error"),
    [
        ({"policy": FertiliserPolicy.SHARE_OFF}, SoilInputError),
        ({"policy": FertiliserPolicy.SHARE_OFF, "cut_fraction": 1.0}, SoilInputError),
        ({"policy": FertiliserPolicy.PAY_FROM}, MissingInputError),
        ({"policy": FertiliserPolicy.KEEP, "cap_kg_ha": math.nan}, MissingInputError),
        ({"policy": FertiliserPolicy.KEEP, "share_percent": 0.0}, SoilInputError),
    ],
)
def test_a_choice_that_is_not_whole_is_refused(wrong, error):
    with pytest.raises(error):
        HumatePolicy(**(COMMON | wrong))


def test_a_swap_without_a_price_is_refused():
    with pytest.raises(MissingInputError, match="price"):
        humate_plan([100.0], PAY, **ENOUGH)


def test_a_missing_rate_stays_missing():
    plan = humate_plan([math.nan, 100.0], KEEP)
    assert np.isnan(plan.set_rate_kg_ha).tolist() == [True, False]
    assert not plan.is_overload.any()


@given(
    st.lists(st.floats(0, 3000), min_size=1, max_size=5),
    st.floats(0.5, 100),
    st.floats(0.5, 20),
    st.floats(0.01, 0.99),
    st.floats(0, 200),
)
def test_mass_is_balanced_and_the_cap_and_the_phosphorus_hold(rates, cap, share, cut, least_p):
    policy = HumatePolicy(FertiliserPolicy.SHARE_OFF, share, cap, cut_fraction=cut)
    p_kg_ha = np.asarray(rates) * 0.1
    plan = humate_plan(rates, policy, p_kg_ha=p_kg_ha, least_p_kg_ha=least_p)
    assert plan.fertiliser_kg_ha + plan.off_kg_ha == pytest.approx(plan.uncut_kg_ha)
    assert plan.set_rate_kg_ha == pytest.approx(plan.fertiliser_kg_ha + plan.humate_kg_ha)
    assert np.all(plan.humate_kg_ha <= cap)
    assert np.all(plan.off_kg_ha <= cut * plan.uncut_kg_ha + 1e-9)
    kept_p = 0.1 * plan.fertiliser_kg_ha
    assert np.all(kept_p >= np.minimum(least_p, p_kg_ha) - 1e-9)


@given(st.floats(1, 3000), CUTTING)
def test_the_humate_is_the_same_whatever_is_cut(rate, policy):
    kept = humate_plan([rate], KEEP)
    cut = humate_plan([rate], policy, fertiliser_price_per_kg=1.0, **ENOUGH)
    assert cut.humate_kg_ha == kept.humate_kg_ha
    assert np.all(cut.fertiliser_kg_ha <= kept.fertiliser_kg_ha)
    assert np.all(cut.fertiliser_kg_ha >= 0)


@given(st.floats(1, 3000), st.floats(0.1, 5))
def test_a_swap_neither_costs_nor_earns_until_the_fertiliser_is_used_up(rate, price):
    plan = humate_plan([rate], PAY, fertiliser_price_per_kg=price, **ENOUGH)
    net = net_of_cut(
        plan.off_kg_ha, plan.humate_kg_ha, fertiliser_price_per_kg=price, humate_price_per_kg=3.0
    )
    is_used_up = plan.fertiliser_kg_ha <= 1e-9
    assert np.all(is_used_up | (np.abs(net) < 1e-6))
