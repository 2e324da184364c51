"""Which way of mapping is advised, and in which words one is declined."""

import numpy as np
import pytest

from vrxapp.ground.interpolation_choice import Interpolation, interpolation_choice
from vrxapp.ground.leave_one_out import typical_difference
from vrxapp.ground.result_scale import Scale
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import Model, Variogram
from vrxapp.ground.variogram_fit import fitted_variogram


def smooth(count, seed=1, noise=0.2):
    """Samples of ground that changes over some hundred metres."""
    rng = np.random.default_rng(seed)
    east, north = rng.uniform(0, 1000, (2, count))
    pattern = 3 * np.sin(east / 150) + 2 * np.cos(north / 150)
    return SamplePoints(east, north, 20 + pattern + rng.normal(0, noise, count))


def said(choice):
    return " ".join(map(str, choice.notes))


def ways(choice):
    return {compared.way: compared.left_out for compared in choice.compared}


def test_kriging_is_advised_where_the_ground_changes_smoothly():
    samples = smooth(150)
    choice = interpolation_choice(samples, variogram=fitted_variogram(samples).variogram)
    assert choice.advised is Interpolation.KRIGING
    off = {way: typical_difference(found) for way, found in ways(choice).items()}
    assert off[Interpolation.KRIGING] < off[Interpolation.INVERSE_DISTANCE]
    assert off[Interpolation.INVERSE_DISTANCE] < off[Interpolation.PADDOCK_MEAN]
    assert f"kriging {off[Interpolation.KRIGING]:.3g}" in said(choice)


def test_zone_means_are_advised_where_zones_hold_all_there_is():
    rng = np.random.default_rng(2)
    zone = rng.integers(0, 4, 80)
    samples = SamplePoints(*rng.uniform(0, 1000, (2, 80)), 10.0 * zone + rng.normal(0, 1, 80))
    variogram = fitted_variogram(samples).variogram
    choice = interpolation_choice(samples, variogram=variogram, zone_of_sample=zone)
    assert choice.advised is Interpolation.ZONE_MEANS
    assert len(choice.compared) == 4


def test_luck_seldom_wins_where_the_samples_show_nothing():
    lucky = 0
    for seed in range(20):
        rng = np.random.default_rng(seed)
        samples = SamplePoints(*rng.uniform(0, 1000, (2, 60)), rng.normal(20, 3, 60))
        choice = interpolation_choice(samples, variogram=fitted_variogram(samples).variogram)
        one_mean = choice.advised is Interpolation.PADDOCK_MEAN
        assert ("weak" in said(choice)) is one_mean
        lucky += not one_mean
    assert lucky <= 2


@pytest.mark.parametrize(
    ("zone_of_sample", "advised", "mend"),
    [
        (np.arange(29) % 3, Interpolation.ZONE_MEANS, "Use the zone means"),
        (None, Interpolation.PADDOCK_MEAN, "draw zones"),
    ],
)
def test_under_30_samples_kriging_is_declined_in_words(zone_of_sample, advised, mend):
    samples = smooth(29)
    variogram = fitted_variogram(samples).variogram
    choice = interpolation_choice(samples, variogram=variogram, zone_of_sample=zone_of_sample)
    assert choice.advised is advised
    assert Interpolation.KRIGING not in ways(choice)
    assert "kriging declined: 29 samples" in said(choice)
    assert mend in said(choice)


def test_from_30_samples_kriging_is_compared():
    samples = smooth(30)
    choice = interpolation_choice(samples, variogram=fitted_variogram(samples).variogram)
    assert Interpolation.KRIGING in ways(choice)
    assert "declined" not in said(choice)


def test_all_ways_are_compared_on_the_scale_of_the_variogram():
    plain = smooth(60)
    skewed = SamplePoints(plain.easting_m, plain.northing_m, np.exp(plain.values / 5))
    variogram = Variogram(Model.SPHERICAL, 0.1, 1.0, 300.0, scale=Scale.LOGARITHM)
    choice = interpolation_choice(skewed, variogram=variogram)
    one_mean = ways(choice)[Interpolation.PADDOCK_MEAN]
    values = plain.values / 5
    np.testing.assert_allclose(one_mean.estimate, (values.sum() - values) / 59)
    assert "in logarithms" in said(choice)
