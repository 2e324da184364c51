from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.errors import GroundError, MissingInputError
from vrxapp.ground.value_classes import class_labels, natural_breaks, quantile_breaks
from vrxapp.ground.zone_clustering import NO_ZONE

numbers = st.lists(st.integers(-50, 50), min_size=4, max_size=14)


def left_inside(values, breaks):
    label = np.searchsorted(breaks, values, side="right")
    return sum(((values[label == k] - values[label == k].mean()) ** 2).sum() for k in set(label))


@settings(deadline=None)
@given(values=numbers, classes=st.integers(2, 4))
def test_natural_breaks_leave_as_little_as_the_best_of_all_groupings(values, classes):
    values = np.array(values, dtype=float)
    different = np.unique(values)
    if len(different) < classes:
        with pytest.raises(GroundError, match="fewer than"):
            natural_breaks(values, classes)
        return
    middles = (different[1:] + different[:-1]) / 2
    best = min(left_inside(values, np.array(cut)) for cut in combinations(middles, classes - 1))
    assert left_inside(values, natural_breaks(values, classes)) == pytest.approx(best, abs=1e-6)


def test_natural_breaks_do_not_lose_digits_far_from_zero():
    values = 6e6 + np.array([0.0, 0.1, 0.2, 5.0, 5.1, 9.0, 9.1])
    assert natural_breaks(values, 3) - 6e6 == pytest.approx([2.6, 7.05], abs=1e-6)


def test_many_values_are_joined_first_and_the_break_hardly_moves():
    rng = np.random.default_rng(4)
    values = np.concatenate([rng.normal(0, 1, 30_000), rng.normal(10, 1, 30_000)])
    (cut,) = natural_breaks(values, 2)
    assert 4.0 < cut < 6.0


@settings(deadline=None)
@given(values=numbers, classes=st.integers(2, 4))
def test_quantile_breaks_rise_and_leave_no_class_empty(values, classes):
    if len(set(values)) < classes:
        return
    breaks = quantile_breaks(values, classes)
    assert np.all(np.diff(breaks) > 0)
    assert set(np.searchsorted(breaks, values, side="right")) == set(range(classes))


def test_quartiles_of_different_values_hold_as_many_each():
    values = np.random.default_rng(2).permutation(1000)
    label = np.searchsorted(quantile_breaks(values, 4), values, side="right")
    assert np.bincount(label).tolist() == [250] * 4


def test_a_value_on_a_break_belongs_to_the_class_above(flat_grid, layer_of):
    values = np.full(flat_grid.shape, 20.0)
    values[0, 0], values[0, 1], values[0, 2] = 19.9, 35.0, np.nan
    labels = class_labels(layer_of(values), flat_grid, [20.0, 35.0])
    assert labels[0, :4].tolist() == [0, 2, NO_ZONE, 1]


@pytest.mark.parametrize("breaks", [(), (20.0, 20.0), (35.0, 20.0), (np.nan,)])
def test_breaks_that_do_not_rise_are_refused(flat_grid, layer_of, breaks):
    with pytest.raises(MissingInputError, match="must rise"):
        class_labels(layer_of(np.zeros(flat_grid.shape)), flat_grid, breaks)
