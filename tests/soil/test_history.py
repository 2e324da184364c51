"""Two tests side by side: only what laboratories can tell apart is called a change."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError
from vrxapp.soil.analytes import analyte
from vrxapp.soil.by_place import PlaceResults
from vrxapp.soil.history import Change, change_since


def results(key, means, beyond=None):
    mean = np.array(means, dtype=float)
    told = np.isfinite(mean).astype(np.intp)
    limits = np.array(beyond if beyond is not None else np.zeros(mean.size), dtype=np.intp)
    return PlaceResults(analyte(key), mean, told, np.full(mean.shape, np.nan), limits)


def test_a_colwell_change_is_told_beyond_38_percent_of_the_mean():
    # 20 and 29: 9 of a mean of 24.5 is 36.7 %; 20 and 30: 40 %; 30 and 20 the same, downwards
    found = change_since(
        results("colwell_p", [20, 20, 30, 25]), results("colwell_p", [29, 30, 20, 25])
    )
    assert found.change.tolist() == [
        Change.NOT_TOLD_APART,
        Change.RISEN,
        Change.FALLEN,
        Change.NOT_TOLD_APART,
    ]
    np.testing.assert_allclose(found.difference, [9, 10, -10, 0])
    # 38.25 % of a mean of 24.5
    assert found.least_difference[0] == pytest.approx(9.372, abs=0.01)
    assert found.spread.source == "rayment-lyons-2011"


def test_a_ph_change_is_told_from_a_quarter_of_a_unit_on():
    # 1.96 x 1.4142 x 1.8 % of about 5 is 0.25
    found = change_since(results("ph_cacl2", [4.9, 4.9]), results("ph_cacl2", [5.1, 5.2]))
    assert found.change.tolist() == [Change.NOT_TOLD_APART, Change.RISEN]


def test_missing_tests_are_named_as_such():
    found = change_since(
        results("colwell_p", [np.nan, 20, np.nan]), results("colwell_p", [20, np.nan, np.nan])
    )
    assert found.change.tolist() == [
        Change.NOT_TESTED_BEFORE,
        Change.NOT_TESTED_NOW,
        Change.NOT_TESTED,
    ]
    assert np.all(np.isnan(found.difference))


def test_a_result_beyond_a_limit_is_not_compared():
    found = change_since(
        results("colwell_p", [2.5, 50], beyond=[1, 0]), results("colwell_p", [20, 10])
    )
    assert found.change.tolist() == [Change.BEYOND_LIMIT, Change.FALLEN]


def test_a_test_without_a_published_spread_is_not_judged_but_its_difference_is_shown():
    found = change_since(results("exch_al", [0.1]), results("exch_al", [0.9]))
    assert found.change.tolist() == [Change.NO_SPREAD]
    assert np.isnan(found.least_difference[0])
    assert found.difference[0] == pytest.approx(0.8)
    assert found.spread is None


def test_two_methods_are_never_compared():
    with pytest.raises(SoilInputError, match="two methods"):
        change_since(results("colwell_p", [20]), results("olsen_p", [20]))


def test_two_sets_of_places_are_refused():
    with pytest.raises(SoilInputError, match="2 places and this one 1"):
        change_since(results("colwell_p", [20, 30]), results("colwell_p", [20]))


@given(st.floats(0.1, 1000), st.floats(0.1, 1000))
def test_the_way_back_is_the_opposite_change(first, second):
    there = change_since(results("olsen_p", [first]), results("olsen_p", [second])).change[0]
    back = change_since(results("olsen_p", [second]), results("olsen_p", [first])).change[0]
    opposite = {Change.RISEN: Change.FALLEN, Change.FALLEN: Change.RISEN}
    assert back == opposite.get(there, there)


@given(st.floats(0.5, 500), st.floats(0.01, 3.0))
def test_a_larger_rise_is_never_less_of_a_change(before, rise):
    low = change_since(results("olsen_p", [before]), results("olsen_p", [before * (1 + rise)]))
    high = change_since(results("olsen_p", [before]), results("olsen_p", [before * (2 + rise)]))
    assert (low.change[0] == Change.RISEN) <= (high.change[0] == Change.RISEN)


def test_the_columns_are_read_only():
    found = change_since(results("olsen_p", [10]), results("olsen_p", [12]))
    with pytest.raises(ValueError, match="read-only"):
        found.change[0] = Change.RISEN
