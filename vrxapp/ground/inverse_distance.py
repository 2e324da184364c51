"""Inverse distance: each place takes the mean of all samples, the near ones counting most.

It needs no variogram, and knows no error of its own: leaving samples out one at a time
is the only way to tell how far it is off.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import GroundError
from vrxapp.ground.grid import CellValues, Grid
from vrxapp.ground.kriging_sweep import STAGE, tile_places
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.progress import Progress, Unwatched

POWER = 2.0  # inverse-square


def inverse_distance_points(
    samples: SamplePoints,
    easting_m: ArrayLike,
    northing_m: ArrayLike,
    *,
    power: float = POWER,
    progress: Progress | None = None,
) -> NDArray[np.float64]:
    """Mean of the samples, each weighted by its distance to a negative power.

    Parameters
    ----------
    samples : SamplePoints
        Where something was found, and what.
    easting_m, northing_m : array_like
        The points, in the coordinates of the samples. [m]
    power : float, default 2
        How fast a sample loses weight with distance, above 0. [-]
    progress : Progress, optional
        Who watches, and may cancel.

    Returns
    -------
    ndarray of float
        A value for each point, the sample's own at a sample. [the test's unit]

    Raises
    ------
    GroundError
        If the power is not above 0, or the points' columns differ in number.

    References
    ----------
    .. [1] inverse-square. The power of 2 is common practice.

    Examples
    --------
    >>> pair = SamplePoints(np.array([0.0, 30.0]), np.zeros(2), np.array([10.0, 20.0]))
    >>> inverse_distance_points(pair, [10.0, 30.0], [0.0, 0.0])
    array([12., 20.])
    """
    if not (np.isfinite(power) and power > 0.0):
        raise GroundError(
            "the power of the distance must be above 0", value=f"{power:g}", mend="2 is common"
        )
    easting, northing = (
        np.asarray(column, dtype=float).ravel() for column in (easting_m, northing_m)
    )
    if easting.size != northing.size:
        raise GroundError("eastings and northings of the points differ in number")
    watch = progress or Unwatched()
    values = np.empty(easting.size)
    size = tile_places(samples.values.size)
    for first in range(0, easting.size, size):
        watch.step(first, easting.size, STAGE)
        part = slice(first, first + size)
        squared = (samples.easting_m[:, None] - easting[part]) ** 2
        squared += (samples.northing_m[:, None] - northing[part]) ** 2
        weights = inverse_weights(squared, power)
        values[part] = samples.values @ weights / weights.sum(axis=0)
    watch.step(easting.size, easting.size, STAGE)
    return values


def inverse_weights(squared: NDArray[np.float64], power: float) -> NDArray[np.float64]:
    """Weights of samples (rows) for places (columns); a sample at a place takes all of it.

    Scaled by the nearest sample, so that no distance over- or underflows.
    """
    nearest = squared.min(axis=0)
    here = nearest == 0.0
    shares = np.where(here, 1.0, nearest) / np.where(
        here, np.where(squared == 0.0, 1.0, np.inf), squared
    )
    return np.asarray(shares ** (power / 2.0))


def inverse_distance_grid(
    samples: SamplePoints, grid: Grid, *, power: float = POWER, progress: Progress | None = None
) -> CellValues:
    """Inverse distance at the middle of each cell inside; its standard error is unknown (NaN)."""
    mean = np.full(grid.inside.shape, np.nan)
    mean[grid.inside] = inverse_distance_points(
        samples, *grid.middles(), power=power, progress=progress
    )
    return CellValues(grid, mean, np.full(mean.shape, np.nan))
