"""Rasters and points on the grid of a paddock."""

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.errors import GroundError
from vrxapp.ground.grid_layers import PointValues, points_on_grid, raster_on_grid
from vrxapp.ground.projected_crs import transformed_xy
from vrxapp.ground.raster_source import RasterWindow
from vrxapp.ground.zoning_grid import cell_middles

EAST, NORTH = 682_000.0, 6_124_000.0


@dataclass
class MemoryRaster:
    """A raster in memory that always hands out all of itself."""

    values: np.ndarray
    transform: tuple
    crs: str = "EPSG:7855"
    band_name: str = ""
    unit: str = "mS/m"

    def window(self, bounds, max_cells):
        del bounds, max_cells
        return RasterWindow(np.array(self.values, dtype=float), self.transform)


def test_smaller_cells_are_averaged_and_missing_ones_left_out(flat_grid):
    fine = np.tile([[1.0, 3.0], [5.0, np.nan]], (40, 60))  # cells of 2.5 m
    source = MemoryRaster(fine, (2.5, 0, EAST, 0, -2.5, NORTH + 200))
    assert raster_on_grid(source, flat_grid).values == pytest.approx(np.full((40, 60), 3.0))


def test_larger_cells_give_their_value_to_all_that_lie_in_them(flat_grid):
    coarse = np.array([[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]])  # cells of 100 m
    source = MemoryRaster(coarse, (100, 0, EAST, 0, -100, NORTH + 200))
    values = raster_on_grid(source, flat_grid).values
    assert (values[0, 0], values[0, -1], values[-1, 0], values[-1, -1]) == (1, 3, 4, 6)
    assert np.unique(values, return_counts=True)[1].tolist() == [400] * 6


def test_a_raster_that_runs_northwards_is_not_mirrored(flat_grid):
    rising = np.arange(40.0)[:, None] + np.zeros(60)  # row 0 is the south
    source = MemoryRaster(rising, (5, 0, EAST, 0, 5, NORTH))
    values = raster_on_grid(source, flat_grid).values
    assert values[0, 0] == 39.0
    assert values[-1, 0] == 0.0


def test_a_raster_in_degrees_lands_where_it_lies(flat_grid):
    # a plane that rises by 1 a metre of easting, sampled on cells of about 10 m in degrees
    step = 1e-4
    x, y = cell_middles(flat_grid)
    corner = transformed_xy(x[:1], y[:1], from_crs="EPSG:7855", to_crs="EPSG:4326")
    west, north = corner[0][0] - 20 * step, corner[1][0] + 20 * step
    middles = (np.arange(120) + 0.5) * step
    lon, lat = np.meshgrid(west + middles, north - middles)
    easting, _ = transformed_xy(lon.ravel(), lat.ravel(), from_crs="EPSG:4326", to_crs="EPSG:7855")
    source = MemoryRaster(easting.reshape(120, 120), (step, 0, west, 0, -step, north), "EPSG:4326")
    values = raster_on_grid(source, flat_grid).values
    assert np.max(np.abs(values - x)) < 8.0  # half a cell of either grid at most


def test_a_raster_without_a_value_in_the_paddock_is_refused(flat_grid):
    nothing = MemoryRaster(np.full((40, 60), np.nan), (5, 0, EAST, 0, -5, NORTH + 200))
    with pytest.raises(GroundError, match="holds no value in the paddock"):
        raster_on_grid(nothing, flat_grid, name="survey")


def test_ground_that_a_raster_lacks_is_told(flat_grid):
    values = np.ones((40, 60))
    values[:, :6] = np.nan
    layer = raster_on_grid(MemoryRaster(values, (5, 0, EAST, 0, -5, NORTH + 200)), flat_grid)
    assert "10.0 % of the paddock has no value" in str(layer.notes[0])
    assert np.isnan(layer.values[:, :6]).all()


def points(x, y, values):
    return PointValues("yield", "t/ha", EAST + np.array(x, float), NORTH + np.array(y, float),
                       np.array(values, float))  # fmt: skip


def test_the_median_of_a_cell_bears_a_wild_point(flat_grid):
    x, y = [1, 2, 3, 101], [1, 2, 3, 101]
    layer = points_on_grid(points(x, y, [3.0, 4.0, 900.0, 2.0]), flat_grid, reach_m=0.0)
    assert layer.values[-1, 0] == 4.0
    even = points_on_grid(points([1, 2, 101], [1, 2, 101], [3.0, 5.0, 1.0]), flat_grid, reach_m=0.0)
    assert even.values[-1, 0] == 4.0


def test_gaps_are_filled_as_far_as_the_reach_and_told(flat_grid):
    layer = points_on_grid(points([2, 22], [2, 2], [1.0, 3.0]), flat_grid, reach_m=10.0)
    last = layer.values[-1]
    assert last[2] == pytest.approx(2.0)  # half-way
    assert last[1] == pytest.approx(1.0)  # 5 m from one, 15 m from the other: out of reach
    assert np.isnan(last[7])
    assert any("filled" in str(note) for note in layer.notes)


def test_points_without_a_value_or_outside_are_counted(flat_grid):
    layer = points_on_grid(
        points([2, 22, 5000, 50], [2, 2, 2, 2], [1.0, 3.0, 9.0, np.nan]), flat_grid, reach_m=0.0
    )
    assert "2 of 4 points" in str(layer.notes[0])


@pytest.mark.parametrize(
    ("x", "said"), [([5000, 5001], "no point with a value lies"), ([2, 2], "lie on one spot")]
)
def test_points_that_tell_nothing_are_refused(flat_grid, x, said):
    with pytest.raises(GroundError, match=said):
        points_on_grid(points(x, [2, 2], [1.0, 2.0]), flat_grid, reach_m=10.0)


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(5, 400))
def test_what_is_filled_never_leaves_the_range_of_the_points(flat_grid, seed, count):
    rng = np.random.default_rng(seed)
    x, y = rng.uniform(0, 300, count), rng.uniform(0, 200, count)
    given_points = points(x, y, rng.normal(size=count))
    values = points_on_grid(given_points, flat_grid, reach_m=1_000.0).values
    assert np.isfinite(values).all()
    assert values.min() >= given_points.values.min() - 1e-9
    assert values.max() <= given_points.values.max() + 1e-9
