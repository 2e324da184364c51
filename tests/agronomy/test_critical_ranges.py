"""Calibrations of K, S and Mg: published ones by default, and none for another test."""

import numpy as np
import pytest

from vrxapp.agronomy.critical_ranges import (
    critical_range_of,
    critical_ranges,
    default_critical_range,
    layer_thickness_cm,
    own_critical_range,
)
from vrxapp.agronomy.sufficiency import range_standing
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.sources import Grade

ALL = [row for element in ("K", "S", "Mg") for row in critical_ranges(element)]


@pytest.mark.parametrize("row", ALL, ids=lambda row: row.key)
def test_no_unverified_range_is_a_default_and_each_says_what_it_is(row):
    assert not (row.grade is Grade.UNVERIFIED and row.default_for_test == "yes")
    assert ("(unverified)" in row.name) == (row.grade is Grade.UNVERIFIED)
    assert 0 < row.low <= row.high
    assert row.unit in {"mg/kg", "cmol(+)/kg"}
    assert layer_thickness_cm(row.depth_cm) > 0


def test_a_crop_and_test_start_with_one_range_at_most():
    starts = [(r.element, r.crop, r.analyte) for r in ALL if r.default_for_test == "yes"]
    assert len(starts) == len(set(starts))


@pytest.mark.parametrize(
    ("key", "value", "standing"),
    [
        # anderson-2013, abstract: canola 6.8-7.5, wheat on named soils 2.4-3.2
        pytest.param("s-canola-30", 6.0, "below", id="SSOIL-01"),
        pytest.param("s-wheat-sands-30", 3.0, "inside", id="SSOIL-02"),
    ],
)
def test_sulfur_stands_where_the_handbook_puts_it(key, value, standing):
    critical = critical_range_of(key)
    assert range_standing(value, low=critical.low, high=critical.high) == standing


def test_colwell_potassium_has_no_default_and_exchangeable_has():
    assert default_critical_range("K", "wheat", analyte="colwell_k") is None
    found = default_critical_range("K", "wheat", analyte="exch_k")
    assert found is not None
    assert found.low == 0.12


def test_a_range_for_any_crop_is_offered_to_each():
    assert [row.key for row in critical_ranges("Mg", crop="wheat")] == ["mg-any"]


def test_a_range_of_ones_own_keeps_test_and_layer():
    own = own_critical_range(critical_range_of("k-canola"), 50.0, 60.0, reason="own strips")
    assert (own.analyte, own.depth_cm, own.grade) == ("colwell_k", "0-10", Grade.YOURS)
    assert (own.low, own.high, own.where) == (50.0, 60.0, "own strips")


@pytest.mark.parametrize(
    ("low", "high", "reason"),
    [(0.0, 5.0, "x"), (6.0, 5.0, "x"), (1.0, np.nan, "x"), (1.0, np.inf, "x"), (1.0, 2.0, " ")],
)
def test_a_range_of_ones_own_needs_numbers_and_a_reason(low, high, reason):
    with pytest.raises(MissingInputError):
        own_critical_range(critical_range_of("k-canola"), low, high, reason=reason)


def test_an_unknown_key_lists_what_there_is():
    with pytest.raises(UnknownChoiceError, match="s-canola-30"):
        critical_range_of("nowhere")


@pytest.mark.parametrize("text", ["", "10", "10-0", "a-b", "0-10-20"])
def test_what_is_no_layer_is_refused(text):
    with pytest.raises(UnknownChoiceError):
        layer_thickness_cm(text)
