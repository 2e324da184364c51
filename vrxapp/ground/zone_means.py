"""One mean for each zone, and its standard error: the map for few samples."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.ground.grid import CellValues, Grid
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.zones import Zones


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class ZoneMeans:
    """What the samples of each zone say, a row for each zone.

    Parameters
    ----------
    mean : ndarray of float
        Mean of its samples, NaN where there is none. [the test's unit]
    standard_error : ndarray of float
        Standard error of that mean, NaN with fewer than two samples. [the test's unit]
    samples : ndarray of int
        How many samples lie in it.
    """

    mean: NDArray[np.float64]
    standard_error: NDArray[np.float64]
    samples: NDArray[np.intp]


def zone_rows(
    zones: Zones, easting_m: NDArray[np.float64], northing_m: NDArray[np.float64]
) -> NDArray[np.intp]:
    """Row of the first zone that holds each point, on its edge too; -1 for none."""
    row = np.full(easting_m.shape, -1, dtype=np.intp)
    for k in range(len(zones.shapes) - 1, -1, -1):
        shapely.prepare(zones.shapes[k])
        row[shapely.intersects_xy(zones.shapes[k], easting_m, northing_m)] = k
    return row


def zone_means(values: NDArray[np.float64], rows: NDArray[np.intp], zone_count: int) -> ZoneMeans:
    """Mean, standard error and number of the samples of each zone.

    Parameters
    ----------
    values : ndarray of float
        Results of the samples. [the test's unit]
    rows : ndarray of int
        Zone of each sample, -1 for none, as `zone_rows` gives them.
    zone_count : int
        How many zones there are.

    Examples
    --------
    >>> found = zone_means(np.array([4.0, 6.0, 9.0]), np.array([0, 0, 1]), 2)
    >>> found.mean, found.standard_error
    (array([5., 9.]), array([ 1., nan]))
    """
    held, value = rows[rows >= 0], values[rows >= 0]
    count = np.bincount(held, minlength=zone_count)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.bincount(held, value, minlength=zone_count) / count
        squares = np.bincount(held, (value - mean[held]) ** 2, minlength=zone_count)
        error = np.where(count > 1, np.sqrt(squares / (count - 1.0) / count), np.nan)
    return ZoneMeans(mean, error, count)


def zone_sample_counts(
    zones: Zones, easting_m: NDArray[np.float64], northing_m: NDArray[np.float64]
) -> NDArray[np.intp]:
    """How many samples lie in each zone."""
    rows = zone_rows(zones, easting_m, northing_m)
    return np.bincount(rows[rows >= 0], minlength=len(zones.ids))


def paddock_mean_grid(samples: SamplePoints, grid: Grid) -> CellValues:
    """The mean of all samples in each cell, with the standard error of that mean."""
    count = samples.values.size
    error = samples.values.std(ddof=1) / np.sqrt(count) if count > 1 else np.nan
    mean = np.where(grid.inside, samples.values.mean(), np.nan)
    return CellValues(grid, mean, np.where(grid.inside, error, np.nan))


def zone_means_grid(samples: SamplePoints, zones: Zones, grid: Grid) -> CellValues:
    """The mean of the zone that each cell's middle lies in, NaN outside all zones."""
    row, column = np.nonzero(grid.inside)
    cell_zone = zone_rows(zones, *grid.middles())
    sample_zone = zone_rows(zones, samples.easting_m, samples.northing_m)
    found = zone_means(samples.values, sample_zone, len(zones.ids))
    filled = []
    for of_zones in (found.mean, found.standard_error):
        cells = np.full(grid.inside.shape, np.nan)
        cells[row, column] = np.append(of_zones, np.nan)[cell_zone]
        filled.append(cells)
    return CellValues(grid, *filled)
