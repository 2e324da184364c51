"""Samples left out: the short ways equal leaving each out for real."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.ground.inverse_distance import inverse_distance_points
from vrxapp.ground.kriging import kriged_points
from vrxapp.ground.leave_one_out import (
    inverse_distance_left_out,
    kriging_left_out,
    paddock_mean_left_out,
    typical_difference,
    zone_means_left_out,
)
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import Anisotropy, Model, Variogram


def samples_of(seed, count=25):
    rng = np.random.default_rng(seed)
    return SamplePoints(*rng.uniform(0, 600, (2, count)), rng.normal(20, 3, count))


def without(samples, k):
    return SamplePoints(
        *(np.delete(c, k) for c in (samples.easting_m, samples.northing_m, samples.values))
    )


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from(list(Model)))
def test_kriging_from_one_matrix_equals_kriging_without_each_sample(seed, model):
    samples = samples_of(seed)
    variogram = Variogram(model, 0.3, 4.0, 90.0, Anisotropy(20.0, 0.6))
    found = kriging_left_out(samples, variogram)
    for k in range(samples.values.size):
        at = samples.easting_m[k : k + 1], samples.northing_m[k : k + 1]
        real = kriged_points(without(samples, k), variogram, *at)
        assert found.estimate[k] == pytest.approx(real.mean[0], abs=1e-8)
        assert found.standard_error[k] == pytest.approx(real.standard_error[0], abs=1e-8)
    np.testing.assert_allclose(found.difference, found.estimate - samples.values)


def test_inverse_distance_from_one_matrix_equals_leaving_each_sample_out():
    samples = samples_of(1)
    found = inverse_distance_left_out(samples, samples.values)
    for k in range(samples.values.size):
        at = samples.easting_m[k : k + 1], samples.northing_m[k : k + 1]
        assert found.estimate[k] == pytest.approx(
            inverse_distance_points(without(samples, k), *at)[0]
        )


def test_zone_means_without_each_sample_by_hand():
    values = np.array([4.0, 6.0, 8.0, 20.0, 2.0])
    found = zone_means_left_out(values, np.array([0, 0, 0, 1, -1]))
    # alone in its zone, or in none: the mean of all others, 20 / 4 and 38 / 4
    assert found.estimate.tolist() == [7.0, 6.0, 5.0, 5.0, 9.5]


def test_the_paddock_mean_and_its_typical_difference_by_hand():
    found = paddock_mean_left_out(np.array([1.0, 2.0, 6.0]))
    # 4 - 1, 3.5 - 2 and 1.5 - 6
    assert found.difference.tolist() == [3.0, 1.5, -4.5]
    assert typical_difference(found) == pytest.approx(np.sqrt((9 + 2.25 + 20.25) / 3))
