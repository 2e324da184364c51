"""Kriging: against another library, and by what must hold whatever the samples."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pykrige.ok import OrdinaryKriging
from shapely import Polygon, box

from vrxapp.errors import GroundError
from vrxapp.ground.grid import column_eastings_m, paddock_grid, row_northings_m
from vrxapp.ground.kriging import Detail, kriged_grid, kriged_points
from vrxapp.ground.kriging_system import MOST_SAMPLES
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.result_scale import Scale
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import Anisotropy, Model, Variogram, total_sill
from vrxapp.progress import Cancelled

EAST, NORTH = 682_000.0, 6_124_000.0
SHAPES = [m for m in Model if m is not Model.NUGGET]
LEANING = Polygon([(0, 40), (800, 0), (760, 560), (90, 600)])


def random_samples(seed, count, side_m=800.0):
    rng = np.random.default_rng(seed)
    east, north = rng.uniform(0.0, side_m, (2, count))
    pattern = 3.0 * np.sin(east / 130.0) + 2.0 * np.cos(north / 90.0)
    return SamplePoints(east, north, 20.0 + pattern + rng.normal(0, 0.5, count))


def sparse_samples(seed, count=15):
    """Samples at least 60 m apart, so that no model finds two of them the same."""
    rng = np.random.default_rng(seed)
    spots = rng.permutation(64)[:count]
    east, north = 100.0 * (spots % 8), 100.0 * (spots // 8)
    shift = rng.uniform(-20.0, 20.0, (2, count))
    return SamplePoints(east + shift[0], north + shift[1], rng.normal(20.0, 4.0, count))


def grid_of(shape, cell_m):
    return paddock_grid(Paddock("Flat", "EPSG:7855", shape), cell_m)


def matern_3_2(parameters, distance):
    """The model as the other library wants it: nugget last, none at distance zero."""
    partial_sill, length, nugget = parameters
    h = distance / length
    return nugget + partial_sill * (1.0 - (1.0 + h) * np.exp(-h))


PEERS = [
    (Model.SPHERICAL, "spherical", 1.0, None),
    (Model.EXPONENTIAL, "exponential", 3.0, None),
    (Model.MATERN_3_2, "custom", 1.0, matern_3_2),
]


@pytest.mark.parametrize(("model", "peer_name", "range_per_length", "function"), PEERS)
@pytest.mark.parametrize("anisotropy", [None, Anisotropy(35.0, 0.4)], ids=["alike", "stretched"])
@pytest.mark.parametrize("seed", [1, 2])
def test_mean_and_variance_equal_another_library(
    model, peer_name, range_per_length, function, anisotropy, seed
):
    samples = random_samples(seed, 120)
    rng = np.random.default_rng(seed + 100)
    east, north = rng.uniform(-50.0, 850.0, (2, 500))
    found = kriged_points(samples, Variogram(model, 0.3, 5.0, 150.0, anisotropy), east, north)
    stretched = {}
    parameters = {"psill": 5.0, "range": range_per_length * 150.0, "nugget": 0.3}
    if anisotropy is not None:
        # the other tells the slowest change counter-clockwise from east
        stretched = {
            "anisotropy_angle": 90.0 - anisotropy.angle_degree,
            "anisotropy_scaling": 1.0 / anisotropy.ratio,
        }
    peer = OrdinaryKriging(
        samples.easting_m,
        samples.northing_m,
        samples.values,
        variogram_model=peer_name,
        variogram_parameters=[5.0, 150.0, 0.3] if function else parameters,
        variogram_function=function,
        **stretched,
    )
    mean, variance = peer.execute("points", east, north, backend="vectorized")
    np.testing.assert_allclose(found.mean, mean, atol=1e-6)
    np.testing.assert_allclose(found.standard_error**2, variance, atol=1e-6)


@pytest.mark.parametrize("model", SHAPES)
@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_without_a_nugget_a_sample_keeps_its_value_without_error(model, seed):
    samples = sparse_samples(seed)
    found = kriged_points(
        samples, Variogram(model, 0.0, 2.0, 60.0), samples.easting_m, samples.northing_m
    )
    np.testing.assert_allclose(found.mean, samples.values, atol=1e-6)
    np.testing.assert_allclose(found.standard_error, 0.0, atol=1e-4)


@settings(max_examples=30, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    model=st.sampled_from(list(Model)),
    nugget=st.floats(0.01, 3.0),
    value=st.floats(-50.0, 50.0),
)
def test_weights_sum_to_one_so_a_level_field_stays_level(seed, model, nugget, value):
    samples = sparse_samples(seed)
    level = SamplePoints(samples.easting_m, samples.northing_m, np.full(15, value))
    at = np.linspace(-100.0, 900.0, 30)
    found = kriged_points(level, Variogram(model, nugget, 2.0, 90.0), at, at[::-1])
    np.testing.assert_allclose(found.mean, value, atol=1e-9)


@settings(max_examples=30, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    model=st.sampled_from(SHAPES),
    nugget=st.floats(0.0, 3.0),
    length_m=st.floats(5.0, 400.0),
)
def test_the_error_is_never_below_the_nugget_nor_above_the_sill_and_the_means_own(
    seed, model, nugget, length_m
):
    samples = sparse_samples(seed)
    rng = np.random.default_rng(seed)
    variogram = Variogram(model, nugget + 1e-6, 2.0, length_m)
    found = kriged_points(samples, variogram, *rng.uniform(-300.0, 1100.0, (2, 40)))
    far = kriged_points(samples, variogram, [1e7], [1e7])
    assert np.all(found.standard_error >= np.sqrt(nugget) - 1e-6)
    assert np.all(found.standard_error <= far.standard_error + 1e-9)
    assert far.standard_error[0] ** 2 > total_sill(variogram)


@settings(max_examples=30, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    model=st.sampled_from(SHAPES),
    shift=st.tuples(st.floats(-7e6, 7e6), st.floats(-7e6, 7e6), st.floats(-100, 100)),
)
def test_where_the_map_begins_and_what_zero_is_makes_no_difference(seed, model, shift):
    samples = sparse_samples(seed)
    moved = SamplePoints(
        samples.easting_m + shift[0], samples.northing_m + shift[1], samples.values + shift[2]
    )
    variogram = Variogram(model, 0.1, 2.0, 120.0)
    at = np.linspace(0.0, 700.0, 25)
    here = kriged_points(samples, variogram, at, at)
    there = kriged_points(moved, variogram, at + shift[0], at + shift[1])
    np.testing.assert_allclose(there.mean, here.mean + shift[2], atol=1e-6)
    np.testing.assert_allclose(there.standard_error, here.standard_error, atol=1e-6)


def test_with_a_nugget_a_sample_is_not_taken_for_the_truth():
    samples = random_samples(4, 60)
    variogram = Variogram(Model.SPHERICAL, 1.0, 4.0, 200.0)
    at = kriged_points(samples, variogram, samples.easting_m, samples.northing_m)
    beside = kriged_points(samples, variogram, samples.easting_m + 1e-5, samples.northing_m)
    np.testing.assert_allclose(at.mean, beside.mean, atol=1e-5)
    assert np.std(at.mean - samples.values) > 0.2
    assert np.all(at.standard_error > 1.0)


def test_all_nugget_gives_the_mean_and_its_error_everywhere():
    samples = random_samples(4, 25)
    found = kriged_points(samples, Variogram(Model.NUGGET, 4.0, 0.0, 1.0), [10.0], [10.0])
    assert found.mean[0] == pytest.approx(samples.values.mean())
    assert found.standard_error[0] == pytest.approx(np.sqrt(4.0 * (1 + 1 / 25)))


@pytest.mark.parametrize("anisotropy", [None, Anisotropy(110.0, 0.5)], ids=["alike", "stretched"])
@pytest.mark.parametrize("scale", list(Scale))
def test_cells_of_a_grid_are_the_points_at_their_middles(anisotropy, scale):
    grid = grid_of(LEANING, 13.0)
    samples = random_samples(5, 90)
    variogram = Variogram(Model.EXPONENTIAL, 0.02, 0.1, 120.0, anisotropy, scale)
    cells, loss = kriged_grid(samples, variogram, grid)
    east, north = np.meshgrid(column_eastings_m(grid), row_northings_m(grid))
    points = kriged_points(samples, variogram, east[grid.inside], north[grid.inside])
    assert loss is None
    np.testing.assert_allclose(cells.mean[grid.inside], points.mean, atol=1e-9)
    np.testing.assert_allclose(cells.standard_error[grid.inside], points.standard_error, atol=1e-9)
    assert np.isnan(cells.mean[~grid.inside]).all()
    assert np.isnan(cells.standard_error[~grid.inside]).all()


@pytest.mark.parametrize("scale", list(Scale))
def test_faster_ways_lose_what_they_say_they_lose(scale):
    grid = grid_of(box(0, 0, 800, 800), 8.0)
    samples = random_samples(6, 200)
    variogram = Variogram(Model.EXPONENTIAL, 0.05, 1.0, 130.0, scale=scale)
    exact, _ = kriged_grid(samples, variogram, grid)
    sill = np.sqrt(total_sill(variogram)) * (20.0 if scale is Scale.LOGARITHM else 1.0)
    for detail in (Detail.SINGLE_PRECISION, Detail.ERROR_EVERY_FOURTH_CELL):
        cells, loss = kriged_grid(samples, variogram, grid, detail=detail)
        error_off = np.abs(cells.standard_error - exact.standard_error)
        mean_off = np.abs(cells.mean - exact.mean)
        assert loss.checked_cells > 1000
        assert loss.error_largest <= error_off.max() + 1e-12
        assert loss.mean_largest <= mean_off.max() + 1e-12
        if detail is Detail.SINGLE_PRECISION:
            assert max(error_off.max(), mean_off.max()) < 1e-4 * sill
        else:
            assert error_off.max() <= 1.25 * loss.error_largest
            assert loss.error_typical < 0.1 * sill


def test_a_single_row_of_cells_has_an_error_every_fourth_too():
    grid = grid_of(box(0, 0, 203, 9), 8.0)
    samples = random_samples(7, 40)
    variogram = Variogram(Model.SPHERICAL, 0.5, 1.0, 200.0)
    cells, _ = kriged_grid(samples, variogram, grid, detail=Detail.ERROR_EVERY_FOURTH_CELL)
    exact, _ = kriged_grid(samples, variogram, grid)
    assert np.isfinite(cells.standard_error[grid.inside]).all()
    np.testing.assert_allclose(cells.standard_error, exact.standard_error, atol=0.05)


class StopsAt:
    """Progress that asks to stop after so many reports."""

    def __init__(self, reports):
        self.reports, self.seen = reports, []

    def step(self, done, total, stage):
        self.seen.append((done, total, stage))
        if len(self.seen) >= self.reports:
            raise Cancelled


def test_work_reports_how_far_it_is_and_stops_when_asked():
    grid = grid_of(box(0, 0, 800, 800), 4.0)
    samples = random_samples(8, 300)
    variogram = Variogram(Model.EXPONENTIAL, 0.1, 1.0, 100.0)
    watcher = StopsAt(10_000)
    kriged_grid(samples, variogram, grid, progress=watcher)
    done = [report[0] for report in watcher.seen]
    assert done == sorted(done)
    assert watcher.seen[-1] == (200, 200, "Interpolating")
    with pytest.raises(Cancelled):
        kriged_grid(samples, variogram, grid, progress=StopsAt(3))


def test_a_place_that_is_missing_stays_missing():
    found = kriged_points(
        random_samples(1, 20), Variogram(Model.SPHERICAL, 0.1, 1.0, 100.0), [np.nan, 5.0], [5.0, 5]
    )
    assert np.isnan(found.mean).tolist() == [True, False]


def test_samples_too_near_for_a_variogram_without_nugget_are_refused_with_a_mend():
    samples = SamplePoints(np.array([0.0, 1e-5, 500]), np.array([0.0, 0, 300]), np.arange(3.0))
    with pytest.raises(GroundError, match="nugget") as refused:
        kriged_points(samples, Variogram(Model.MATERN_5_2, 0.0, 1.0, 400.0), [1.0], [1.0])
    assert refused.value.note.mend


def test_more_samples_than_serve_every_cell_are_refused_with_a_mend():
    with pytest.raises(GroundError, match="coarser"):
        kriged_points(
            random_samples(1, MOST_SAMPLES + 1), Variogram(Model.SPHERICAL, 1, 1, 99), [0], [0]
        )


def test_columns_of_points_that_differ_in_number_are_refused():
    with pytest.raises(GroundError, match="differ in number"):
        kriged_points(random_samples(1, 9), Variogram(Model.SPHERICAL, 1, 1, 99), [0, 1], [0])
