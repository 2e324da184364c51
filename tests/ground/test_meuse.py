"""The Meuse: published variograms and kriging of log zinc on a flood plain."""

import csv
from importlib.metadata import PackageNotFoundError, distribution

import numpy as np
import pytest

from vrxapp.ground.kriging import kriged_points
from vrxapp.ground.result_scale import Scale, advised_scale
from vrxapp.ground.sample_points import SamplePoints, sample_points
from vrxapp.ground.variogram import Model, Variogram
from vrxapp.ground.variogram_fit import (
    FitMethod,
    empirical_variogram,
    fitted_variogram,
    least_squares_fit,
)


@pytest.fixture(scope="module")
def zinc():
    """The 155 samples, as the data of a geostatistics package bring them."""
    try:
        package = distribution("scikit-gstat")
    except PackageNotFoundError:
        pytest.skip("needs the data of scikit-gstat: pip install --no-deps scikit-gstat")
    path = package.locate_file("skgstat/data/samples/meuse.txt")
    with open(path, encoding="utf-8", newline="") as file:  # noqa: PTH123  (no plain Path)
        rows = list(csv.DictReader(file))
    columns = [np.array([float(row[name]) for row in rows]) for name in ("x", "y", "zinc")]
    points, notes = sample_points(*columns)
    assert notes == ()
    return points


@pytest.fixture(scope="module")
def log_zinc(zinc):
    return SamplePoints(zinc.easting_m, zinc.northing_m, np.log(zinc.values))


def test_log_zinc_has_the_published_mean_and_spread(log_zinc):
    assert log_zinc.values.mean() == pytest.approx(5.885776, abs=1e-6)
    assert log_zinc.values.std(ddof=1) == pytest.approx(0.721881, abs=1e-6)


@pytest.mark.parametrize(
    ("bins", "pairs", "semivariances"),
    [
        pytest.param(
            {"cutoff_m": 500.0, "bin_m": 100.0},
            [52, 263, 381, 430, 475],
            [0.129966, 0.209115, 0.295162, 0.383494, 0.441167],
            id="KRIG-01, bins of 100 m",
        ),
        pytest.param(
            {},
            [57, 299, 419, 457, 547],
            [0.123448, 0.216218, 0.302786, 0.412145, 0.463413],
            id="KRIG-01, published default bins",
        ),
    ],
)
def test_pairs_of_samples_differ_as_published(zinc, bins, pairs, semivariances):
    found = empirical_variogram(zinc, scale=Scale.LOGARITHM, **bins)
    assert found.pairs[:5].tolist() == pairs
    assert found.semivariance[:5].tolist() == pytest.approx(semivariances, abs=1e-5)
    if bins:
        distances = [77.019, 156.234, 252.078, 351.325, 449.810]
        assert found.distance_m.tolist() == pytest.approx(distances, abs=1e-3)


@pytest.mark.parametrize(
    ("model", "nugget", "partial_sill", "length_m"),
    [
        pytest.param(Model.SPHERICAL, 0.05066, 0.59061, 897.02, id="KRIG-02, spherical"),
        pytest.param(Model.EXPONENTIAL, 0.0, 0.71865, 449.76, id="KRIG-02, exponential"),
    ],
)
def test_least_squares_meet_the_published_fit(zinc, model, nugget, partial_sill, length_m):
    found, _ = least_squares_fit(empirical_variogram(zinc, scale=Scale.LOGARITHM), model)
    assert found.nugget == pytest.approx(nugget, rel=0.01, abs=1e-6)
    assert found.partial_sill == pytest.approx(partial_sill, rel=0.01)
    assert found.length_m == pytest.approx(length_m, rel=0.01)


def test_left_alone_the_fit_takes_logarithms_and_the_spherical_model(zinc):
    scale, _ = advised_scale(zinc.values)
    found = fitted_variogram(zinc, scale=scale)
    assert scale is Scale.LOGARITHM
    assert found.variogram.model is Model.SPHERICAL
    assert found.method is FitMethod.LEAST_SQUARES
    assert found.notes == ()


@pytest.mark.parametrize(
    ("easting_m", "northing_m", "mean", "variance"),
    [
        pytest.param(179500, 331000, 5.847906, 0.205452, id="KRIG-03, first"),
        pytest.param(180500, 332000, 5.077440, 0.154852, id="KRIG-03, second"),
        pytest.param(181000, 333000, 5.532691, 0.136429, id="KRIG-03, third"),
    ],
)
def test_kriging_meets_the_reference(log_zinc, easting_m, northing_m, mean, variance):
    variogram = Variogram(Model.SPHERICAL, 0.05, 0.59, 897.0)
    found = kriged_points(log_zinc, variogram, [easting_m], [northing_m])
    assert found.mean[0] == pytest.approx(mean, abs=1e-6)
    assert found.standard_error[0] ** 2 == pytest.approx(variance, abs=1e-6)
