"""Cuts a polygon along straight lines between its own corners: no holes, few corners.

No corner is added. A new corner on an edge would stand in one of two neighbours only: their
edges would part by the rounding of a file, and their areas on the ellipsoid no longer add up.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import depth_first_order, minimum_spanning_tree

from vrxapp.errors import GroundError


@dataclass(frozen=True, slots=True, eq=False)
class _Triangles:
    """A polygon in triangles between its corners, joined into a tree across their sides.

    Sides of the tree are open. A side outside it is a cut already, though both its
    triangles may still lie in one piece: the two ends of the side then stand twice in the
    outline of that piece, which is how a hole shows.
    """

    corners: NDArray[np.float64]
    rows: NDArray[np.intp]
    """Three corners a triangle, counter-clockwise."""
    pairs: NDArray[np.intp]
    """Two triangles for each side of the tree."""
    ends: NDArray[np.intp]
    """Two corners for each side of the tree."""


def pieces(polygon: shapely.Polygon, *, most_points: int) -> tuple[shapely.Polygon, ...]:
    """A polygon as pieces without holes and with few points; itself where nothing is to do.

    Parameters
    ----------
    polygon : shapely Polygon
        Valid and two-dimensional.
    most_points : int
        Most points that a piece may have, 4 or more; the first counts again as the last.

    Returns
    -------
    tuple of shapely Polygon
        Pieces that share whole edges and together are the polygon.

    Raises
    ------
    GroundError
        If the polygon cannot be cut that way.
    """
    if not polygon.interiors and len(polygon.exterior.coords) <= most_points:
        return (polygon,)
    triangles = _triangles(polygon)
    waiting = [np.arange(len(triangles.rows))]
    found = []
    while waiting:
        piece = waiting.pop()
        used = len(np.unique(triangles.rows[piece]))
        if used == len(piece) + 2 and used < most_points:
            found.append(_outline(triangles, piece))
        else:
            waiting.extend(_halves(triangles, piece))
    if abs(sum(piece.area for piece in found) - polygon.area) > 1e-9 * polygon.area:
        raise GroundError("its pieces do not add up to the whole", mend="Draw it more simply")
    return tuple(found)


def _triangles(polygon: shapely.Polygon) -> _Triangles:
    """Triangles of a polygon, and the tree of their longest common sides.

    Sides that stay cut are then the shortest that join a hole to the rest.
    """
    parts = shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
    points = shapely.get_coordinates(shapely.orient_polygons(parts)).reshape(-1, 4, 2)[:, :3]
    corners, rows = np.unique(points.reshape(-1, 2), axis=0, return_inverse=True)
    rows = rows.reshape(-1, 3)
    sides = np.sort(rows[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    order = np.lexsort(sides.T)
    shared = np.flatnonzero(np.all(sides[order[:-1]] == sides[order[1:]], axis=1))
    first, second = order[shared], order[shared + 1]
    pairs, ends = np.column_stack([first // 3, second // 3]), sides[first]
    kept = _longest_tree(pairs, np.linalg.norm(np.diff(corners[ends], axis=1)[:, 0], axis=1))
    return _Triangles(corners, rows, pairs[kept], ends[kept])


def _longest_tree(pairs: NDArray[np.intp], lengths: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which pairs belong to the tree over all triangles with the longest sides."""
    count = int(pairs.max(initial=0)) + 1
    number = np.arange(1, len(pairs) + 1)
    ranks = np.empty(len(pairs))
    ranks[np.argsort(-lengths, kind="stable")] = number  # longest first, no two alike
    graph = coo_array((ranks, (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    tree = minimum_spanning_tree(graph.tocsr())
    return np.isin(ranks, tree.data)


def _outline(triangles: _Triangles, piece: NDArray[np.intp]) -> shapely.Polygon:
    """The outline of a piece: the sides that no second triangle of it shares."""
    sides = triangles.rows[piece][:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2).tolist()
    follows = {(a, b) for a, b in sides}
    after = {a: b for a, b in sides if (b, a) not in follows}
    ring = [next(iter(after))]
    while len(ring) < len(after):
        ring.append(after[ring[-1]])
    return shapely.Polygon(triangles.corners[ring])


def _halves(
    triangles: _Triangles, piece: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """A piece cut in two along the side that parts most double corners, then most evenly."""
    inside = np.zeros(len(triangles.rows), dtype=bool)
    inside[piece] = True
    own = np.all(inside[triangles.pairs], axis=1)
    number = np.cumsum(inside) - 1
    pairs, ends = number[triangles.pairs[own]], triangles.ends[own]
    piece = np.flatnonzero(inside)
    if len(piece) < 2:
        raise GroundError("it cannot be cut into simple pieces", mend="Draw it more simply")
    order, size, side_of = _walk(pairs, len(piece))
    rows = triangles.rows[piece][order]
    score = _parted(rows, size, ends[side_of])
    even = np.minimum(size, len(piece) - size)[1:]
    best = 1 + int(np.lexsort((even, score))[-1])
    branch = order[best : best + size[best]]
    rest = np.concatenate([order[:best], order[best + size[best] :]])
    return piece[branch], piece[rest]


def _walk(
    pairs: NDArray[np.intp], count: int
) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.intp]]:
    """Triangles in the order of a walk through the tree, so that each branch is one run of it.

    Returns the order, the size of the branch at each place of it, and the side that leads
    to each place but the first.
    """
    ones = np.arange(1.0, len(pairs) + 1)  # a side's number; zero would be no side
    graph = coo_array((ones, (pairs[:, 0], pairs[:, 1])), shape=(count, count)).tocsr()
    graph = graph + graph.T
    order, before = depth_first_order(graph, 0, directed=False)
    place = np.empty(count, dtype=np.intp)
    place[order] = np.arange(count)
    size = np.ones(count, dtype=np.intp)
    for index in range(count - 1, 0, -1):
        size[place[before[order[index]]]] += size[index]
    sides = np.asarray(graph[order[1:], before[order[1:]]]).ravel().astype(np.intp) - 1
    return order.astype(np.intp), size, sides


def _parted(
    rows: NDArray[np.intp], size: NDArray[np.intp], ends: NDArray[np.intp]
) -> NDArray[np.intp]:
    """How many double corners each cut parts; its own two ends stay in both halves.

    A corner is double where its triangles form more than one fan in the tree.
    """
    corner_count = int(rows.max()) + 1
    used = np.bincount(rows.ravel(), minlength=corner_count)
    fans = used - np.bincount(ends.ravel(), minlength=corner_count)
    score = np.zeros(len(size) - 1, dtype=np.intp)
    first = np.arange(1, len(size))
    for corner in np.flatnonzero(fans > 1):
        places = np.flatnonzero(np.any(rows == corner, axis=1))
        low, high = np.searchsorted(places, first), np.searchsorted(places, first + size[1:])
        held = high - low
        score += (held > 0) & (held < len(places)) & np.all(ends != corner, axis=1)
    return score
