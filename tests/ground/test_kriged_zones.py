"""The mean of a zone out of a kriged map: against the equations solved whole, and by sense."""

import numpy as np
import pytest
import shapely

from vrxapp.ground import kriged_zones
from vrxapp.ground.grid import paddock_grid
from vrxapp.ground.kriged_zones import kriged_zone_means
from vrxapp.ground.kriging import kriged_points
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import Anisotropy, Model, Variogram, semivariance
from vrxapp.ground.zones import Zones

HALVES = Zones(
    ("w", "e"),
    ("West", "East"),
    np.array([shapely.box(0, 0, 120, 200), shapely.box(120, 0, 400, 200)], dtype=object),
)
GRID = paddock_grid(Paddock("Flat", "EPSG:7855", shapely.box(0, 0, 400, 200)), 20.0)
RISE = Variogram(Model.EXPONENTIAL, 0.4, 3.0, 60.0)


@pytest.fixture
def samples():
    rng = np.random.default_rng(11)
    east, north = rng.uniform(0, 400, 40), rng.uniform(0, 200, 40)
    return SamplePoints(east, north, 20.0 + np.sin(east / 90.0) * 3.0 + rng.normal(0, 0.6, 40))


def in_zone(row):
    easting, northing = GRID.middles()
    held = shapely.intersects_xy(HALVES.shapes[row], easting, northing)
    return easting[held], northing[held]


def solved_whole(samples, variogram, spots):
    """Ordinary block kriging out of the textbook's equations in semivariances."""
    count = samples.values.size
    places = np.column_stack([samples.easting_m, samples.northing_m])
    block = np.column_stack(spots)

    def gamma(one, other):
        away = np.hypot(*(one[:, None] - other[None]).transpose(2, 0, 1))
        return np.where(away == 0.0, 0.0, semivariance(variogram, np.maximum(away, 1e-9)))

    left = np.ones((count + 1, count + 1))
    left[-1, -1] = 0.0
    left[:-1, :-1] = gamma(places, places)
    right = np.append(gamma(places, block).mean(axis=1), 1.0)
    weights = np.linalg.solve(left, right)
    within = gamma(block, block)
    # the block has endless spots: none of them lies at no distance from another
    within[np.diag_indices_from(within)] = variogram.nugget
    variance = weights @ right - within.mean()
    return float(weights[:-1] @ samples.values), float(np.sqrt(variance))


def test_mean_and_error_are_those_of_the_equations_solved_whole(samples):
    found = kriged_zone_means(samples, RISE, HALVES, GRID)
    for row in (0, 1):
        mean, error = solved_whole(samples, RISE, in_zone(row))
        assert found.mean[row] == pytest.approx(mean, abs=1e-9)
        assert found.standard_error[row] == pytest.approx(error, rel=1e-9)


@pytest.mark.parametrize("anisotropy", [None, Anisotropy(30.0, 0.5)], ids=["alike", "stretched"])
def test_a_zones_mean_is_the_mean_of_its_cells_and_better_known_than_any(samples, anisotropy):
    variogram = Variogram(Model.MATERN_3_2, 0.4, 3.0, 40.0, anisotropy)
    found = kriged_zone_means(samples, variogram, HALVES, GRID)
    for row in (0, 1):
        cells = kriged_points(samples, variogram, *in_zone(row))
        assert found.mean[row] == pytest.approx(cells.mean.mean(), abs=1e-9)
        assert found.standard_error[row] < cells.standard_error.min()
    held = [np.sum(shapely.intersects_xy(s, samples.easting_m, samples.northing_m))
            for s in HALVES.shapes]  # fmt: skip
    assert found.samples.tolist() == held


def test_a_zone_without_a_cell_has_no_mean(samples):
    far = Zones(
        ("w", "f"), ("West", "Far"),
        np.array([HALVES.shapes[0], shapely.box(900, 0, 950, 50)], dtype=object),
    )  # fmt: skip
    found = kriged_zone_means(samples, RISE, far, GRID)
    assert np.isfinite(found.mean[0])
    assert np.isnan([found.mean[1], found.standard_error[1]]).all()


def test_without_a_pattern_each_zone_has_the_mean_of_all_with_its_error(samples):
    found = kriged_zone_means(samples, Variogram(Model.NUGGET, 4.0, 0.0, 100.0), HALVES, GRID)
    assert found.mean == pytest.approx([samples.values.mean()] * 2)
    assert found.standard_error == pytest.approx([np.sqrt(4.0 / 40)] * 2)


def test_where_only_some_cells_stand_for_a_zone_its_error_stays(samples, monkeypatch):
    fine = paddock_grid(Paddock("Flat", "EPSG:7855", shapely.box(0, 0, 400, 200)), 5.0)
    some = kriged_zone_means(samples, RISE, HALVES, fine)
    monkeypatch.setattr(kriged_zones, "MOST_SPOTS", 10_000)
    whole = kriged_zone_means(samples, RISE, HALVES, fine)
    assert some.mean == pytest.approx(whole.mean, abs=1e-9)
    assert some.standard_error == pytest.approx(whole.standard_error, rel=0.05)
