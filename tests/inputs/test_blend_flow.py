"""Density, flow and segregation of a mix, against the handbook's check values."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import MissingInputError, SoilInputError
from vrxapp.inputs.blend_flow import (
    FLOW_CAUTION,
    POWDER_CAUTION,
    SizeVerdict,
    is_fit_for_a_mix,
    mixed_bulk_density,
    size_difference_percent,
    size_match,
    spread_of_sizes_percent,
)
from vrxapp.sources import Grade


@pytest.mark.parametrize("expected", [pytest.param(980.0, id="QTY-23")])
def test_the_density_of_a_mix_is_the_handbook_value(expected):
    assert mixed_bulk_density([1000.0, 50.0], [1000.0, 700.0]) == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize("expected", [pytest.param(18.2, id="SEG-01")])
def test_the_difference_of_sizes_is_the_handbook_value(expected):
    assert size_difference_percent(300, 250) == pytest.approx(expected, abs=0.05)
    assert size_match(300, 250).verdict is SizeVerdict.CAUTION


@pytest.mark.parametrize("expected", [pytest.param(16.9, id="SEG-02")])
def test_the_spread_of_sizes_is_the_handbook_value(expected):
    found = spread_of_sizes_percent(d16_mm=2.7, d50_mm=3.25, d84_mm=3.8)
    assert found == pytest.approx(expected, abs=0.05)
    assert is_fit_for_a_mix(found)


@pytest.mark.parametrize("expected", [pytest.param(7.7, id="SEG-03")])
def test_the_published_tolerance_of_size_is_within_good(expected):
    # give or take 0.25 of 3.25 mm: half the spread between the two ends, by the middle
    found = spread_of_sizes_percent(d16_mm=3.0, d50_mm=3.25, d84_mm=3.5)
    assert found == pytest.approx(expected, abs=0.05)
    assert size_match(350, 325).verdict is SizeVerdict.GOOD


@pytest.mark.parametrize(
    ("second", "verdict"),
    [(300, SizeVerdict.GOOD), (245, SizeVerdict.COMES_APART), (20, SizeVerdict.COMES_APART)],
)
def test_sizes_are_judged_and_the_cut_offs_called_unverified(second, verdict):
    found = size_match(300, second)
    assert found.verdict is verdict
    assert found.grade is Grade.UNVERIFIED


def test_eighteen_is_no_longer_fit():
    assert not is_fit_for_a_mix(18.0)


def test_the_cautions_ask_for_a_calibration_and_keep_powder_apart():
    assert "Calibrate" in FLOW_CAUTION
    assert "powder" in POWDER_CAUTION


@given(
    st.lists(st.floats(1, 2000), min_size=2, max_size=4),
    st.lists(st.floats(300, 1500), min_size=4, max_size=4),
)
def test_the_density_lies_between_those_of_the_parts(masses, densities):
    told = densities[: len(masses)]
    found = mixed_bulk_density(masses, told)
    assert min(told) * (1 - 1e-9) <= found <= max(told) * (1 + 1e-9)


@given(st.floats(10, 500), st.floats(10, 500))
def test_the_difference_does_not_mind_the_order(first, second):
    assert size_difference_percent(first, second) == size_difference_percent(second, first)


def test_what_cannot_be_is_refused():
    with pytest.raises(MissingInputError, match="bulk density"):
        mixed_bulk_density([1.0], [])
    with pytest.raises(SoilInputError, match="rise"):
        spread_of_sizes_percent(d16_mm=4.0, d50_mm=3.0, d84_mm=3.5)
    with pytest.raises(SoilInputError, match="first_sgn"):
        size_difference_percent(0, 250)
