import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage

from vrxapp.errors import GroundError
from vrxapp.ground.label_tidying import (
    filled_labels,
    majority_labels,
    merged_small_parts,
    without_narrow_parts,
)

ALL = np.ones((30, 40), dtype=bool)


def halves():
    labels = np.zeros((30, 40), dtype=np.int16)
    labels[:, 20:] = 1
    return labels


def smallest_part(labels, inside=ALL):
    sizes = []
    for label in np.unique(labels[inside]):
        numbered, _ = ndimage.label(inside & (labels == label))
        sizes += np.bincount(numbered.ravel())[1:].tolist()
    return min(sizes)


def test_cells_without_a_label_take_the_nearest():
    labels = halves()
    labels[:, 18:23] = -1
    assert np.array_equal(filled_labels(labels)[:, :20], halves()[:, :20])
    with pytest.raises(GroundError, match="no cell"):
        filled_labels(np.full((3, 3), -1, dtype=np.int16))


def test_a_speck_goes_with_the_majority_and_a_straight_edge_stays():
    labels = halves()
    labels[5, 5], labels[12, 30] = 1, 0
    assert np.array_equal(majority_labels(labels, ALL, width_cells=5), halves())


def test_the_majority_is_that_of_a_plain_count():
    rng = np.random.default_rng(1)
    labels = rng.integers(0, 4, (30, 40)).astype(np.int16)
    filtered = majority_labels(labels, ALL, width_cells=3)
    padded = np.pad(labels, 1, constant_values=-1)
    for row, column in [(0, 0), (7, 9), (29, 39), (15, 0)]:
        around = padded[row : row + 3, column : column + 3]
        count = np.bincount(around[around >= 0], minlength=4)
        assert count[filtered[row, column]] == count.max()
        if count[labels[row, column]] == count.max():
            assert filtered[row, column] == labels[row, column]


def test_an_even_square_has_no_middle():
    with pytest.raises(GroundError, match="odd number"):
        majority_labels(halves(), ALL, width_cells=4)


def test_a_small_part_joins_the_neighbour_with_the_longest_edge():
    labels = halves()
    labels[10:14, 18:21] = 2  # touches the west on 4 + 2 + 2 edges and the east on 4 + 1 + 1
    merged = merged_small_parts(labels, ALL, least_cells=13)
    assert np.all(merged[10:14, 18:21] == 0)
    assert np.array_equal(merged_small_parts(labels, ALL, least_cells=12), labels)


def test_a_part_that_stands_alone_stays_though_it_is_small():
    inside = ALL.copy()
    inside[:, 5] = False
    labels = halves()
    labels[:, :5] = 3
    assert np.all(merged_small_parts(labels, inside, least_cells=400)[:, :5] == 3)


@settings(max_examples=50, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), least=st.integers(2, 120), kinds=st.integers(2, 5))
def test_no_part_stays_smaller_than_asked_and_none_is_invented(seed, least, kinds):
    labels = np.random.default_rng(seed).integers(0, kinds, (30, 40)).astype(np.int16)
    merged = merged_small_parts(labels, ALL, least_cells=least)
    assert smallest_part(merged) >= least
    assert set(np.unique(merged)) <= set(np.unique(labels))
    assert np.array_equal(merged, merged_small_parts(labels, ALL, least_cells=least))


def test_a_strip_narrower_than_the_swath_goes_and_a_wider_one_stays():
    narrow, wide = halves(), halves()
    narrow[8:11] = 2
    wide[8:15] = 2
    assert 2 not in without_narrow_parts(narrow, ALL, width_cells=5.0)
    assert np.array_equal(without_narrow_parts(wide, ALL, width_cells=5.0), wide)


def test_a_finger_is_cut_off_and_the_hand_stays():
    labels = np.zeros((30, 40), dtype=np.int16)
    labels[10:22, 5:17] = 1
    labels[15:17, 17:35] = 1  # two cells wide
    cut = without_narrow_parts(labels, ALL, width_cells=5.0)
    assert np.all(cut[15:17, 22:35] == 0)
    assert np.all(cut[11:21, 6:16] == 1)


def test_a_strip_along_the_fence_is_narrow_too():
    labels = np.zeros((30, 40), dtype=np.int16)
    labels[:, :2] = 1
    assert 1 not in without_narrow_parts(labels, ALL, width_cells=5.0)
