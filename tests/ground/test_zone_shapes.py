"""Zones as a coverage: no gap, no overlap, edges the same from both sides."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage

from vrxapp.errors import GroundError
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zone_shapes import (
    narrow_shares,
    require_coverage,
    shapes_of_labels,
    tiled_by,
)
from vrxapp.ground.zoning_grid import zoning_grid

EAST, NORTH = 682_000.0, 6_124_000.0
CORNER = np.array([EAST, NORTH])


def boundaries():
    """Paddocks with bays, a hole, and two parts."""
    angle = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    radius = 150 + 35 * np.sin(3 * angle) + 12 * np.cos(7 * angle)
    ring = np.column_stack([EAST + radius * np.cos(angle), NORTH + radius * np.sin(angle)])
    bays = shapely.polygons(ring)
    hole = bays.difference(shapely.box(EAST - 31.7, NORTH - 22.3, EAST + 18.9, NORTH + 41.1))
    parts = shapely.union_all([bays, shapely.box(EAST + 260, NORTH - 90, EAST + 391.3, NORTH + 77)])
    return {"bays": bays, "hole": hole, "two parts": parts}


BOUNDARIES = boundaries()


def random_labels(seed, shape, kinds):
    field = ndimage.gaussian_filter(np.random.default_rng(seed).normal(size=shape), 3)
    return np.digitize(field, np.quantile(field, np.arange(1, kinds) / kinds)).astype(np.int16)


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1),
    kinds=st.integers(2, 6),
    smooth=st.sampled_from([0.0, 4.0, 10.0]),
    name=st.sampled_from(sorted(BOUNDARIES)),
)
def test_zones_are_a_valid_coverage_that_fills_the_paddock(seed, kinds, smooth, name):
    paddock = Paddock(name, "EPSG:7855", BOUNDARIES[name])
    grid = zoning_grid(paddock, 4.0)
    labels = random_labels(seed, grid.shape, kinds)
    drawn = shapes_of_labels(labels, grid, paddock.boundary, smooth_m=smooth)
    assert shapely.coverage_is_valid(drawn.shapes)
    assert shapely.is_valid(drawn.shapes).all()
    assert shapely.area(drawn.shapes).sum() == pytest.approx(paddock.boundary.area, abs=1e-3)
    whole = shapely.union_all(drawn.shapes)
    assert shapely.symmetric_difference(whole, paddock.boundary).area < 1e-3
    again = shapes_of_labels(labels, grid, paddock.boundary, smooth_m=smooth)
    assert shapely.equals_exact(drawn.shapes, again.shapes, tolerance=0.0).all()


def test_without_smoothing_a_zone_has_the_area_of_its_cells(flat_paddock, flat_grid):
    labels = random_labels(3, flat_grid.shape, 3)
    drawn = shapes_of_labels(labels, flat_grid, flat_paddock.boundary, smooth_m=0.0)
    assert drawn.labels.tolist() == [0, 1, 2]
    assert shapely.area(drawn.shapes) == pytest.approx(25.0 * np.bincount(labels.ravel()))


def test_cells_that_meet_in_a_corner_make_valid_zones(flat_paddock, flat_grid):
    row, column = np.indices(flat_grid.shape)
    checks = ((row // 4 + column // 4) % 2).astype(np.int16)
    drawn = shapes_of_labels(checks, flat_grid, flat_paddock.boundary, smooth_m=0.0)
    assert shapely.is_valid(drawn.shapes).all()
    assert shapely.area(drawn.shapes) == pytest.approx([30_000.0, 30_000.0])


def test_smoothing_takes_corners_away_and_keeps_the_ground(flat_paddock, flat_grid):
    labels = random_labels(8, flat_grid.shape, 3)
    steps = shapes_of_labels(labels, flat_grid, flat_paddock.boundary, smooth_m=0.0)
    smooth = shapes_of_labels(labels, flat_grid, flat_paddock.boundary, smooth_m=5.0)
    corners = [int(shapely.get_num_coordinates(s.shapes).sum()) for s in (steps, smooth)]
    assert corners[1] < corners[0] / 2
    assert shapely.area(smooth.shapes) == pytest.approx(shapely.area(steps.shapes), rel=0.05)


def test_crumbs_go_to_the_neighbour_with_the_longest_edge():
    boundary = shapely.box(EAST, NORTH, EAST + 100, NORTH + 100)
    crumb = shapely.box(EAST + 49.5, NORTH, EAST + 50.2, NORTH + 0.7)
    west = shapely.box(EAST, NORTH, EAST + 50, NORTH + 100).difference(crumb)
    east = shapely.box(EAST + 50, NORTH, EAST + 100, NORTH + 100).difference(crumb)
    tiles = tiled_by(np.array([west, crumb, east], dtype=object), boundary)
    assert tiles[1].is_empty
    assert tiles[0].area + tiles[2].area == pytest.approx(10_000.0)
    assert tiles[0].covers(crumb)


def test_shapes_that_do_not_fit_are_refused():
    boundary = shapely.box(0, 0, 100, 100)
    gap = np.array([shapely.box(0, 0, 50, 100), shapely.box(51, 0, 100, 100)], dtype=object)
    overlap = np.array([shapely.box(0, 0, 51, 100), shapely.box(50, 0, 100, 100)], dtype=object)
    with pytest.raises(GroundError, match=r"100\.000 m² too much or too little"):
        require_coverage(gap, boundary)
    with pytest.raises(GroundError, match="edges differ"):
        require_coverage(overlap, boundary)


def test_a_narrow_zone_is_told_from_a_wide_one():
    strip, block = shapely.box(0, 0, 400, 20), shapely.box(0, 0, 400, 100)
    shares = narrow_shares(np.array([strip, block], dtype=object), 24.0)
    assert shares[0] == 1.0
    assert shares[1] < 0.01
