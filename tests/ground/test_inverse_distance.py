"""Inverse distance: by hand, and by what must hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from vrxapp.errors import GroundError
from vrxapp.ground.grid import paddock_grid
from vrxapp.ground.inverse_distance import inverse_distance_grid, inverse_distance_points
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.progress import Cancelled

THREE = SamplePoints(np.array([0.0, 100, 0]), np.array([0.0, 0, 50]), np.array([3.0, 9, 6]))


def test_a_point_by_hand():
    # at (50, 0): distances² 2500, 2500 and 5000, so weights 2 : 2 : 1 and (6 + 18 + 6) / 5 = 6
    assert inverse_distance_points(THREE, [50.0], [0.0]) == pytest.approx([6.0])
    # with power 4 the weights are 4 : 4 : 1
    assert inverse_distance_points(THREE, [50.0], [0.0], power=4.0) == pytest.approx([54 / 9])
    # at (0, 25) with power 2: 625, 10625 and 625, so 17 : 1 : 17
    assert inverse_distance_points(THREE, [0.0], [25.0]) == pytest.approx([(51 + 9 + 102) / 35])


@settings(max_examples=40, deadline=None)
@given(
    st.integers(0, 10_000),
    st.floats(0.5, 8.0),
    st.floats(-1e4, 1e4),
)
def test_a_place_lies_between_its_samples_and_a_sample_keeps_its_value(seed, power, shift):
    rng = np.random.default_rng(seed)
    samples = SamplePoints(*rng.uniform(0, 500, (2, 20)), rng.normal(0, 5, 20) + shift)
    at = rng.uniform(-200, 700, (2, 30))
    found = inverse_distance_points(samples, *at, power=power)
    assert np.all((found >= samples.values.min() - 1e-9) & (found <= samples.values.max() + 1e-9))
    own = inverse_distance_points(samples, samples.easting_m, samples.northing_m, power=power)
    np.testing.assert_array_equal(own, samples.values)


def test_a_high_power_far_away_stays_a_number():
    found = inverse_distance_points(THREE, [1e7], [1e7], power=60.0)
    assert np.isfinite(found).all()


def test_cells_take_the_points_at_their_middles_and_know_no_error():
    grid = paddock_grid(Paddock("Flat", "EPSG:7855", box(0, 0, 100, 50)), 10.0)
    cells = inverse_distance_grid(THREE, grid)
    assert cells.mean[0, 0] == inverse_distance_points(THREE, [5.0], [45.0])[0]
    assert np.isnan(cells.standard_error).all()


@pytest.mark.parametrize("power", [0.0, -2.0, np.nan])
def test_a_power_that_cannot_be_is_refused(power):
    with pytest.raises(GroundError, match="above 0"):
        inverse_distance_points(THREE, [1.0], [1.0], power=power)


def test_columns_of_points_that_differ_in_number_are_refused():
    with pytest.raises(GroundError, match="differ in number"):
        inverse_distance_points(THREE, [1.0, 2.0], [1.0])


def test_work_stops_when_asked():
    class Stops:
        def step(self, done, total, stage):
            raise Cancelled

    with pytest.raises(Cancelled):
        inverse_distance_points(THREE, [1.0], [1.0], progress=Stops())
