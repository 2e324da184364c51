"""Tidies the groups of cells before they become zones: specks, small parts, narrow parts."""

import heapq
import math
from collections import defaultdict

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vrxapp.errors import GroundError
from vrxapp.ground.zone_clustering import NO_ZONE

_LONG_ROUNDS = 4
_VOTE_BITS = 30
_Labels = NDArray[np.int16]


def filled_labels(labels: _Labels) -> _Labels:
    """Labels where every cell has one: that of the nearest cell that has.

    Raises
    ------
    GroundError
        If no cell has a label.
    """
    unknown = labels == NO_ZONE
    if np.all(unknown):
        raise GroundError("no cell belongs to any zone", mend="Check the layers")
    nearest = ndimage.distance_transform_edt(unknown, return_distances=False, return_indices=True)
    return np.asarray(labels[tuple(nearest)])


def majority_labels(labels: _Labels, inside: NDArray[np.bool_], *, width_cells: int) -> _Labels:
    """Labels after each cell took the one that most cells around it have.

    Parameters
    ----------
    labels : ndarray of int
        Rows and columns, -1 for none.
    inside : ndarray of bool
        Cells of the paddock; only they vote, and only they change.
    width_cells : int
        Side of the square that votes, an odd number; 1 changes nothing.

    Returns
    -------
    ndarray of int
        Where two labels tie, a cell keeps its own if that is one of them.
    """
    if width_cells < 1 or width_cells % 2 == 0:
        raise GroundError(
            f"a square of {width_cells} cells has no middle", mend="Give an odd number, such as 5"
        )
    known = np.unique(labels[inside & (labels != NO_ZONE)])
    if not known.size:
        return labels
    row_of = np.full(int(known[-1]) + 2, len(known), dtype=np.int16)  # the last is for no zone
    row_of[known] = np.arange(len(known))
    row = np.where(inside, row_of[labels], np.int16(len(known)))
    # the votes of several labels travel in one number, each in bits of its own
    bits = int(width_cells**2).bit_length()
    together = max(1, _VOTE_BITS // bits)
    best = np.full(labels.shape, -1, dtype=np.int32)
    for first in range(0, len(known), together):
        rows = range(first, min(first + together, len(known)))
        ballot = np.zeros(len(known) + 1, dtype=np.int32)
        ballot[rows.start : rows.stop] = 1 << (bits * np.arange(len(rows)))
        counted = _window_sums(ballot[row], width_cells)
        for place, label_row in enumerate(rows):
            votes = (counted >> (bits * place)) & np.int32((1 << bits) - 1)
            # twice the votes, one more for a cell's own label, then which label it is
            votes <<= 1
            votes += row == label_row
            votes *= np.int32(len(known))
            votes += np.int32(label_row)
            np.maximum(best, votes, out=best)
    has_votes = inside & (best >= len(known))
    return np.where(has_votes, known[best % len(known)], labels)


def _window_sums(values: NDArray[np.int32], width: int) -> NDArray[np.int32]:
    """Sums over a square around each cell; what lies outside counts nothing.

    Running sums may pass what a number can hold, but their differences come out right.
    """
    half = width // 2
    down = np.cumsum(np.pad(values, ((half + 1, half), (half, half))), axis=0, dtype=np.int32)
    across = np.zeros((values.shape[0], values.shape[1] + width), dtype=np.int32)
    np.cumsum(down[width:] - down[:-width], axis=1, out=across[:, 1:])
    return np.asarray(across[:, width:] - across[:, :-width])


def merged_small_parts(labels: _Labels, inside: NDArray[np.bool_], *, least_cells: int) -> _Labels:
    """Labels in which no connected part is smaller than asked, unless it stands alone.

    The smallest part goes first, to the neighbour that it shares most edges with.

    Parameters
    ----------
    labels : ndarray of int
        Rows and columns, -1 for none.
    inside : ndarray of bool
        Cells of the paddock; others are no part of any zone.
    least_cells : int
        Fewest cells of a part.

    Returns
    -------
    ndarray of int
        A part without any neighbour (in a piece of a paddock of its own) stays as it is.
    """
    parts, part_label = _parts(labels, inside)
    sizes = np.bincount(parts.ravel(), minlength=len(part_label))
    goes_to = _merges(_shared_edges(parts, len(part_label)), sizes, part_label, least_cells)
    merged = part_label[goes_to][parts]
    return np.where(parts > 0, merged, labels).astype(np.int16)


def without_narrow_parts(
    labels: _Labels, inside: NDArray[np.bool_], *, width_cells: float
) -> _Labels:
    """Labels without parts so narrow that a machine could not change over in them.

    What a disc as wide as that cannot reach without leaving its zone or the paddock goes to
    the nearest ground that it can, square corners apart. A zone that is narrow all over
    vanishes. Widths are true to one cell.

    Parameters
    ----------
    labels : ndarray of int
        Rows and columns, -1 for none.
    inside : ndarray of bool
        Cells of the paddock.
    width_cells : float
        Least width. [cells]
    """
    current = labels
    for _ in range(_LONG_ROUNDS if width_cells > 1.0 else 0):
        wide = _reached_by_disc(current, inside, width_cells / 2.0)
        if not np.any(wide):
            break
        nearest = filled_labels(np.where(wide, current, NO_ZONE).astype(np.int16))
        after = np.where(inside, nearest, labels).astype(np.int16)
        if np.array_equal(after, current):
            break
        current = after
    return current


def _reached_by_disc(
    labels: _Labels, inside: NDArray[np.bool_], radius_cells: float
) -> NDArray[np.bool_]:
    """Cells that a disc covers somewhere without leaving their label, square corners with them."""
    reached = np.zeros(labels.shape, dtype=bool)
    for label in np.unique(labels[inside & (labels != NO_ZONE)]):
        own = inside & (labels == label)
        # a cell's middle lies half a cell from its edge
        to_edge = ndimage.distance_transform_edt(np.pad(own, 1))[1:-1, 1:-1]
        middles = to_edge >= radius_cells + 0.5 - 1e-9
        if np.any(middles):
            # a disc leaves out the corners of a square, and nobody calls those narrow
            reach = radius_cells * math.sqrt(2.0)
            reached |= own & (ndimage.distance_transform_edt(~middles) <= reach)
    return reached


def _parts(
    labels: _Labels, inside: NDArray[np.bool_]
) -> tuple[NDArray[np.int32], NDArray[np.int16]]:
    """Connected parts counted from 1 (0 is no part), and the label of each."""
    parts = np.zeros(labels.shape, dtype=np.int32)
    part_label, count = [np.array([NO_ZONE], dtype=np.int16)], 0
    for label in np.unique(labels[inside & (labels != NO_ZONE)]):
        numbered, found = ndimage.label(inside & (labels == label))
        parts[numbered > 0] = numbered[numbered > 0] + count
        part_label.append(np.full(found, label, dtype=np.int16))
        count += found
    return parts, np.concatenate(part_label)


def _shared_edges(parts: NDArray[np.int32], count: int) -> dict[int, dict[int, int]]:
    """For each part, its neighbours and how many cell edges it shares with each."""
    one = np.concatenate([parts[:, :-1].ravel(), parts[:-1].ravel()]).astype(np.int64)
    other = np.concatenate([parts[:, 1:].ravel(), parts[1:].ravel()]).astype(np.int64)
    meets = (one != other) & (one > 0) & (other > 0)
    low, high = np.minimum(one, other)[meets], np.maximum(one, other)[meets]
    pairs, lengths = np.unique(low * count + high, return_counts=True)
    shared: dict[int, dict[int, int]] = defaultdict(dict)
    for pair, length in zip(pairs.tolist(), lengths.tolist(), strict=True):
        a, b = divmod(pair, count)
        shared[a][b] = shared[b][a] = length
    return shared


def _merges(
    shared: dict[int, dict[int, int]],
    sizes: NDArray[np.intp],
    part_label: NDArray[np.int16],
    least_cells: int,
) -> NDArray[np.intp]:
    """The part that each part ends up in."""
    size, into = sizes.tolist(), np.arange(len(sizes))
    waiting = [(size[p], p) for p in range(1, len(size)) if size[p] < least_cells]
    heapq.heapify(waiting)
    while waiting:
        known_size, part = heapq.heappop(waiting)
        if into[part] != part or size[part] != known_size or not shared[part]:
            continue
        best = max(shared[part], key=lambda p: (shared[part][p], size[p], -p))
        # neighbours of the same label as the one it joins become one part with it
        label = part_label[best]
        joined = [part, *(p for p in shared[part] if p != best and part_label[p] == label)]
        for gone in joined:
            _join(shared, size, gone, best)
            into[gone] = best
        if size[best] < least_cells:
            heapq.heappush(waiting, (size[best], best))
    while True:
        ahead = into[into]
        if np.array_equal(ahead, into):
            return into
        into = ahead


def _join(shared: dict[int, dict[int, int]], size: list[int], gone: int, kept: int) -> None:
    """Let one part take over the cells and the neighbours of another."""
    size[kept] += size[gone]
    for neighbour, length in shared.pop(gone, {}).items():
        shared[neighbour].pop(gone, None)
        if neighbour != kept:
            shared[kept][neighbour] = shared[kept].get(neighbour, 0) + length
            shared[neighbour][kept] = shared[kept][neighbour]
