"""Logarithms of skewed results, and the way back without bias."""

import numpy as np
import pytest

from vrxapp.errors import GroundError
from vrxapp.ground.kriging import kriged_points
from vrxapp.ground.kriging_system import sample_covariance
from vrxapp.ground.result_scale import Scale, advised_scale, on_scale
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import Model, Variogram


def test_skewed_results_are_mapped_as_logarithms_and_told():
    scale, note = advised_scale(np.exp(np.random.default_rng(1).normal(3.0, 0.8, 200)))
    assert scale is Scale.LOGARITHM
    assert "skewed" in str(note)


@pytest.mark.parametrize(
    "values",
    [
        np.random.default_rng(1).normal(30.0, 5.0, 200),
        np.exp(np.random.default_rng(1).normal(3.0, 0.8, 200)) - 5.0,
        np.full(20, 7.0),
    ],
    ids=["not skewed", "some below zero", "all alike"],
)
def test_other_results_are_mapped_as_they_are(values):
    assert advised_scale(values) == (Scale.PLAIN, None)


def test_a_value_without_logarithm_is_refused_with_a_mend():
    with pytest.raises(GroundError, match="no logarithm") as refused:
        on_scale(np.array([3.0, 0.0]), Scale.LOGARITHM)
    assert refused.value.note.mend


def test_the_map_of_logarithms_is_right_on_average_over_many_fields():
    # 40,000 fields with the variogram known: the mean estimate must meet the mean truth,
    # which a plain power of the kriged logarithm misses by far.
    rng = np.random.default_rng(3)
    east, north = rng.uniform(0, 400, (2, 9))
    variogram = Variogram(Model.EXPONENTIAL, 0.1, 0.6, 100.0, scale=Scale.LOGARITHM)
    places = np.vstack([np.append(east, 180.0), np.append(north, 210.0)])
    root = np.linalg.cholesky(sample_covariance(places / variogram.length_m, variogram))
    fields = np.exp(2.0 + root @ rng.standard_normal((10, 40_000)))
    estimates, plain, error = [], [], []
    weights = log_weights(east, north, variogram)
    for field in fields.T[:40]:
        samples = SamplePoints(east, north, field[:9])
        found = kriged_points(samples, variogram, [180.0], [210.0])
        plain.append(np.exp(weights @ np.log(field[:9])))
        estimates.append(found.mean[0])
        error.append(found.standard_error[0])
    factor = np.array(estimates) / np.array(plain)
    assert np.ptp(factor) < 1e-10  # the correction does not depend on the field
    all_estimates = factor[0] * np.exp(weights @ np.log(fields[:9]))
    truth = fields[9].mean()
    tolerance = 4.0 * np.std(all_estimates - fields[9]) / np.sqrt(40_000)
    assert abs(all_estimates.mean() - truth) < tolerance
    assert abs(all_estimates.mean() / factor[0] - truth) > 5 * tolerance
    relative = np.array(error) / np.array(estimates)
    assert np.ptp(relative) < 1e-10


def log_weights(east, north, variogram):
    """Kriging weights from the bordered equations, written out."""
    covariance = sample_covariance(np.vstack([east, north]) / variogram.length_m, variogram)
    bordered = np.ones((10, 10))
    bordered[:9, :9], bordered[9, 9] = covariance, 0.0
    distance = np.hypot(east - 180.0, north - 210.0)
    right = np.append(0.6 * np.exp(-distance / 100.0), 1.0)
    return np.linalg.solve(bordered, right)[:9]
