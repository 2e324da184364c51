import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.errors import GroundError, MissingInputError
from vrxapp.ground.exclusions import Exclusion, ExclusionKind
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.sampling_design import (
    positions_by_zone,
    positions_on_transects,
    positions_spread,
    sampling_ground,
    spread_points,
)
from vrxapp.ground.zones import Zones

EAST, NORTH = 682_000.0, 6_124_000.0
CORNER = np.array([EAST, NORTH])
BLOCK = shapely.box(EAST, NORTH, EAST + 400, NORTH + 200)
ZONES = Zones(
    ("w", "e"),
    ("West", "East"),
    np.array(
        [shapely.box(EAST, NORTH, EAST + 100, NORTH + 200),
         shapely.box(EAST + 100, NORTH, EAST + 400, NORTH + 200)], dtype=object
    ),
)  # fmt: skip
DAM = Exclusion("Dam", ExclusionKind.DAM, shapely.Point(EAST + 250, NORTH + 100), 40.0)


def test_edges_and_exclusions_with_their_setback_are_not_sampled():
    ground = sampling_ground(Paddock("P", "EPSG:7855", BLOCK, (DAM,)), edge_m=20.0)
    assert ground.area == pytest.approx(360 * 160 - np.pi * 1600, rel=1e-3)
    found = positions_spread(ZONES, ground, stops=25)
    assert shapely.intersects_xy(ground, found.easting_m, found.northing_m).all()


@pytest.mark.parametrize(("edge_m", "said"), [(110.0, "no ground"), (-1.0, "is none")])
def test_an_edge_that_leaves_nothing_is_refused(edge_m, said):
    with pytest.raises(GroundError, match=said):
        sampling_ground(Paddock("P", "EPSG:7855", BLOCK), edge_m=edge_m)


def test_each_zone_gets_the_same_number_of_stops_inside_it():
    found = positions_by_zone(ZONES, BLOCK, stops_per_zone=5, seed=3)
    assert found.zone_row.tolist() == [0] * 5 + [1] * 5
    for row, zone in enumerate(ZONES.shapes):
        mine = found.zone_row == row
        assert shapely.contains_xy(zone, found.easting_m[mine], found.northing_m[mine]).all()


def test_a_zone_that_cannot_be_sampled_is_named():
    with pytest.raises(GroundError, match="'East'"):
        positions_by_zone(ZONES, ZONES.shapes[0].buffer(-1.0), stops_per_zone=2)


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(1, 30))
def test_the_same_seed_gives_the_same_places_and_no_place_twice(seed, count):
    one, again = (spread_points(BLOCK, count, seed=seed) for _ in range(2))
    assert np.array_equal(one, again)
    assert len(np.unique(one, axis=0)) == count


def test_two_points_halve_a_block():
    # the middles of the two halves lie at 100 and 300 m; places are some 4.5 m apart
    places = spread_points(BLOCK, 2)
    assert np.sort(places[:, 0]) == pytest.approx([EAST + 100, EAST + 300], abs=8.0)
    assert places[:, 1] == pytest.approx(np.full(2, NORTH + 100), abs=8.0)


def test_spread_points_lie_nearer_to_all_ground_than_random_ones():
    places = np.random.default_rng(1).uniform((0, 0), (400, 200), (3000, 2)) + CORNER

    def mean_squared_distance(points):
        apart = np.sum((places[:, None] - points[None]) ** 2, axis=2)
        return apart.min(axis=1).mean()

    random = np.random.default_rng(2).uniform((0, 0), (400, 200), (12, 2)) + CORNER
    spread = mean_squared_distance(spread_points(BLOCK, 12))
    # twelve squares of 82 m would leave 82² / 6
    assert spread < 1.15 * (80_000 / 12) / 6
    assert spread < mean_squared_distance(random) / 1.5


def test_transects_run_along_their_bearing_evenly_apart():
    found = positions_on_transects(ZONES, BLOCK, lines=2, per_line=4, bearing_degree=90.0)
    assert np.unique(found.northing_m.round(6)).tolist() == [NORTH + 50, NORTH + 150]
    line = np.sort(found.easting_m[found.northing_m < NORTH + 100])
    assert line == pytest.approx(EAST + np.array([50.0, 150.0, 250.0, 350.0]))
    assert sorted(found.zone_row.tolist()) == [0, 0, 1, 1, 1, 1, 1, 1]


def test_a_transect_skips_what_is_left_out():
    ground = sampling_ground(Paddock("P", "EPSG:7855", BLOCK, (DAM,)), edge_m=0.0)
    found = positions_on_transects(ZONES, ground, lines=1, per_line=30, bearing_degree=90.0)
    assert shapely.intersects_xy(ground, found.easting_m, found.northing_m).all()
    assert len(found.easting_m) == 30


@pytest.mark.parametrize("stops", [0, 1001])
def test_no_stop_and_too_many_are_refused(stops):
    with pytest.raises(MissingInputError, match="cannot be planned"):
        positions_spread(ZONES, BLOCK, stops=stops)
