"""The order in which to visit points so that little ground is covered twice."""

import math

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import GroundError

MOST_STOPS = 1_000
_GAIN_M = 1e-6


def route_order(
    easting_m: NDArray[np.float64],
    northing_m: NDArray[np.float64],
    *,
    start: tuple[float, float] | None = None,
) -> NDArray[np.intp]:
    """The rows of points in the order of a short way past all of them, one way.

    The nearest point comes next, then stretches of the way are turned around as long as that
    shortens it. It is straight-line: fences and creeks are not known.

    Parameters
    ----------
    easting_m, northing_m : ndarray of float
        The points. [m]
    start : tuple of two floats, optional
        Easting and northing of the gate; without one, the way begins at the point farthest
        south-west. [m]

    Returns
    -------
    ndarray of int
        Each row once.

    Raises
    ------
    GroundError
        If there are more than 1,000 points.
    """
    count = easting_m.size
    if count > MOST_STOPS:
        raise GroundError(f"{count} stops are too many for one way", mend="Plan fewer")
    if count == 0:
        return np.zeros(0, dtype=np.intp)
    gate = start if start is not None else (float(easting_m.min()), float(northing_m.min()))
    x, y = np.append(gate[0], easting_m), np.append(gate[1], northing_m)
    apart = np.hypot(x[:, None] - x[None, :], y[:, None] - y[None, :])
    if start is None:
        # the corner only says where to begin; the way from it is not walked
        apart[0, 1:] = np.where(np.arange(count) == int(np.argmin(apart[0, 1:])), 0.0, math.inf)
    return _turned_about(_nearest_next(apart), apart)[1:] - 1


def route_length_m(
    easting_m: NDArray[np.float64], northing_m: NDArray[np.float64], order: NDArray[np.intp]
) -> float:
    """How long the way from the first to the last of ordered points is. [m]"""
    return float(np.sum(np.hypot(np.diff(easting_m[order]), np.diff(northing_m[order]))))


def _nearest_next(apart: NDArray[np.float64]) -> NDArray[np.intp]:
    """All rows, each followed by the nearest that was not yet visited."""
    order, left = [0], np.ones(len(apart), dtype=bool)
    left[0] = False
    while np.any(left):
        open_rows = np.flatnonzero(left)
        following = int(open_rows[np.argmin(apart[order[-1], open_rows])])
        order.append(following)
        left[following] = False
    return np.array(order, dtype=np.intp)


def _turned_about(order: NDArray[np.intp], apart: NDArray[np.float64]) -> NDArray[np.intp]:
    """The order after turning stretches around while that shortens the way; the first stays."""
    count = len(order)
    if count < 4:
        return order
    first, last = np.triu_indices(count - 1, k=1)
    first, last = first + 1, last + 1  # turning rows first to last, both inside 1 to count - 1
    while True:
        before, after = order[first - 1], order[np.minimum(last + 1, count - 1)]
        ends = last == count - 1
        old = apart[before, order[first]] + np.where(ends, 0.0, apart[order[last], after])
        new = apart[before, order[last]] + np.where(ends, 0.0, apart[order[first], after])
        gain = old - new
        best = int(np.argmax(gain))
        if not gain[best] > _GAIN_M:
            return order
        a, b = int(first[best]), int(last[best]) + 1
        order = np.concatenate([order[:a], order[a:b][::-1], order[b:]])
