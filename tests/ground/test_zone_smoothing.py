"""Edges along cells lose their steps, stay near where they were, and stay shared."""

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy import ndimage

from vrxapp.ground.grid import Grid
from vrxapp.ground.zone_shapes import shapes_of_labels

CELL_M = 5.0
SIDE = 40
FRAME = shapely.box(0.0, 0.0, SIDE * CELL_M, SIDE * CELL_M)
GRID = Grid("EPSG:7855", 0.0, SIDE * CELL_M, CELL_M, np.ones((SIDE, SIDE), dtype=bool))


def drawn(labels, smooth_m):
    return shapes_of_labels(labels.astype(np.int16), GRID, FRAME, smooth_m=smooth_m).shapes


def inner_edges(shapes):
    return shapely.difference(shapely.union_all(shapely.boundary(shapes)), FRAME.boundary)


def sharpest_turn_degree(line):
    steps = np.diff(shapely.get_coordinates(line), axis=0)
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    turn = np.diff(heading)
    return np.degrees(np.max(np.abs(np.arctan2(np.sin(turn), np.cos(turn)))))


@pytest.mark.parametrize("cells_per_step", [1, 2, 3, 6])
def test_a_slope_of_steps_has_no_right_angle_left(cells_per_step):
    row, column = np.indices((SIDE, SIDE))
    slope = row > SIDE / 4 + column // cells_per_step
    stepped, smooth = (shapely.line_merge(inner_edges(drawn(slope, m))) for m in (0.0, CELL_M))
    assert sharpest_turn_degree(stepped) == pytest.approx(90.0)
    assert sharpest_turn_degree(smooth) < 45.0


def test_a_zone_of_a_single_cell_stays():
    lone = np.zeros((SIDE, SIDE))
    lone[12, 20] = 1
    assert drawn(lone, CELL_M)[1].area > 0.4 * CELL_M**2


@settings(max_examples=30, deadline=None)
@example(seed=5309, smooth_m=5.0)  # two zones of a single cell
@given(seed=st.integers(0, 2**32 - 1), smooth_m=st.sampled_from([2.0, 5.0, 10.0]))
def test_no_edge_moves_farther_than_it_may_and_all_stay_shared(seed, smooth_m):
    field = ndimage.gaussian_filter(np.random.default_rng(seed).normal(size=(SIDE, SIDE)), 3)
    labels = np.digitize(field, np.quantile(field, [0.3, 0.7]))
    stepped, smooth = drawn(labels, 0.0), drawn(labels, smooth_m)
    moved_m = shapely.hausdorff_distance(inner_edges(smooth), inner_edges(stepped))
    assert moved_m <= smooth_m
    assert shapely.coverage_is_valid(smooth)
    assert shapely.area(smooth).sum() == pytest.approx(FRAME.area)


def test_a_round_zone_keeps_its_hectares():
    row, column = np.indices((SIDE, SIDE))
    disc = np.hypot(row - SIDE / 2, column - SIDE / 2) < 8
    stepped, smooth = drawn(disc, 0.0), drawn(disc, CELL_M)
    assert smooth[1].area == pytest.approx(
        stepped[1].area, rel=0.03
    )  # 0.5 ha is the least part that stays
