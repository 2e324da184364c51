import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.errors import GroundError
from vrxapp.ground.points_in_zones import OUTSIDE, cells_with_edges, zone_of_points

EAST, NORTH = 682_000.0, 6_124_000.0
CORNER = np.array([EAST, NORTH])
FRAME = shapely.box(EAST, NORTH, EAST + 300, NORTH + 200)


def voronoi(seed, count):
    spots = np.random.default_rng(seed).uniform((0, 0), (300, 200), (count, 2)) + CORNER
    cells = shapely.get_parts(
        shapely.voronoi_polygons(shapely.multipoints(spots), extend_to=FRAME.buffer(5))
    )
    return shapely.intersection(cells, FRAME)


def one_by_one(x, y, zones):
    found = np.full(x.size, OUTSIDE)
    for row in reversed(range(len(zones))):
        found[shapely.intersects_xy(zones[row], x, y)] = row
    return found


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1), count=st.integers(2, 60), size=st.sampled_from([900, 20_000])
)
def test_every_point_has_the_zone_that_a_test_against_each_zone_finds(seed, count, size):
    zones = voronoi(seed, count)
    x, y = np.random.default_rng(seed + 1).uniform(-20, 320, (2, size)) + CORNER[:, None]
    assert np.array_equal(zone_of_points(x, y, zones), one_by_one(x, y, zones))


def test_holes_parts_and_gaps_are_known():
    ring = shapely.box(EAST, NORTH, EAST + 100, NORTH + 100).difference(
        shapely.box(EAST + 40, NORTH + 40, EAST + 60, NORTH + 60)
    )
    parts = shapely.multipolygons(
        [shapely.box(EAST + 45, NORTH + 45, EAST + 50, NORTH + 50),
         shapely.box(EAST + 150, NORTH, EAST + 200, NORTH + 100)]
    )  # fmt: skip
    zones = np.array([ring, parts], dtype=object)
    x, y = np.random.default_rng(0).uniform(0, 210, (2, 30_000)) + CORNER[:, None]
    assert np.array_equal(zone_of_points(x, y, zones), one_by_one(x, y, zones))


@pytest.mark.parametrize("count", [4, 6_000])
def test_points_on_an_edge_belong_to_one_of_its_zones_and_nan_to_none(count):
    zones = np.array(
        [shapely.box(EAST, NORTH, EAST + 50, NORTH + 99),
         shapely.box(EAST + 50, NORTH, EAST + 100, NORTH + 99)], dtype=object
    )  # fmt: skip
    x = np.full(count, EAST + 50.0)
    y = np.linspace(NORTH, NORTH + 99, count)
    x[-1] = np.nan
    found = zone_of_points(x, y, zones)
    assert np.all(found[:-1] == 0)
    assert found[-1] == OUTSIDE


def test_points_on_lines_and_corners_of_the_cells_are_not_lost():
    zones = shapely.box(
        *np.array([(EAST + 4 * i, NORTH, EAST + 4 * i + 4, NORTH + 64) for i in range(16)]).T
    )
    x, y = (
        line.ravel()
        for line in np.meshgrid(EAST + np.arange(0.5, 64), NORTH + np.arange(0.0, 64.5, 0.5))
    )
    assert np.array_equal(zone_of_points(x, y, zones), (np.floor(x - EAST) // 4).astype(int))


def test_no_zone_no_point_and_columns_of_different_length():
    nothing = np.array([], dtype=object)
    assert zone_of_points(np.array([EAST]), np.array([NORTH]), nothing).tolist() == [OUTSIDE]
    assert zone_of_points(np.zeros(0), np.zeros(0), voronoi(1, 3)).size == 0
    with pytest.raises(GroundError, match="differ in number"):
        zone_of_points(np.zeros(2), np.zeros(3), voronoi(1, 3))


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(2, 30))
def test_a_cell_without_an_edge_lies_in_one_zone_or_in_none(flat_grid, seed, count):
    zones = voronoi(seed, count)
    at_edge = cells_with_edges(zones, flat_grid)
    row, column = np.indices(flat_grid.shape)
    west, north = EAST + 5.0 * column, flat_grid.north_m - 5.0 * row
    cells = shapely.box(west, north - 5.0, west + 5.0, north)
    for zone in zones:
        assert not np.any(shapely.crosses(zone.boundary, cells[~at_edge]))
