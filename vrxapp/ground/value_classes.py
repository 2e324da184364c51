"""Cuts one layer into classes: as many cells in each, or where the values part by nature."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import GroundError, MissingInputError
from vrxapp.ground.grid import Grid
from vrxapp.ground.grid_layers import GridLayer
from vrxapp.ground.zone_clustering import MOST_GROUPS, NO_ZONE

_MOST_STEPS = 1000


def quantile_breaks(values: ArrayLike, classes: int) -> NDArray[np.float64]:
    """Breaks between classes that hold as many values each, as far as ties allow.

    Parameters
    ----------
    values : array_like
        NaN is left out.
    classes : int
        How many, from 2.

    Returns
    -------
    ndarray of float
        One fewer than classes, rising; a value on a break belongs to the class above.

    Raises
    ------
    GroundError
        If there are too few different values.

    Examples
    --------
    >>> quantile_breaks([1, 2, 3, 4, 5, 6], 3)
    array([2.5, 4.5])
    """
    different, counts = _different(values, classes)
    wanted = np.arange(1, classes) * (counts.sum() / classes)
    below = np.concatenate([[0], np.cumsum(counts)])
    at = np.searchsorted(below, wanted)
    step_back = (wanted - below[at - 1]) < (below[at] - wanted)
    cuts = np.where(step_back, at - 1, at)
    # ties may pull two cuts onto one place; each class keeps at least one value
    for k in range(classes - 1):
        low = cuts[k - 1] + 1 if k else 1
        cuts[k] = min(max(int(cuts[k]), int(low)), len(different) - (classes - 1 - k))
    return _between(different, cuts)


def natural_breaks(values: ArrayLike, classes: int) -> NDArray[np.float64]:
    """Breaks that leave the least variance inside classes.

    The exact optimum for up to 1,000 different values; beyond that, values are first joined
    into 1,000 steps that hold as many each, which moves a break by one step at most.

    Parameters
    ----------
    values : array_like
        NaN is left out.
    classes : int
        How many, from 2.

    Returns
    -------
    ndarray of float
        One fewer than classes, rising; a value on a break belongs to the class above.

    Raises
    ------
    GroundError
        If there are too few different values.

    References
    ----------
    .. [1] fisher-1958. The optimum by working up from one class to the next.

    Examples
    --------
    >>> natural_breaks([1, 1.2, 0.9, 5, 5.1, 9, 9.3, 8.8], 3)
    array([3.1 , 6.95])
    """
    different, counts = _different(values, classes)
    first = _step_starts(counts) if len(different) > _MOST_STEPS else np.arange(len(different))
    # far from zero, squares would swallow the digits that matter
    centred = different - np.average(different, weights=counts)
    mass = np.add.reduceat(counts.astype(float), first)
    sums = np.add.reduceat(counts * centred, first)
    squares = np.add.reduceat(counts * centred**2, first)
    cuts = _least_variance_cuts(mass, sums, squares, classes)
    return _between(different, first[cuts])


def class_labels(layer: GridLayer, grid: Grid, breaks: Sequence[float]) -> NDArray[np.int16]:
    """The class of each cell of a layer, from 0 upwards; -1 outside and where nothing is known.

    Parameters
    ----------
    layer : GridLayer
        A measured layer, or a soil test that was interpolated.
    grid : Grid
        Its grid.
    breaks : sequence of float
        Rising; a value on a break belongs to the class above. [unit of the layer]

    Raises
    ------
    MissingInputError
        If the breaks do not rise, or there are none.
    """
    ends = np.asarray(breaks, dtype=float)
    if ends.size == 0 or not np.all(np.isfinite(ends)) or np.any(np.diff(ends) <= 0.0):
        raise MissingInputError(
            "the breaks between classes must rise", mend="Give them as 20, 35, 50"
        )
    if ends.size >= MOST_GROUPS:
        raise MissingInputError(
            f"{ends.size + 1} classes are too many", mend=f"{MOST_GROUPS} can be made"
        )
    known = grid.inside & np.isfinite(layer.values)
    labels = np.full(grid.shape, NO_ZONE, dtype=np.int16)
    labels[known] = np.searchsorted(ends, layer.values[known], side="right")
    return labels


def _different(values: ArrayLike, classes: int) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """The different values, rising, and how often each occurs."""
    if not 2 <= classes <= MOST_GROUPS:
        raise MissingInputError(
            f"{classes} is no number of classes that can be made", mend=f"Choose 2 to {MOST_GROUPS}"
        )
    flat = np.asarray(values, dtype=float).ravel()
    different, counts = np.unique(flat[np.isfinite(flat)], return_counts=True)
    if different.size < classes:
        raise GroundError(
            f"there are {different.size} different values, which are fewer than {classes} classes",
            mend="Choose fewer classes",
        )
    return different, counts


def _between(different: NDArray[np.float64], cuts: NDArray[np.intp]) -> NDArray[np.float64]:
    """Breaks half-way between the values on either side of a cut."""
    return np.asarray((different[cuts - 1] + different[cuts]) / 2.0)


def _step_starts(counts: NDArray[np.intp]) -> NDArray[np.intp]:
    """Where steps begin that hold about as many values each."""
    below = np.cumsum(counts) - counts
    return np.unique(np.searchsorted(below, np.arange(_MOST_STEPS) * (counts.sum() / _MOST_STEPS)))


def _least_variance_cuts(
    mass: NDArray[np.float64],
    sums: NDArray[np.float64],
    squares: NDArray[np.float64],
    classes: int,
) -> NDArray[np.intp]:
    """Where each class but the first begins, so that least is left inside classes."""
    n, s, q = (np.concatenate([[0.0], np.cumsum(x)]) for x in (mass, sums, squares))
    count = np.maximum(n[None, :] - n[:, None], 1.0)
    # within[i, j]: what is left inside a class that holds steps i to j - 1
    within = (q[None, :] - q[:, None]) - (s[None, :] - s[:, None]) ** 2 / count
    steps = np.arange(len(n))
    within[steps[:, None] >= steps[None, :]] = np.inf
    left, begins = within[0], []
    for _ in range(classes - 1):
        total = left[:, None] + within
        begins.append(np.argmin(total, axis=0))
        left = np.min(total, axis=0)
    cuts, end = [], len(n) - 1
    for begin in reversed(begins):
        end = int(begin[end])
        cuts.append(end)
    return np.array(cuts[::-1], dtype=np.intp)
