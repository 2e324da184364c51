"""How far each way of mapping is off at a sample that it was not shown.

Each sample is left out in turn and estimated from the others. For kriging and inverse
distance one matrix serves all samples; no system is solved again.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.ground.inverse_distance import POWER, inverse_weights
from vrxapp.ground.kriging_system import KrigingSystem, kriging_system
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import Variogram


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class LeftOut:
    """Samples as the others estimate them, a row each.

    Parameters
    ----------
    estimate : ndarray of float
        What the others say. [the test's unit, or its logarithm]
    difference : ndarray of float
        Estimate less what was found. [the same]
    standard_error : ndarray of float
        What the method thinks it may be off; NaN where it knows none. [the same]
    """

    estimate: NDArray[np.float64]
    difference: NDArray[np.float64]
    standard_error: NDArray[np.float64]


def typical_difference(left_out: LeftOut) -> float:
    """Root mean square of the differences. [the unit of the estimates]"""
    return float(np.sqrt(np.mean(left_out.difference**2)))


def kriging_left_out(samples: SamplePoints, variogram: Variogram) -> LeftOut:
    """Each sample as the others krige it, on the variogram's scale.

    The variogram is the given one: fitted to all samples, it has seen the one left out,
    so the differences are a little too small.

    References
    ----------
    .. [1] dubrule-1983. All samples left out in turn from one inverted matrix.
    """
    system = kriging_system(samples, variogram)
    inverse = _bordered_inverse(system)
    variance = 1.0 / np.diag(inverse)
    difference = -(inverse @ (system.observed - system.mean)) * variance
    return LeftOut(system.observed + difference, difference, np.sqrt(variance))


def _bordered_inverse(system: KrigingSystem) -> NDArray[np.float64]:
    """Inverse covariance with the unknown mean taken out of it."""
    whole = system.factor.T @ system.factor
    return np.asarray(whole - np.outer(system.dual[1], system.dual[1]) * system.mean_variance)


def inverse_distance_left_out(
    samples: SamplePoints, values: NDArray[np.float64], power: float = POWER
) -> LeftOut:
    """Each sample as inverse distance makes it from the others."""
    squared = (samples.easting_m[:, None] - samples.easting_m) ** 2
    squared += (samples.northing_m[:, None] - samples.northing_m) ** 2
    np.fill_diagonal(squared, np.inf)
    weights = inverse_weights(squared, power)
    return _left_out(values @ weights / weights.sum(axis=0), values)


def zone_means_left_out(values: NDArray[np.float64], rows: NDArray[np.intp]) -> LeftOut:
    """Each sample as the mean of the others in its zone.

    A sample that is alone in its zone, or in none, gets the mean of all others.
    """
    mean_of_all = paddock_mean_left_out(values).estimate
    zone = np.where(rows < 0, rows.max(initial=-1) + 1, rows)
    sums, counts = np.bincount(zone, values), np.bincount(zone)
    others = counts[zone] - 1
    alone = (others == 0) | (rows < 0)
    estimate = np.where(alone, mean_of_all, (sums[zone] - values) / np.maximum(others, 1))
    return _left_out(estimate, values)


def paddock_mean_left_out(values: NDArray[np.float64]) -> LeftOut:
    """Each sample as the mean of all others: what a flat rate would assume.

    Examples
    --------
    >>> paddock_mean_left_out(np.array([1.0, 2.0, 6.0])).estimate
    array([4. , 3.5, 1.5])
    """
    return _left_out((values.sum() - values) / (values.size - 1), values)


def _left_out(estimate: NDArray[np.float64], values: NDArray[np.float64]) -> LeftOut:
    """Estimates of a method that knows no error of its own."""
    return LeftOut(estimate, estimate - values, np.full(values.size, np.nan))
