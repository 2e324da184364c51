"""Variogram models: their shapes, their ranges, and what is refused."""

import numpy as np
import pytest
from scipy.special import gamma, kv

from vrxapp.errors import GroundError
from vrxapp.ground.variogram import (
    Anisotropy,
    Model,
    Variogram,
    practical_range_m,
    semivariance,
)

SHAPES = [m for m in Model if m is not Model.NUGGET]


@pytest.mark.parametrize(
    ("model", "smoothness"),
    [(Model.EXPONENTIAL, 0.5), (Model.MATERN_3_2, 1.5), (Model.MATERN_5_2, 2.5)],
)
def test_closed_forms_are_the_matern_family(model, smoothness):
    distance = np.linspace(1.0, 900.0, 50)
    h = distance / 120.0
    whole = 2 ** (1 - smoothness) / gamma(smoothness) * h**smoothness * kv(smoothness, h)
    ours = semivariance(Variogram(model, 0.3, 2.0, 120.0), distance)
    np.testing.assert_allclose(ours, 0.3 + 2.0 * (1.0 - whole), rtol=1e-10)


def test_the_spherical_model_reaches_its_sill_at_its_range():
    # half way: 0.3 + 2 (1.5 * 0.5 - 0.5 * 0.125) = 1.675
    ours = semivariance(Variogram(Model.SPHERICAL, 0.3, 2.0, 120.0), [60.0, 120.0, 500.0])
    assert ours.tolist() == pytest.approx([1.675, 2.3, 2.3])


@pytest.mark.parametrize("model", SHAPES)
def test_at_the_practical_range_at_most_5_percent_of_the_likeness_is_left(model):
    variogram = Variogram(model, 0.0, 1.0, 50.0)
    left = 1.0 - semivariance(variogram, practical_range_m(variogram))
    assert left == pytest.approx(0.0 if model is Model.SPHERICAL else 0.05, abs=1e-12)


@pytest.mark.parametrize("model", list(Model))
def test_nothing_differs_from_itself_and_neighbours_differ_by_the_nugget(model):
    ours = semivariance(Variogram(model, 0.4, 1.0, 50.0), [0.0, 1e-9])
    assert ours.tolist() == pytest.approx([0.0, 0.4])


def test_the_nugget_model_ignores_its_partial_sill():
    assert semivariance(Variogram(Model.NUGGET, 0.4, 9.0, 50.0), 1000.0) == pytest.approx(0.4)


@pytest.mark.parametrize(
    "numbers", [(-0.1, 1.0, 10.0), (0.0, 0.0, 10.0), (0.1, 1.0, 0.0), (np.nan, 1.0, 10.0)]
)
def test_a_model_that_cannot_be_is_refused(numbers):
    with pytest.raises(GroundError):
        Variogram(Model.SPHERICAL, *numbers)


@pytest.mark.parametrize("ratio", [0.0, 1.2, np.nan])
def test_a_ratio_that_cannot_be_is_refused(ratio):
    with pytest.raises(GroundError, match="range across"):
        Anisotropy(30.0, ratio)
