"""Groups the cells of a paddock by what several layers say of them, and tells how sure that is.

Cells are points in the space of standardised layers. k-means gives each the nearest of k
centres; fuzzy c-means gives it a share in each, so that a cell between two groups shows as
one. Both start from centres found on a random part of the cells, with a seed.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import GroundError, MissingInputError
from vrxapp.ground.cluster_centres import (
    Points,
    fuzzy_centres,
    k_means_centres,
    memberships,
    sampled,
)
from vrxapp.ground.derived_layers import standardised
from vrxapp.ground.grid import Grid
from vrxapp.ground.grid_layers import GridLayer
from vrxapp.progress import Progress, Unwatched
from vrxapp.units import PERCENT

NO_ZONE = -1
MOST_GROUPS = 12
TAIL_PERCENT = 1.0
"""Cells beyond this share at either end of a layer count as lying at it, so that a few odd
ones make no group of their own. Engine choice, no source. [%]"""

_CHUNK = 262_144


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class CellGroups:
    """Cells of a grid in groups.

    Parameters
    ----------
    labels : ndarray of int
        Rows and columns: the group of each cell, from 0; -1 where a layer knows nothing.
    sureness : ndarray of float
        How much more a cell belongs to its group than to the next best: 1 wholly, 0 to both
        alike; NaN without a group. [share]
    crispness : float
        How clearly the cells fall apart, from 0 (not at all) to 1; see `crispness`.
    centres : ndarray of float
        Groups and layers: the middle of each group. [standard deviations]
    seed : int
        What the random starts came from; the same gives the same groups.
    """

    labels: NDArray[np.int16]
    sureness: NDArray[np.float32]
    crispness: float
    centres: NDArray[np.float64]
    seed: int

    def __post_init__(self) -> None:
        """Keep the cells from being changed."""
        self.labels.setflags(write=False)
        self.sureness.setflags(write=False)


@dataclass(frozen=True, slots=True)
class GroupAdvice:
    """How clearly cells fall into 2, 3... groups, and the number that is clearest.

    Parameters
    ----------
    numbers : tuple of int
        Numbers of groups that were tried.
    crispness : tuple of float
        Of each. [0 to 1]
    advised : int
        The number with the highest; a help, not a verdict.
    """

    numbers: tuple[int, ...]
    crispness: tuple[float, ...]
    advised: int


def k_means_groups(
    layers: Sequence[GridLayer], grid: Grid, *, groups: int, seed: int = 0
) -> CellGroups:
    """Cells grouped by the nearest of k centres.

    Parameters
    ----------
    layers : sequence of GridLayer
        What the cells are compared by; each counts alike.
    grid : Grid
        Their grid.
    groups : int
        How many groups, from 2.
    seed : int, default 0
        For the random starts; it is stored with the result.

    Returns
    -------
    CellGroups
        Group 0 has the lowest mean of the first layer, and so on upwards.

    Raises
    ------
    GroundError
        If a layer is the same everywhere, or hardly any cell is known to all.
    MissingInputError
        If there is no layer, or the number of groups is no such number.
    """
    points, known = _known_points(layers, grid, groups)
    centres = _in_order(k_means_centres(points, groups, seed))
    return CellGroups(*_grouped(points, known, centres, grid), centres, seed)


def fuzzy_groups(
    layers: Sequence[GridLayer], grid: Grid, *, groups: int, seed: int = 0
) -> CellGroups:
    """Cells grouped by fuzzy c-means, where those between two groups pull less on the centres.

    Parameters
    ----------
    layers : sequence of GridLayer
        What the cells are compared by; each counts alike.
    grid : Grid
        Their grid.
    groups : int
        How many groups, from 2.
    seed : int, default 0
        For the random starts; it is stored with the result.

    Raises
    ------
    GroundError, MissingInputError
        As `k_means_groups`.
    """
    points, known = _known_points(layers, grid, groups)
    centres = _in_order(fuzzy_centres(points, groups, seed))
    return CellGroups(*_grouped(points, known, centres, grid), centres, seed)


def advised_groups(
    layers: Sequence[GridLayer],
    grid: Grid,
    *,
    most: int = 6,
    seed: int = 0,
    progress: Progress | None = None,
) -> GroupAdvice:
    """Try 2 to `most` groups and tell how crisp each is.

    Crispness often favours few groups. It knows nothing of agronomy or machines: whether the
    groups differ in what they need is for soil tests to say (`zone_worth`).

    Raises
    ------
    GroundError, MissingInputError
        As `k_means_groups`.
    """
    points, _ = _known_points(layers, grid, most)
    sample = sampled(points, np.random.default_rng(seed))
    numbers = tuple(range(2, most + 1))
    found = []
    for done, groups in enumerate(numbers):
        (progress or Unwatched()).step(done, len(numbers), f"Trying {groups} groups")
        shares = memberships(sample, fuzzy_centres(points, groups, seed))
        found.append(crispness(shares.T))
    return GroupAdvice(numbers, tuple(found), numbers[int(np.argmax(found))])


def crispness(shares: NDArray[np.floating]) -> float:
    r"""How clearly cells fall into groups: 1 wholly, 0 not at all.

    Parameters
    ----------
    shares : ndarray of float
        Cells and groups: the share of each cell in each group; each cell's sum to 1.

    Notes
    -----
    The partition coefficient F (the mean over cells of the sum of squared shares), stretched
    so that it does not depend on the number of groups [1]_:

    .. math:: (F - 1/k) / (1 - 1/k)

    References
    ----------
    .. [1] dunn-coefficient. Normalised form, section "Value".

    Examples
    --------
    >>> crispness(np.array([[1.0, 0.0], [0.0, 1.0]]))
    1.0
    >>> crispness(np.array([[0.5, 0.5], [0.5, 0.5]]))
    0.0
    """
    count = shares.shape[1]
    coefficient = float(np.sum(np.square(shares), dtype=np.float64)) / len(shares)
    return float((coefficient - 1.0 / count) / (1.0 - 1.0 / count))


def _known_points(
    layers: Sequence[GridLayer], grid: Grid, groups: int
) -> tuple[Points, NDArray[np.intp]]:
    """Cells that every layer knows, as points in standard deviations, and which they are."""
    if not layers:
        raise MissingInputError("there is no layer to make zones from", mend="Give at least one")
    if not 2 <= groups <= MOST_GROUPS:
        raise MissingInputError(
            f"{groups} is no number of zones that can be made", mend=f"Choose 2 to {MOST_GROUPS}"
        )
    known = grid.inside.ravel().copy()
    for layer in layers:
        known &= np.isfinite(layer.values.ravel())
    cells = np.flatnonzero(known)
    if cells.size < max(100, 10 * groups):
        raise GroundError(
            f"only {cells.size} cells have a value in every layer",
            mend="Check that all layers cover the paddock, or leave one out",
        )
    columns = [standardised(_without_tails(x, grid), grid).values.ravel()[cells] for x in layers]
    return np.stack(columns).astype(np.float32), cells


def _without_tails(layer: GridLayer, grid: Grid) -> GridLayer:
    """A layer whose few lowest and highest values are drawn in."""
    inside = layer.values[grid.inside & np.isfinite(layer.values)]
    ends = np.percentile(inside, [TAIL_PERCENT, PERCENT - TAIL_PERCENT])
    return replace(layer, values=np.clip(layer.values, *ends))


def _in_order(centres: NDArray[np.float64]) -> NDArray[np.float64]:
    """Centres from the lowest to the highest value of the first layer."""
    return centres[np.lexsort(centres.T[::-1])]


def _grouped(
    points: Points, known: NDArray[np.intp], centres: NDArray[np.float64], grid: Grid
) -> tuple[NDArray[np.int16], NDArray[np.float32], float]:
    """The group of every cell, how sure it is, and how crisp all are, some cells at a time."""
    labels = np.full(grid.inside.size, NO_ZONE, dtype=np.int16)
    sureness = np.full(grid.inside.size, np.nan, dtype=np.float32)
    crisp, count = 0.0, points.shape[1]
    for first in range(0, count, _CHUNK):
        cells = known[first : first + _CHUNK]
        shares = memberships(points[:, first : first + _CHUNK], centres)
        labels[cells], sureness[cells] = _best_of(shares)
        crisp += crispness(shares.T) * len(cells)
    return labels.reshape(grid.shape), sureness.reshape(grid.shape), crisp / count


def _best_of(shares: Points) -> tuple[NDArray[np.int16], Points]:
    """The group with the largest share of each point, and how far ahead it is."""
    best, second = shares[0].copy(), np.zeros_like(shares[0])
    label = np.zeros(shares.shape[1], dtype=np.int16)
    for group in range(1, len(shares)):
        ahead = shares[group] > best
        np.maximum(second, np.minimum(best, shares[group]), out=second)
        np.maximum(best, shares[group], out=best)
        label[ahead] = group
    return label, best - second
