"""Variograms found from samples: of known fields, and of samples that show none."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.errors import GroundError
from vrxapp.ground.kriging_system import sample_covariance, turned
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import (
    Anisotropy,
    Model,
    Variogram,
    practical_range_m,
    semivariance,
)
from vrxapp.ground.variogram_fit import (
    EmpiricalVariogram,
    FitMethod,
    empirical_variogram,
    fitted_variogram,
    least_squares_fit,
)

KNOWN = Variogram(Model.EXPONENTIAL, 0.2, 1.0, 60.0)


def field(seed, count, variogram=KNOWN, side_m=1000.0):
    """Samples of a random field with a known variogram."""
    rng = np.random.default_rng(seed)
    places = rng.uniform(0.0, side_m, (2, count))
    spots = turned(variogram.anisotropy) @ places / variogram.length_m
    root = np.linalg.cholesky(sample_covariance(spots, variogram))
    return SamplePoints(places[0], places[1], 20.0 + root @ rng.standard_normal(count))


@pytest.mark.parametrize("model", [m for m in Model if m is not Model.NUGGET])
def test_least_squares_find_the_model_that_the_pairs_lie_on(model):
    distance = np.linspace(20.0, 500.0, 15)
    length_m = 255.0 if model is Model.SPHERICAL else 55.0
    known = Variogram(model, 0.4, 2.0, length_m)
    exact = EmpiricalVariogram(
        distance, semivariance(known, distance), np.arange(40, 55), cutoff_m=500.0
    )
    found, off = least_squares_fit(exact, model)
    assert (found.nugget, found.partial_sill, found.length_m) == pytest.approx(
        (0.4, 2.0, length_m), rel=1e-4
    )
    assert off < 1e-8


def test_the_empirical_variogram_of_three_samples_by_hand():
    # pairs 30 m (4), 40 m (36) and 50 m (16) apart, with half squared differences in brackets:
    # (0, 40] holds the first two, (40, 80] the third
    samples = SamplePoints(
        np.array([0.0, 30.0, 30.0]), np.array([0.0, 0.0, 40.0]), np.array([1.0, 1 + 8**0.5, 0.0])
    )
    found = empirical_variogram(samples, cutoff_m=80.0, bin_m=40.0)
    half = [(8.0 / 2 + (1 + 8**0.5) ** 2 / 2) / 2, 0.5]
    assert found.pairs.tolist() == [2, 1]
    assert found.distance_m.tolist() == [35.0, 50.0]
    assert found.semivariance.tolist() == pytest.approx(half)


def test_many_samples_are_fitted_by_least_squares_near_the_truth():
    sills, ranges = [], []
    for seed in range(8):
        found = fitted_variogram(field(seed, 300), models=(Model.EXPONENTIAL,))
        assert found.method is FitMethod.LEAST_SQUARES
        sills.append(found.variogram.nugget + found.variogram.partial_sill)
        ranges.append(practical_range_m(found.variogram))
    assert np.mean(sills) == pytest.approx(1.2, rel=0.15)
    assert np.mean(ranges) == pytest.approx(practical_range_m(KNOWN), rel=0.3)


def test_few_samples_are_fitted_by_likelihood_near_the_truth_and_told():
    known = Variogram(Model.EXPONENTIAL, 0.1, 1.0, 120.0)
    found = [
        fitted_variogram(field(seed, 80, known), models=(Model.EXPONENTIAL,)) for seed in range(8)
    ]
    assert all(f.method is FitMethod.LIKELIHOOD for f in found)
    assert "80 samples are few" in str(found[0].notes[0])
    middle = np.median([practical_range_m(f.variogram) for f in found])
    assert middle == pytest.approx(practical_range_m(known), rel=0.35)


def test_samples_without_pattern_get_a_nugget_and_are_told():
    rng = np.random.default_rng(5)
    samples = SamplePoints(*rng.uniform(0.0, 1000.0, (2, 150)), rng.normal(20.0, 2.0, 150))
    found = fitted_variogram(samples)
    assert found.variogram.model is Model.NUGGET
    assert found.variogram.nugget == pytest.approx(np.var(samples.values, ddof=1))
    assert "no pattern" in " ".join(map(str, found.notes))


def test_a_trend_through_the_paddock_is_told():
    rng = np.random.default_rng(6)
    east, north = rng.uniform(0.0, 1000.0, (2, 150))
    found = fitted_variogram(SamplePoints(east, north, east / 100.0 + rng.normal(0, 0.2, 150)))
    assert found.method is FitMethod.LIKELIHOOD
    assert "longer than" in " ".join(map(str, found.notes))


def test_samples_that_are_all_alike_are_refused():
    samples = SamplePoints(np.array([0.0, 9, 0]), np.array([0.0, 0, 9]), np.full(3, 5.0))
    with pytest.raises(GroundError, match="same value") as refused:
        fitted_variogram(samples)
    assert refused.value.note.mend


def test_a_cutoff_shorter_than_any_pair_is_refused():
    samples = SamplePoints(np.array([0.0, 9, 0]), np.array([0.0, 0, 9]), np.arange(3.0))
    with pytest.raises(GroundError, match="longer cutoff"):
        empirical_variogram(samples, cutoff_m=2.0)


def test_three_samples_are_fitted_without_failing():
    samples = SamplePoints(np.array([0.0, 90, 0]), np.array([0.0, 0, 90]), np.arange(3.0))
    assert fitted_variogram(samples).variogram.model is Model.NUGGET


def test_the_given_direction_enters_the_distances():
    known = Variogram(Model.SPHERICAL, 0.05, 1.0, 400.0, Anisotropy(40.0, 0.25))
    samples = field(9, 400, known)
    along = fitted_variogram(samples, models=(Model.SPHERICAL,), anisotropy=Anisotropy(40.0, 0.25))
    assert along.variogram.anisotropy == Anisotropy(40.0, 0.25)
    assert along.variogram.length_m == pytest.approx(400.0, rel=0.35)
    blind = fitted_variogram(samples, models=(Model.SPHERICAL,))
    assert blind.variogram.length_m < 300.0


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.5, 20.0))
def test_the_fit_scales_with_the_values(seed, factor):
    samples = field(seed, 120)
    scaled = SamplePoints(samples.easting_m, samples.northing_m, samples.values * factor)
    one = empirical_variogram(samples)
    other = empirical_variogram(scaled)
    np.testing.assert_allclose(other.semivariance, factor**2 * one.semivariance)


def test_a_fit_without_a_nugget_is_told_to_claim_too_little_error():
    east, north = (np.arange(64) % 8) * 100.0, (np.arange(64) // 8) * 100.0
    exact = SamplePoints(east, north, 20.0 + 5.0 * np.sin(east / 150.0) * np.cos(north / 150.0))
    assert "less error than a laboratory makes" in " ".join(map(str, fitted_variogram(exact).notes))
    blurred = SamplePoints(east, north, exact.values + np.random.default_rng(4).normal(0, 2.0, 64))
    assert "laboratory" not in " ".join(map(str, fitted_variogram(blurred).notes))
