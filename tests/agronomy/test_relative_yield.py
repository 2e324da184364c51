"""Relative yield over a soil test, for display."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.relative_yield import (
    RELATIVE_YIELD_IS_A_CONVENIENCE,
    relative_yield,
    soil_test_at,
)
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade, source


def test_the_handbook_relative_yield():
    assert relative_yield(15.0, 25.0) == pytest.approx(74.8811, abs=0.1)  # RESP-06


def test_the_handbook_soil_test():
    assert soil_test_at(95.0, 25.0) == pytest.approx(32.5257, abs=0.05)  # RESP-07


def test_it_is_marked_as_a_convenience():
    assert "for display" in RELATIVE_YIELD_IS_A_CONVENIENCE
    assert source("bray-1954").grade is Grade.UNVERIFIED


def test_missing_stays_missing_and_what_cannot_be_is_refused():
    assert math.isnan(relative_yield(math.nan, 25.0))
    with pytest.raises(SoilInputError, match="critical"):
        relative_yield(15.0, 0.0)
    with pytest.raises(SoilInputError, match="below 100"):
        soil_test_at(100.0, 25.0)
    with pytest.raises(SoilInputError, match="between 0 and 100"):
        relative_yield(15.0, 25.0, at_critical_percent=100.0)


@given(st.floats(0.1, 99), st.floats(1, 200), st.sampled_from([90.0, 95.0]))
def test_the_curve_reads_the_same_both_ways(percent, critical, at_critical):
    test = soil_test_at(percent, critical, at_critical_percent=at_critical)
    back = relative_yield(test, critical, at_critical_percent=at_critical)
    assert back == pytest.approx(percent, rel=1e-6)
    assert relative_yield(critical, critical, at_critical_percent=at_critical) == pytest.approx(
        at_critical
    )
