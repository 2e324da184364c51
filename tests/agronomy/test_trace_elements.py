"""Trace elements: classes by method, no rate unasked, and a leaf test every time."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.trace_elements import trace_class, trace_element_need, trace_tests
from vrxapp.agronomy.trace_rates import (
    Placement,
    TraceElement,
    TraceRate,
    own_trace_rate,
    trace_rates,
)
from vrxapp.agronomy.trail import Trail, told_for
from vrxapp.errors import RefusedMixError, SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade

COPPER = trace_rates(TraceElement.COPPER)[0]
BORON = own_trace_rate(
    TraceElement.BORON, 1.0, placement=Placement.BROADCAST, reason="leaf tests of three years"
)


@pytest.mark.parametrize(
    ("test", "value", "expected"),
    [
        # havlin-1999 in a table of 2019; rayment-lyons-2011, Method 12C1
        pytest.param("dtpa_zn", 0.40, "low", id="TRACE-01"),
        pytest.param("dtpa_fe", 3.0, "marginal", id="TRACE-02"),
        pytest.param("boron_water", 0.70, "low", id="TRACE-03"),
        pytest.param("dtpa_zn", 0.55, "low", id="between two printed bands"),
        pytest.param("dtpa_zn", 1.0, "marginal", id="top of the marginal band"),
        pytest.param("dtpa_cu", 0.61, "adequate", id="copper"),
        pytest.param("dtpa_mn", 1.0, "low", id="manganese"),
        pytest.param("boron_cacl2", 0.14, "low", id="boron by calcium chloride"),
        pytest.param("dtpa_zn", np.nan, "unknown", id="no result"),
    ],
)
def test_classes_are_as_printed(test, value, expected):
    assert trace_class(test, value) == expected


@pytest.mark.parametrize("test", ["zinc_edta", "zinc_mehlich3", "zinc", "esp", ""])
def test_another_method_has_no_class(test):
    with pytest.raises(UnknownChoiceError, match="no classes"):
        trace_class(test, [0.4])


def test_a_test_of_another_element_is_refused():
    with pytest.raises(UnknownChoiceError, match="dtpa_cu"):
        trace_element_need(TraceElement.ZINC, "dtpa_cu", [0.4])


@pytest.mark.parametrize("element", [e for e in TraceElement if trace_tests(e)])
def test_without_a_chosen_rate_there_is_only_the_class(element):
    need = trace_element_need(element, trace_tests(element)[0], [0.0, np.nan])
    assert np.isnan(need.amount).all()
    assert all("leaf test" in text for text in need.reason)


def test_molybdenum_has_no_soil_test():
    need = trace_element_need(TraceElement.MOLYBDENUM, "", [np.nan, 0.1])
    assert np.isnan(need.amount).all()
    assert "no soil test tells Mo" in need.reason[0]


def test_a_chosen_rate_goes_where_soil_tested_low_and_nowhere_else():
    need = trace_element_need(TraceElement.COPPER, "dtpa_cu", [0.2, 0.5, 0.9, np.nan], rate=COPPER)
    assert need.amount[0] == COPPER.rate_kg_ha == 2.0  # flynn-gardner-1987
    assert need.amount[2] == 0.0
    assert np.isnan(need.amount[[1, 3]]).all()
    assert "marginal" in need.reason[1]
    assert "leaf test first" in need.doubt[0]


def test_only_copper_and_zinc_have_a_rate_with_a_source():
    assert {row.element for row in trace_rates()} == {TraceElement.COPPER, TraceElement.ZINC}
    assert {row.grade for row in trace_rates()} == {Grade.PUBLISHED}


def test_very_high_boron_gets_none():
    need = trace_element_need(TraceElement.BORON, "boron_water", [6.0], rate=BORON)
    assert need.amount.tolist() == [0.0]
    assert "toxic" in need.reason[0]


def test_boron_that_harmed_canola_is_doubted():
    need = trace_element_need(TraceElement.BORON, "boron_water", [0.2], rate=BORON)
    assert "not before canola" in need.doubt[0]
    assert any("mason-brennan-1995" in caution for caution in need.cautions)


def test_broadcast_manganese_is_doubted():
    rate = own_trace_rate(
        TraceElement.MANGANESE, 5.0, placement=Placement.BROADCAST, reason="habit"
    )
    need = trace_element_need(TraceElement.MANGANESE, "dtpa_mn", [0.5], rate=rate)
    assert "binds" in need.doubt[0]


def test_a_rate_of_another_element_is_refused():
    with pytest.raises(SoilInputError, match="not one of Zn"):
        trace_element_need(TraceElement.ZINC, "dtpa_zn", [0.4], rate=COPPER)


def test_boron_with_seed_is_refused_even_when_the_rate_was_made_by_hand():
    rate = TraceRate("x", TraceElement.BORON, 0.3, Placement.IN_FURROW, "", "y", Grade.YOURS)
    with pytest.raises(RefusedMixError, match="seed"):
        trace_element_need(TraceElement.BORON, "boron_water", [0.2], rate=rate)


def test_the_trail_tells_class_and_rate_with_their_sources():
    need = trace_element_need(TraceElement.COPPER, "dtpa_cu", [0.2], rate=COPPER)
    told = told_for(Trail(need.steps), 0)
    assert told[0].text.startswith("0.2 mg/kg by dtpa_cu is low")
    assert [sentence.source for sentence in told[:2]] == ["havlin-1999", "flynn-gardner-1987"]
    assert told[-1].text == "Need: 2 kg Cu/ha."


@given(st.lists(st.floats(0.0, 10.0), min_size=1, max_size=10))
def test_an_amount_is_the_rate_or_nothing(values):
    need = trace_element_need(TraceElement.COPPER, "dtpa_cu", values, rate=COPPER)
    known = need.amount[np.isfinite(need.amount)]
    assert np.isin(known, (0.0, COPPER.rate_kg_ha)).all()
    assert ((need.amount == COPPER.rate_kg_ha) == (np.array(values) < 0.4)).all()


def test_one_place_without_a_dimension_is_worked_out_too():
    need = trace_element_need(TraceElement.COPPER, "dtpa_cu", 0.2, rate=COPPER)
    assert np.shape(need.amount) == ()
    assert need.amount == 2.0
