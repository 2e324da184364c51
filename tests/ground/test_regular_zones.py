import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.spatial import distance

from vrxapp.errors import GroundError
from vrxapp.ground.grid_layers import PointValues
from vrxapp.ground.regular_zones import square_zones, zones_around_samples

EAST, NORTH = 682_000.0, 6_124_000.0
BLOCK = shapely.box(EAST, NORTH, EAST + 300, NORTH + 200)
BENT = BLOCK.difference(shapely.Point(EAST + 290, NORTH + 190).buffer(70)).difference(
    shapely.box(EAST + 50, NORTH + 50, EAST + 80, NORTH + 90)
)


def points(x, y):
    x, y = np.array(x, dtype=float), np.array(y, dtype=float)
    return PointValues("pH", "", EAST + x, NORTH + y, np.zeros(len(x)))


def test_six_hectares_make_six_squares_of_one():
    squares = square_zones(BLOCK, hectares=1.0)
    assert shapely.area(squares) == pytest.approx(np.full(6, 10_000.0))


@settings(max_examples=40, deadline=None)
@given(hectares=st.floats(0.15, 9.0), bearing=st.floats(-180.0, 180.0))
def test_squares_fill_the_paddock_whatever_their_size_and_bearing(hectares, bearing):
    squares = square_zones(BENT, hectares=hectares, bearing_degree=bearing)
    assert shapely.coverage_is_valid(squares)
    assert shapely.area(squares).sum() == pytest.approx(BENT.area, abs=1e-3)
    if len(squares) > 1:
        assert shapely.area(squares).min() >= 0.25 * hectares * 1e4 - 1e-6


def test_sides_run_along_the_passes():
    # bearing 30 degrees: a side's easting over northing is the tangent of 30 degrees
    squares = square_zones(BLOCK, hectares=0.2, bearing_degree=30.0)
    whole = squares[np.isclose(shapely.area(squares), 2_000.0)][0]
    corners = shapely.get_coordinates(shapely.simplify(whole, 1e-6))
    bearings = np.degrees(np.arctan2(*np.diff(corners, axis=0).T)) % 90.0
    assert bearings == pytest.approx(np.full(4, 30.0), abs=1e-6)


@pytest.mark.parametrize("hectares", [0.0, -1.0, np.nan, 0.0001])
def test_squares_of_no_size_or_too_many_are_refused(hectares):
    with pytest.raises(GroundError, match="squares of"):
        square_zones(BLOCK, hectares=hectares)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(2, 40))
def test_ground_around_samples_fills_the_paddock_and_holds_its_sample(seed, count):
    xy = np.random.default_rng(seed).uniform((1, 1), (299, 199), (count, 2))
    assume(distance.pdist(xy).min() > 1.5)  # those within a metre count as one
    zones = zones_around_samples(BLOCK, points(*xy.T))
    assert len(zones) == count
    assert shapely.coverage_is_valid(zones)
    assert shapely.area(zones).sum() == pytest.approx(BLOCK.area, abs=1e-3)
    assert np.all(shapely.intersects_xy(zones, EAST + xy[:, 0], NORTH + xy[:, 1]))


@pytest.mark.parametrize("x", [[5.0, 5.2, 5.4], [900.0, 950.0, 5.0]])
def test_samples_in_one_spot_or_outside_are_refused(x):
    with pytest.raises(GroundError, match="only one place with samples lies in the paddock"):
        zones_around_samples(BLOCK, points(x, [5.0, 5.1, 5.2]))
