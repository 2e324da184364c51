"""A rule of the agronomist's own: its arithmetic, and what it may not say."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.crop_removal import Nutrient
from vrxapp.agronomy.own_rule import own_rule_need
from vrxapp.agronomy.own_rule_values import OwnRule, OwnShape
from vrxapp.agronomy.trail import Trail, told_for
from vrxapp.errors import SoilInputError
from vrxapp.need_plans import SYMBOLS, OwnRulePlan
from vrxapp.sources import Grade

POTASH = OwnRule(
    name="My potash",
    analyte="colwell_k",
    depth_cm="0-10",
    element=Nutrient.POTASSIUM,
    shape=OwnShape.LINES,
    breakpoints=(10.0, 40.0, 80.0),
    needs_kg_ha=(60.0, 30.0, 0.0),
    source="district trials {1998}",
)
STEPS = dataclasses.replace(POTASH, shape=OwnShape.STEPS)


def changed(**parts):
    return dataclasses.replace(POTASH, **parts)


def test_straight_lines_change_evenly_between_breakpoints():
    # half way from 10 to 40: half way from 60 to 30; a quarter from 40 to 80: 30 - 7.5
    need = own_rule_need(POTASH, [10.0, 25.0, 40.0, 50.0, 80.0])
    np.testing.assert_allclose(need.amount, [60.0, 45.0, 30.0, 22.5, 0.0])
    assert need.unit == "kg K/ha"


def test_a_step_holds_from_its_breakpoint_to_just_below_the_next():
    need = own_rule_need(STEPS, [10.0, np.nextafter(40.0, 0), 40.0, np.nextafter(80.0, 0), 80.0])
    np.testing.assert_array_equal(need.amount, [60.0, 60.0, 30.0, 30.0, 0.0])


@pytest.mark.parametrize("rule", [POTASH, STEPS])
def test_the_last_need_holds_above_with_a_doubt_and_below_the_first_nothing_is_told(rule):
    need = own_rule_need(rule, [9.9, 200.0, np.nan])
    np.testing.assert_array_equal(need.amount, [np.nan, 0.0, np.nan])
    assert "below 10 mg/kg, where the rule 'My potash' begins" in need.reason[0]
    assert "above the rule's last breakpoint" in need.doubt[1]
    assert "no Colwell K result at 0-10 cm" in need.reason[2]


def test_the_cap_holds_and_is_told():
    need = own_rule_need(changed(cap_kg_ha=45.0), [10.0, 25.0, 40.0])
    np.testing.assert_array_equal(need.amount, [45.0, 45.0, 30.0])
    assert [bool(text) for text in need.doubt] == [True, False, False]


def test_a_rule_for_another_crop_says_nothing():
    rule = changed(crop="wheat")
    assert np.isnan(own_rule_need(rule, [20.0], crop="canola").amount).all()
    assert "made for wheat, not for canola" in own_rule_need(rule, [20.0], crop="canola").reason[0]
    assert own_rule_need(rule, [10.0], crop="wheat").amount[0] == 60.0


def test_the_trail_is_graded_as_the_agronomists_own_and_prints_their_words_as_they_are():
    need = own_rule_need(POTASH, [25.0])
    told = told_for(Trail(need.steps), 0)
    assert told[0].grade is Grade.YOURS
    assert "10 to 60, 40 to 30, 80 to 0" in told[0].text
    assert "25 mg/kg of Colwell K needs 45 kg K/ha (district trials {1998})" in told[0].text


def test_a_trace_element_keeps_its_cap_and_its_cautions():
    boron = changed(
        analyte="boron_cacl2",
        element=Nutrient.BORON,
        breakpoints=(0.0, 0.5),
        needs_kg_ha=(1.0, 0.0),
    )
    assert any("Boron" in text for text in own_rule_need(boron, [0.2]).cautions)
    with pytest.raises(SoilInputError, match="not given in one season"):
        dataclasses.replace(boron, needs_kg_ha=(40.0, 0.0))
    capped = dataclasses.replace(boron, needs_kg_ha=(40.0, 0.0), cap_kg_ha=1.0)
    assert own_rule_need(capped, [0.0]).amount[0] == 1.0


@pytest.mark.parametrize(
    ("parts", "column", "said"),
    [
        ({"source": " "}, "source", "needs its source"),
        ({"name": ""}, "name", "needs its name"),
        ({"analyte": "colwel_k"}, "analyte", "colwell_k"),
        ({"crop": "wheet"}, "crop", "wheat"),
        ({"depth_cm": "10-0"}, "depth_cm", "no soil layer"),
        ({"depth_cm": "0 - 10"}, "depth_cm", "Write it as 0-10"),
        ({"breakpoints": (), "needs_kg_ha": ()}, "breakpoints", "from 1 to"),
        ({"breakpoints": (10.0, 40.0, 40.0)}, "breakpoints", "must rise, but 40 follows 40"),
        ({"breakpoints": (10.0, 80.0, 40.0)}, "breakpoints", "must rise"),
        ({"breakpoints": (-1.0, 40.0, 80.0)}, "breakpoints", "goes from 0"),
        ({"breakpoints": (10.0, 40.0, math.nan)}, "breakpoints", "goes from 0"),
        ({"needs_kg_ha": (60.0, 30.0)}, "needs_kg_ha", "2 needs for 3 breakpoints"),
        ({"needs_kg_ha": (60.0, -1.0, 0.0)}, "needs_kg_ha", "between 0 and 2000"),
        ({"needs_kg_ha": (60.0, math.inf, 0.0)}, "needs_kg_ha", "between 0 and 2000"),
        ({"cap_kg_ha": 0.0}, "cap_kg_ha", "above zero"),
    ],
)
def test_what_is_no_rule_is_refused_by_the_name_of_its_part(parts, column, said):
    with pytest.raises(SoilInputError, match=said) as caught:
        changed(**parts)
    assert caught.value.note.column == column


def test_a_negative_result_is_refused():
    with pytest.raises(SoilInputError, match="must not be negative"):
        own_rule_need(POTASH, [-1.0])


@given(
    st.lists(st.floats(0, 1000), min_size=1, max_size=8, unique=True).map(sorted),
    st.data(),
    st.sampled_from(OwnShape),
)
def test_a_need_never_leaves_the_span_of_the_rules_needs(points, data, shape):
    needs = data.draw(
        st.lists(st.floats(0, 100), min_size=len(points), max_size=len(points)), label="needs"
    )
    rule = changed(shape=shape, breakpoints=tuple(points), needs_kg_ha=tuple(needs))
    results = np.array(data.draw(st.lists(st.floats(0, 1200), min_size=1, max_size=20)))
    amount = own_rule_need(rule, results).amount
    told = amount[np.isfinite(amount)]
    np.testing.assert_array_equal(np.isnan(amount), results < points[0])
    assert ((told >= min(needs) - 1e-9) & (told <= max(needs) + 1e-9)).all()


@pytest.mark.parametrize("element", Nutrient)
def test_every_element_is_a_need_of_its_own(element):
    purposes = [p for p, symbol in SYMBOLS.items() if symbol == element]
    assert [OwnRulePlan(changed(element=element, needs_kg_ha=(0.1, 0.0, 0.0))).purpose] == purposes
