"""Pulling back where leaves show over-supply."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from vrxapp.agronomy.tissue import TissueClass
from vrxapp.agronomy.tissue_overload import (
    NEVER_MORE_HUMATE,
    PULL_BACK,
    RULE_SOURCE,
    LeafAction,
    hints_at_phosphorus_induced_zinc,
    overload_advice,
)
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade, source

ONE_PLACE = np.array([0])


def classes(*rows):
    return np.array([[str(known) for known in row] for row in rows])


def test_each_class_has_its_action():
    row = classes(list(TissueClass))
    assert list(overload_advice(row, ONE_PLACE).actions[0]) == [
        LeafAction.NONE,
        LeafAction.CORRECT,
        LeafAction.CORRECT,
        LeafAction.CORRECT,
        LeafAction.MAINTAIN,
        LeafAction.STOP,
        LeafAction.STOP_AND_RESAMPLE,
    ]


def test_several_nutrients_over_at_once_call_for_pulling_back():
    sheet = classes(
        [TissueClass.HIGH, TissueClass.ADEQUATE, TissueClass.MARGINAL],
        [TissueClass.HIGH, TissueClass.TOXIC, TissueClass.MARGINAL],
    )
    advice = overload_advice(sheet, np.array([0, 1]))
    assert list(advice.high_count) == [1, 2]
    assert list(advice.pulls_back) == [False, True]
    # what is short is still given
    assert advice.actions[1, 2] == LeafAction.CORRECT
    assert "pull back" in PULL_BACK


def test_one_sample_alone_cuts_no_more_than_a_quarter():
    one = classes([TissueClass.HIGH, TissueClass.ADEQUATE])
    assert overload_advice(one, ONE_PLACE).cut_percent[0] == pytest.approx(
        [25.0, math.nan], nan_ok=True
    )


def test_two_agreeing_samples_of_one_place_cut_all():
    sheet = classes([TissueClass.HIGH], [TissueClass.TOXIC], [TissueClass.HIGH])
    cut = overload_advice(sheet, np.array([7, 7, 3])).cut_percent
    assert list(cut[:, 0]) == [100.0, 100.0, 25.0]


def test_a_sample_that_does_not_agree_confirms_nothing():
    sheet = classes([TissueClass.HIGH], [TissueClass.ADEQUATE])
    cut = overload_advice(sheet, np.array([7, 7])).cut_percent
    assert cut[0, 0] == 25.0
    assert math.isnan(cut[1, 0])


def test_an_element_sprayed_lately_is_not_acted_on():
    sheet = classes([TissueClass.TOXIC, TissueClass.HIGH, TissueClass.NONE])
    days = [[13.0, 14.0, 1.0]]
    advice = overload_advice(sheet, ONE_PLACE, days_since_spray=days)
    assert list(advice.actions[0]) == [LeafAction.WAIT, LeafAction.STOP, LeafAction.NONE]
    assert list(advice.high_count) == [1]
    assert math.isnan(advice.cut_percent[0, 0])


def test_much_phosphorus_beside_little_zinc_is_no_more_than_a_hint():
    phosphorus = np.array([TissueClass.HIGH, TissueClass.HIGH, TissueClass.ADEQUATE])
    zinc = np.array([TissueClass.MARGINAL, TissueClass.ADEQUATE, TissueClass.DEFICIENT])
    assert list(hints_at_phosphorus_induced_zinc(phosphorus, zinc)) == [True, False, False]
    assert source("p-induced-zn").grade is Grade.UNVERIFIED


def test_the_rule_is_marked_as_a_convention_and_never_asks_for_more_humate():
    assert source(RULE_SOURCE).grade is Grade.COMMON_PRACTICE
    assert not any("humate" in action for action in LeafAction)
    assert NEVER_MORE_HUMATE.startswith("Do not")


def test_columns_that_do_not_go_together_are_refused():
    with pytest.raises(SoilInputError, match="a place"):
        overload_advice(classes([TissueClass.HIGH]), np.array([0, 1]))


def test_no_samples_give_no_advice():
    advice = overload_advice(np.empty((0, 3), dtype=str), np.empty(0, dtype=np.intp))
    assert advice.actions.shape == (0, 3)


@given(
    hnp.arrays("U16", (6, 3), elements=st.sampled_from([str(known) for known in TissueClass])),
    hnp.arrays(np.intp, 6, elements=st.integers(0, 2)),
)
def test_a_cut_is_told_just_where_something_is_over(found, places):
    advice = overload_advice(found, places)
    over = np.isin(found, [TissueClass.HIGH, TissueClass.TOXIC])
    assert np.array_equal(np.isfinite(advice.cut_percent), over)
    assert np.array_equal(advice.high_count, over.sum(axis=1))
    assert set(advice.cut_percent[over]) <= {25.0, 100.0}
