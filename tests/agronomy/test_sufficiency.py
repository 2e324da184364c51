"""Sufficiency and replacement: what is lifted, what is replaced, and what is left alone."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.critical_ranges import critical_range_of
from vrxapp.agronomy.sufficiency import capital_by_layer_mass, range_standing, sufficiency_need
from vrxapp.agronomy.sufficiency_values import (
    HarvestRemoval,
    LayerTest,
    NeedChoices,
    NeedPolicy,
)
from vrxapp.agronomy.trail import Trail, told_for
from vrxapp.errors import SoilInputError, UnknownChoiceError

CANOLA = critical_range_of("s-canola-30")  # 6.8 to 7.5 mg/kg in 30 cm
HARVEST = HarvestRemoval(2.0, 5.0)
results = st.floats(0.0, 30.0)


def sulfur(values, **columns):
    return LayerTest("sulfur_kcl40", "0-30", values, **{"bulk_density_t_m3": 1.4, **columns})


def need_of(values, **columns):
    return sufficiency_need(sulfur(values, **columns), CANOLA, harvest=HARVEST)


@pytest.mark.parametrize(
    ("test", "target", "density", "expected"),
    [
        # exchangeable K 0.15 to 0.30 cmol(+)/kg, 390.98 mg/kg for one
        pytest.param(0.15 * 390.98, 0.30 * 390.98, 1.3, 76.2411, id="KCAP-01"),
        pytest.param(40.0, 60.0, 1.5, 30.0, id="KCAP-02"),
    ],
)
def test_capital_gives_the_handbook_value(test, target, density, expected):
    found = capital_by_layer_mass(test, target, depth_cm=10.0, bulk_density_t_m3=density)
    assert found == pytest.approx(expected, abs=0.1)


def test_stones_hold_nothing():
    stony = capital_by_layer_mass(
        40.0, 60.0, depth_cm=10.0, bulk_density_t_m3=1.5, gravel_fraction=0.2
    )
    assert stony == pytest.approx(24.0)


@given(results, st.floats(1.0, 60.0), st.floats(0.8, 1.8))
def test_capital_brings_the_layer_to_its_target_and_no_further(test, depth_cm, density):
    capital = capital_by_layer_mass(test, 20.0, depth_cm=depth_cm, bulk_density_t_m3=density)
    after = test + capital * 1000.0 / (100.0 * depth_cm * density)
    assert after == pytest.approx(max(test, 20.0))


def test_poor_soil_is_lifted_and_the_harvest_replaced():
    # (7.15 - 6.0) mg/kg x 4200 t/ha / 1000 = 4.83; 2 t/ha x 5 kg/t = 10
    assert need_of([6.0]).amount == pytest.approx([14.83])


def test_rich_soil_needs_nothing_and_says_why():
    need = need_of([7.6])
    assert need.amount.tolist() == [0.0]
    assert "above its critical range of 6.8 to 7.5 mg/kg" in need.reason[0]


def test_replacement_goes_by_the_harvest_alone():
    found = sufficiency_need(
        sulfur([3.0, 50.0, np.nan]),
        CANOLA,
        harvest=HARVEST,
        choices=NeedChoices(NeedPolicy.REPLACEMENT),
    )
    assert found.amount == pytest.approx([10.0, 10.0, 10.0])
    assert found.reason.tolist() == ["", "", ""]


def test_years_share_the_lift_and_not_the_harvest():
    found = sufficiency_need(
        sulfur([6.0]), CANOLA, harvest=HARVEST, choices=NeedChoices(build_up_years=3.0)
    )
    assert found.amount == pytest.approx([10.0 + 4.83 / 3.0])


def test_the_lift_can_be_left_out():
    found = sufficiency_need(
        sulfur([6.0], bulk_density_t_m3=np.nan),
        CANOLA,
        harvest=HARVEST,
        choices=NeedChoices(is_built_up=False),
    )
    assert found.amount == pytest.approx([10.0])


def test_the_most_that_was_set_is_kept_and_told():
    found = sufficiency_need(
        sulfur([6.0, 7.2]), CANOLA, harvest=HARVEST, choices=NeedChoices(most_kg_ha=12.0)
    )
    assert found.amount == pytest.approx([12.0, 10.0])
    assert "less than the need" in found.doubt[0]
    assert found.doubt[1] == ""


@pytest.mark.parametrize(
    ("columns", "harvest", "words"),
    [
        ({"values": [np.nan]}, HARVEST, "never read in its place"),
        ({"values": [6.0], "bulk_density_t_m3": np.nan}, HARVEST, "no bulk density"),
        ({"values": [6.0]}, HarvestRemoval(2.0, np.nan), "removal is not known"),
    ],
)
def test_what_is_missing_is_named(columns, harvest, words):
    need = sufficiency_need(sulfur(**columns), CANOLA, harvest=harvest)
    assert np.isnan(need.amount).tolist() == [True]
    assert words in need.reason[0]


@pytest.mark.parametrize(("analyte", "depth_cm"), [("mcp_s", "0-30"), ("sulfur_kcl40", "0-10")])
def test_another_test_or_layer_is_refused(analyte, depth_cm):
    with pytest.raises(SoilInputError, match="no safe conversion"):
        sufficiency_need(LayerTest(analyte, depth_cm, [6.0]), CANOLA, harvest=HARVEST)


def test_cation_balance_is_not_worked_out_here():
    with pytest.raises(UnknownChoiceError, match="cation balance"):
        sufficiency_need(
            sulfur([6.0]), CANOLA, harvest=HARVEST, choices=NeedChoices(NeedPolicy.CATION_BALANCE)
        )


def test_a_plan_starts_with_sufficiency():
    assert NeedChoices().policy is NeedPolicy.SUFFICIENCY


def test_an_unverified_range_is_doubted_and_a_published_one_not():
    unverified = critical_range_of("s-pasture")
    test = LayerTest("sulfur_kcl40", "0-10", [5.0], bulk_density_t_m3=1.3)
    assert "unverified" in sufficiency_need(test, unverified, harvest=HARVEST).doubt[0]
    assert need_of([6.0]).doubt.tolist() == [""]


def test_the_trail_can_be_redone_from_its_sentences():
    told = [sentence.text for sentence in told_for(Trail(need_of([6.0]).steps), 0)]
    assert "The test, 6 mg/kg, is below the critical range of 6.8 to 7.5 mg/kg" in told[0]
    assert told[1].endswith("4.83 kg S/ha.")
    assert told[2].startswith("The harvest carries away 10 kg S/ha")
    assert told[-1] == "Need: 14.83 kg S/ha."


@given(st.lists(results, min_size=2, max_size=20))
def test_a_richer_soil_never_needs_more(values):
    need = need_of(np.sort(values)).amount
    assert (np.diff(need) <= 1e-9).all()
    assert (need >= 0).all()


@given(st.lists(results, min_size=1, max_size=10), st.floats(0.5, 50.0))
def test_the_most_is_never_passed(values, most):
    choices = NeedChoices(most_kg_ha=most)
    need = sufficiency_need(sulfur(values), CANOLA, harvest=HARVEST, choices=choices)
    assert (need.amount <= most).all()


@given(st.lists(results, min_size=1, max_size=10), st.randoms(use_true_random=False))
def test_the_order_of_places_changes_nothing(values, random):
    order = list(range(len(values)))
    random.shuffle(order)
    assert np.array_equal(need_of(values).amount[order], need_of(np.array(values)[order]).amount)


def test_one_place_without_a_dimension_is_worked_out_too():
    need = need_of(6.0)
    assert np.shape(need.amount) == np.shape(need.reason) == np.shape(need.doubt) == ()
    assert all(np.shape(step.values) == () for step in need.steps)


def test_one_test_serves_many_yields():
    need = sufficiency_need(sulfur(6.0), CANOLA, harvest=replace(HARVEST, removal_kg_t=[5.0, 6.0]))
    assert need.amount == pytest.approx([14.83, 16.83])


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"test": sulfur([-1.0])}, "values"),
        ({"choices": NeedChoices(build_up_years=0.0)}, "build_up_years"),
        ({"choices": NeedChoices(most_kg_ha=-5.0)}, "most_kg_ha"),
        ({"harvest": HarvestRemoval(-2.0, 5.0)}, "target_yield_t_ha"),
    ],
)
def test_a_value_out_of_range_is_refused_by_name(wrong, named):
    given_values = {"test": sulfur([6.0]), "harvest": HARVEST, **wrong}
    with pytest.raises(SoilInputError, match=named):
        sufficiency_need(given_values.pop("test"), CANOLA, **given_values)


def test_standing_is_told_in_words():
    found = range_standing([6.7, 6.8, 7.5, 7.6, np.nan], low=6.8, high=7.5)
    assert found.tolist() == ["below", "inside", "inside", "above", "unknown"]
