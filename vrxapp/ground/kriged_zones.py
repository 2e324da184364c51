"""The mean of each zone out of a kriged map, with its own standard error.

A zone's mean is far better known than any spot in it: what changes within steps averages
out, and spots near each other share what the samples tell. Adding up the errors of cells
would say neither, so the zone is kriged as one block.
"""

import math

import numpy as np
from numpy.typing import NDArray

from vrxapp.ground.grid import Grid
from vrxapp.ground.kriging_system import KrigingSystem, kriging_system
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import Variogram, correlation_in_place, structured_sill
from vrxapp.ground.zone_means import ZoneMeans, zone_rows, zone_sample_counts
from vrxapp.ground.zones import Zones

MOST_SPOTS = 500
"""Cells that stand for a zone where cells meet cells, whose number grows with the square. [-]"""
_GOLDEN = 0.6180339887498949
_CHUNK = 4096


def kriged_zone_means(
    samples: SamplePoints, variogram: Variogram, zones: Zones, grid: Grid
) -> ZoneMeans:
    """Mean and standard error of each zone by ordinary kriging of the zone as a block.

    Parameters
    ----------
    samples : SamplePoints
        Where something was found, and what, in the grid's coordinates.
    variogram : Variogram
        How values, not their logarithms, differ with distance.
    zones : Zones
        The zones.
    grid : Grid
        Its cells' middles stand for a zone; for how alike the zone's own ground is, 500 of
        them at most.

    Returns
    -------
    ZoneMeans
        NaN where no cell has its middle in a zone. The standard error is that of the mean
        of the ground itself, without what a laboratory may be off by.

    Raises
    ------
    GroundError
        If the samples cannot be kriged with this variogram.
    """
    system = kriging_system(samples, variogram)
    easting, northing = grid.middles()
    zone = zone_rows(zones, easting, northing)
    found = [
        _block(system, easting[zone == row], northing[zone == row]) for row in range(len(zones.ids))
    ]
    mean, error = np.array(found, dtype=float).T
    counts = zone_sample_counts(zones, samples.easting_m, samples.northing_m)
    return ZoneMeans(mean, error, counts)


def _block(
    system: KrigingSystem, easting_m: NDArray[np.float64], northing_m: NDArray[np.float64]
) -> tuple[float, float]:
    """Mean of the ground at some spots, and its standard error."""
    if not easting_m.size:
        return math.nan, math.nan
    spots = system.turn @ np.vstack(
        [easting_m - system.origin_m[0], northing_m - system.origin_m[1]]
    )
    to_samples = np.zeros(system.observed.size)
    for first in range(0, spots.shape[1], _CHUNK):
        part = spots[:, first : first + _CHUNK]
        to_samples += _covariance(system, system.spots, part).sum(axis=1)
    to_samples /= spots.shape[1]
    few = _spread(spots)
    within = float(_covariance(system, few, few).mean())
    mean = system.mean + float(system.dual[0] @ to_samples)
    known = float(np.sum((system.factor @ to_samples) ** 2))
    short = float(system.dual[1] @ to_samples) - 1.0
    return mean, math.sqrt(max(within - known + short**2 * system.mean_variance, 0.0))


def _spread(spots: NDArray[np.float64]) -> NDArray[np.float64]:
    """At most so many of the spots, spread over all of them without falling into rows."""
    count = spots.shape[1]
    if count <= MOST_SPOTS:
        return spots
    chosen = (np.arange(MOST_SPOTS) * _GOLDEN % 1.0 * count).astype(np.intp)
    return spots[:, np.unique(chosen)]


def _covariance(
    system: KrigingSystem, one: NDArray[np.float64], other: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Covariance of spots with other spots; the nugget, which averages out, left aside."""
    squared = sum((one[axis][:, None] - other[axis]) ** 2 for axis in (0, 1))
    likeness = correlation_in_place(np.asarray(squared), system.variogram.model)
    return np.asarray(structured_sill(system.variogram) * likeness)
