import numpy as np
import pytest

from vrxapp.errors import GroundError, MissingInputError
from vrxapp.ground.derived_layers import (
    mean_of_seasons,
    slope_percent,
    standardised,
    swing_of_seasons,
)
from vrxapp.ground.zoning_grid import cell_middles


def test_a_plane_of_3_in_4_has_a_slope_of_5_percent(flat_grid, layer_of):
    # 0.03 m a metre east and 0.04 m a metre north: the root of 0.0009 + 0.0016 is 0.05
    x, y = np.meshgrid(*cell_middles(flat_grid))
    slope = slope_percent(layer_of(0.03 * x + 0.04 * y, "height"), flat_grid)
    assert slope.values == pytest.approx(np.full(flat_grid.shape, 5.0), abs=1e-6)
    assert slope.unit == "%"


def test_a_hole_in_the_heights_stays_a_hole_and_spoils_no_neighbour(flat_grid, layer_of):
    heights = np.full(flat_grid.shape, 100.0)
    heights[5, 5] = np.nan
    slope = slope_percent(layer_of(heights), flat_grid).values
    assert np.isnan(slope[5, 5])
    assert np.nansum(slope) == 0.0


def test_a_standardised_layer_has_mean_0_and_spread_1(flat_grid, layer_of):
    values = standardised(layer_of(np.arange(2400.0).reshape(40, 60)), flat_grid).values
    assert np.mean(values) == pytest.approx(0.0, abs=1e-12)
    assert np.std(values) == pytest.approx(1.0)


@pytest.mark.parametrize("value", [0.0, 7.3, 1e9])
def test_a_layer_that_is_the_same_everywhere_tells_no_zones_apart(flat_grid, layer_of, value):
    with pytest.raises(GroundError, match="the same value all over"):
        standardised(layer_of(np.full(flat_grid.shape, value), "flat"), flat_grid)


def test_a_poor_and_a_good_year_count_alike(flat_grid, layer_of):
    pattern = np.linspace(-1, 1, 2400).reshape(40, 60)
    poor, good = layer_of(1.0 + 0.1 * pattern), layer_of(6.0 + 2.0 * pattern)
    mean = mean_of_seasons([poor, good], flat_grid).values
    assert mean == pytest.approx(pattern / np.std(pattern))
    assert swing_of_seasons([poor, good], flat_grid).values == pytest.approx(0.0, abs=1e-9)


def test_ground_that_changes_its_standing_swings(flat_grid, layer_of):
    pattern = np.linspace(-1, 1, 2400).reshape(40, 60)
    swing = swing_of_seasons([layer_of(3 + pattern), layer_of(3 - pattern)], flat_grid).values
    # scores z and -z: their standard deviation is |z| times the root of 2
    assert swing == pytest.approx(np.sqrt(2.0) * np.abs(pattern / np.std(pattern)))


def test_a_cell_that_a_season_missed_is_the_mean_of_the_others(flat_grid, layer_of):
    pattern = np.linspace(-1, 1, 2400).reshape(40, 60)
    gap = pattern.copy()
    gap[3, 4] = np.nan
    three = [layer_of(pattern), layer_of(pattern), layer_of(gap)]
    mean = mean_of_seasons(three, flat_grid).values
    assert mean[3, 4] == pytest.approx((pattern / np.std(pattern))[3, 4])
    only_one = [layer_of(pattern), layer_of(gap)]
    assert np.isnan(swing_of_seasons(only_one, flat_grid).values[3, 4])


def test_one_season_alone_is_refused(flat_grid, layer_of):
    with pytest.raises(MissingInputError, match="one season"):
        mean_of_seasons([layer_of(np.arange(2400.0).reshape(40, 60))], flat_grid)
