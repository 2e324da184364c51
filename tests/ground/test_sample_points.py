"""Samples fit to be mapped: what is left out, joined or refused, and in which words."""

import numpy as np
import pytest

from vrxapp.errors import GroundError
from vrxapp.ground.sample_points import sample_points

SQUARE_E, SQUARE_N = [0.0, 100.0, 0.0, 100.0], [0.0, 0.0, 100.0, 100.0]


def test_samples_without_a_value_are_left_out_and_told():
    points, notes = sample_points(
        [*SQUARE_E, 50.0], [*SQUARE_N, 50.0], [1.0, 2.0, 3.0, 4.0, np.nan]
    )
    assert points.values.size == 4
    assert [str(n) for n in notes] == ["1 sample has no value and is left out of the map."]


def test_samples_of_one_spot_become_their_mean_and_are_told():
    points, notes = sample_points([*SQUARE_E, 100.001], [*SQUARE_N, 100.0], [1, 2, 3, 4, 8])
    assert sorted(points.values) == [1.0, 2.0, 3.0, 6.0]
    assert "2 samples share a spot" in str(notes[0])


def test_a_sample_without_value_needs_no_place():
    points, _ = sample_points([*SQUARE_E, np.nan], [*SQUARE_N, np.nan], [1, 2, 3, 4, np.nan])
    assert points.values.size == 4


@pytest.mark.parametrize(
    ("easting", "northing", "values", "words"),
    [
        ([0, 1], [0, 1], [1.0, 2.0], "at least 3 samples"),
        (SQUARE_E, SQUARE_N, [1.0, np.nan, np.nan, 2.0], "at least 3 samples"),
        ([5, 5, 5, 5], [7, 7, 7, 7], [1, 2, 3, 4], "one spot"),
        ([0, 10, 20, 900], [0, 20, 40, 1800], [1, 2, 3, 4], "one line"),
        ([0, 300, 600, 900], [0, 2, -2, 0], [1, 2, 3, 4], "one line"),
        ([0, 0, 100, 100], [0, 0, 50, 50], [1, 2, 3, 4], "one line"),
        ([0, np.nan, 0, 1], [0, 0, 1, 1], [1, 2, 3, 4], "no place"),
        (SQUARE_E, SQUARE_N, [1, 2, 3, np.inf], "endless"),
    ],
)
def test_samples_that_cannot_be_mapped_are_refused_with_a_mend(easting, northing, values, words):
    with pytest.raises(GroundError, match=words) as refused:
        sample_points(easting, northing, values)
    assert refused.value.note.mend


def test_columns_of_different_length_are_refused():
    with pytest.raises(GroundError, match="differ in number"):
        sample_points(SQUARE_E, SQUARE_N, [1.0, 2.0])
