"""Zone means: by hand, on samples and on cells."""

import numpy as np
import pytest
from shapely import box

from vrxapp.ground.grid import paddock_grid
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.zone_means import (
    paddock_mean_grid,
    zone_means,
    zone_means_grid,
    zone_rows,
    zone_sample_counts,
)
from vrxapp.ground.zones import Zones

ZONES = Zones(
    ("a", "b", "c"),
    ("West", "East", "Far"),
    np.array([box(0, 0, 50, 100), box(50, 0, 100, 100), box(100, 0, 120, 100)], dtype=object),
)


def test_mean_and_standard_error_by_hand():
    # 4, 6 and 11: mean 7, squares 9 + 1 + 16 = 26, error sqrt(26 / 2 / 3)
    found = zone_means(np.array([4.0, 6, 11, 5, 99]), np.array([0, 0, 0, 1, -1]), 3)
    assert found.mean[:2].tolist() == [7.0, 5.0]
    assert found.standard_error[0] == pytest.approx(np.sqrt(26 / 6))
    assert np.isnan([found.mean[2], *found.standard_error[1:]]).all()
    assert found.samples.tolist() == [3, 1, 0]


def test_a_point_on_a_shared_edge_belongs_to_the_first_zone():
    rows = zone_rows(ZONES, np.array([10.0, 50.0, 75.0, 500.0]), np.full(4, 50.0))
    assert rows.tolist() == [0, 0, 1, -1]


def test_each_cell_takes_the_mean_of_its_zone():
    grid = paddock_grid(Paddock("Flat", "EPSG:7855", box(0, 0, 140, 100)), 10.0)
    samples = SamplePoints(
        np.array([10.0, 20, 60]), np.array([10.0, 80, 40]), np.array([4.0, 6.0, 9.0])
    )
    cells = zone_means_grid(samples, ZONES, grid)
    assert set(cells.mean[:, :5].ravel()) == {5.0}
    assert set(cells.mean[:, 5:10].ravel()) == {9.0}
    assert np.isnan(cells.mean[:, 10:]).all()
    assert set(cells.standard_error[:, :5].ravel()) == {1.0}
    assert np.isnan(cells.standard_error[:, 5:]).all()


def test_one_mean_for_the_paddock_carries_the_error_of_all_samples():
    grid = paddock_grid(Paddock("Flat", "EPSG:7855", box(0, 0, 30, 20)), 10.0)
    samples = SamplePoints(np.zeros(4), np.zeros(4), np.array([2.0, 4.0, 6.0, 8.0]))
    cells = paddock_mean_grid(samples, grid)
    assert np.unique(cells.mean).tolist() == [5.0]
    # deviations 3, 1, 1, 3: variance 20/3, over four samples 5/3
    assert np.unique(cells.standard_error) == pytest.approx(np.sqrt(5.0 / 3.0))


def test_samples_are_counted_by_zone():
    counts = zone_sample_counts(ZONES, np.array([1.0, 2.0, -900.0]), np.array([1.0, 2.0, -900.0]))
    assert counts.tolist() == [2, 0, 0]
