"""Centres of groups of points, by k-means and by fuzzy c-means, on a random part of the points.

Points are columns of numbers, a layer in each row; float32, because millions pass through.
"""

import numpy as np
from numpy.typing import NDArray

FUZZINESS = 1.5
"""Exponent of fuzzy c-means: 1 is k-means, larger blurs more. Common practice, no source."""

_SAMPLE_CELLS = 20_000
_STARTS = 10
_MOST_ROUNDS = 100
_SETTLED = 1e-4

Points = NDArray[np.float32]
"""Layers (or groups) in rows, cells in columns."""


def sampled(points: Points, rng: np.random.Generator) -> Points:
    """A random part of the points, all of them where they are few."""
    count = points.shape[1]
    if count <= _SAMPLE_CELLS:
        return points
    return np.ascontiguousarray(points[:, np.sort(rng.choice(count, _SAMPLE_CELLS, replace=False))])


def k_means_centres(points: Points, groups: int, seed: int) -> NDArray[np.float64]:
    """Centres with the least squared distance out of several starts on a part of the cells."""
    rng = np.random.default_rng(seed)
    sample = sampled(points, rng)
    starts = [_settled_centres(sample, _spread_start(sample, groups, rng)) for _ in range(_STARTS)]
    return min(starts, key=lambda start: start[1])[0]


def fuzzy_centres(points: Points, groups: int, seed: int) -> NDArray[np.float64]:
    """Centres of fuzzy c-means on a part of the cells, beginning with those of k-means."""
    sample = sampled(points, np.random.default_rng(seed))
    centres = k_means_centres(points, groups, seed)
    for _ in range(_MOST_ROUNDS):
        pull = memberships(sample, centres) ** FUZZINESS
        moved = (pull @ sample.T).astype(float) / np.sum(pull, axis=1, dtype=float)[:, None]
        at_rest = np.max(np.abs(moved - centres)) < _SETTLED
        centres = moved
        if at_rest:
            break
    return centres


def memberships(points: Points, centres: NDArray[np.float64]) -> Points:
    """Groups and points: the share of each point in each group; each point's sum to 1."""
    squared = _distances(points, centres) + np.sum(np.square(points), axis=0)
    np.maximum(squared, np.float32(1e-6), out=squared)
    # in shares of the nearest, so that no power runs out of what a number can hold
    share = (squared.min(axis=0) / squared) ** float(1.0 / (FUZZINESS - 1.0))
    share /= share.sum(axis=0)
    return np.asarray(share, dtype=np.float32)


def _spread_start(sample: Points, groups: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """Starting centres among the points, each likelier the farther it is from those before."""
    count = sample.shape[1]
    centres = [sample[:, rng.integers(count)].astype(float)]
    nearest = np.full(count, np.inf)
    for _ in range(groups - 1):
        apart = np.sum((sample - centres[-1][:, None]) ** 2, axis=0)
        nearest = np.minimum(nearest, apart)
        reach = np.cumsum(nearest)
        pick = np.searchsorted(reach, rng.random() * reach[-1])
        centres.append(sample[:, min(int(pick), count - 1)].astype(float))
    return np.array(centres)


def _settled_centres(
    sample: Points, centres: NDArray[np.float64]
) -> tuple[NDArray[np.float64], float]:
    """Centres after moving each to the mean of its points until they rest, and what is left."""
    for _ in range(_MOST_ROUNDS):
        label = _nearest(sample, centres)[0]
        count = np.bincount(label, minlength=len(centres))
        sums = [np.bincount(label, weights=layer, minlength=len(centres)) for layer in sample]
        means = np.column_stack(sums) / np.maximum(count, 1)[:, None]
        moved = np.where(count[:, None] > 0, means, centres)
        at_rest = np.max(np.abs(moved - centres)) < _SETTLED
        centres = moved
        if at_rest:
            break
    left = _nearest(sample, centres)[1] + np.sum(np.square(sample), axis=0)
    return centres, float(np.sum(left, dtype=float))


def _distances(points: Points, centres: NDArray[np.float64]) -> Points:
    """Groups and points: how far apart, squared, less the point's own square.

    What is taken off is the same for all groups, and costs a pass over all points.
    """
    near = centres.astype(np.float32)
    return np.asarray((-2.0 * near) @ points + np.sum(near**2, axis=1)[:, None])


def _nearest(points: Points, centres: NDArray[np.float64]) -> tuple[NDArray[np.intp], Points]:
    """The nearest centre of each point, and its distance as `_distances` tells it."""
    distances = _distances(points, centres)
    best, label = distances[0].copy(), np.zeros(points.shape[1], dtype=np.intp)
    for group in range(1, len(centres)):  # faster than a search down each column
        nearer = distances[group] < best
        label[nearer] = group
        np.minimum(best, distances[group], out=best)
    return label, best
