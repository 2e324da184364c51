"""Takes the steps out of edges that follow cells, the same from both sides of each edge."""

import numpy as np
import shapely
from numpy.typing import NDArray

_ROUNDS = 16
_IN, _OUT = 0.5, -0.51
"""Each round draws a corner this far to the middle of its neighbours, then nearly as far back.

Steps go, and round zones do not shrink (Taubin's filter).
"""
_SPARE = 0.3
"""Share of the reach that is kept for leaving corners out afterwards."""
_THIN = 0.7
"""Corners are left out where the triangle with their neighbours is below its square. [cells]"""

_LEAST_LEFT = 0.7
"""A ring that would keep less of its ground than this keeps its corners."""

Bounds = tuple[float, float, float, float]


def without_steps(
    shapes: NDArray[np.object_], frame: Bounds, *, reach: float
) -> NDArray[np.object_]:
    """Shapes of a coverage along cells, with their common edges rounded.

    Every corner is drawn towards its neighbours along the edges, those in which several edges
    meet too, and all shapes that have it move it alike. Corners that a straight edge does not
    need are then left out.

    Parameters
    ----------
    shapes : ndarray of shapely geometry
        A coverage whose edges have a corner at every cell. [cells]
    frame : tuple of four floats
        Edges along it stay, so that the same ground is covered. [cells]
    reach : float
        How far a corner may move, above 0. [cells]

    Returns
    -------
    ndarray of shapely geometry
        A valid coverage; where rounding would make edges cross, they are only thinned.

    Examples
    --------
    A stair of single cells becomes a slope, the same from both sides:

    >>> stair = shapely.Polygon([(0, 0), (3, 0), (3, 1), (2, 1), (2, 2), (1, 2), (1, 3), (0, 3)])
    >>> rest = shapely.Polygon([(3, 3), (0, 3), (1, 3), (1, 2), (2, 2), (2, 1), (3, 1)])
    >>> smooth = without_steps(np.array([stair, rest]), (0, 0, 3, 3), reach=1.0)
    >>> [len(shape.exterior.coords) for shape in smooth]
    [5, 4]
    """
    moved = _rounded(shapes, frame, reach=reach * (1.0 - _SPARE))
    if _fits(moved):
        thinned = shapely.coverage_simplify(moved, _THIN * min(reach, 1.0))
        if _fits(thinned):
            return np.asarray(thinned, dtype=object)
    return np.asarray(shapely.coverage_simplify(shapes, reach), dtype=object)


def _rounded(shapes: NDArray[np.object_], frame: Bounds, *, reach: float) -> NDArray[np.object_]:
    """The shapes rounded, but for the frame and for rings of so few cells that little is left."""
    places = shapely.get_coordinates(shapes)
    corners, row = np.unique(places, axis=0, return_inverse=True)
    row = row.ravel()
    ends, ring = _edges(shapes, row), _ring_of_coordinates(shapes)
    west, south, east, north = frame
    x, y = corners.T
    stays = (x <= west) | (x >= east) | (y <= south) | (y >= north)
    for _ in range(2):
        moved = _drawn(corners, ends, stays, reach=reach)
        rounded = shapely.set_coordinates(shapes.copy(), moved[row])
        shrunk = _ring_areas(rounded) < _LEAST_LEFT * _ring_areas(shapes)
        stays[row[shrunk[ring]]] = True
    return np.asarray(rounded, dtype=object)


def _drawn(
    corners: NDArray[np.float64],
    ends: NDArray[np.intp],
    stays: NDArray[np.bool_],
    *,
    reach: float,
) -> NDArray[np.float64]:
    """Corners drawn to their neighbours and back, none farther than its reach."""
    count = np.maximum(np.bincount(ends.ravel(), minlength=len(corners)), 1)[:, np.newaxis]
    moved = corners.copy()
    for share in (_IN, _OUT) * _ROUNDS:
        drawn = moved + share * (_neighbour_sums(moved, ends) / count - moved)
        step = np.where(stays[:, np.newaxis], 0.0, drawn - corners)
        far = np.maximum(np.hypot(*step.T) / reach, 1.0)[:, np.newaxis]
        moved = corners + step / far
    return moved


def _rings(shapes: NDArray[np.object_]) -> NDArray[np.object_]:
    """All rings, in the order of the coordinates."""
    return np.asarray(shapely.get_rings(shapely.get_parts(shapes)), dtype=object)


def _ring_of_coordinates(shapes: NDArray[np.object_]) -> NDArray[np.intp]:
    """Number of the ring that each coordinate is of."""
    rings = _rings(shapes)
    return np.repeat(np.arange(len(rings)), shapely.get_num_coordinates(rings))


def _ring_areas(shapes: NDArray[np.object_]) -> NDArray[np.float64]:
    """Ground inside each ring. [cells²]"""
    return np.asarray(shapely.area(shapely.polygons(_rings(shapes))))


def _edges(shapes: NDArray[np.object_], row: NDArray[np.intp]) -> NDArray[np.intp]:
    """Pairs of corners that an edge joins, each once."""
    ring = _ring_of_coordinates(shapes)
    joined = ring[1:] == ring[:-1]
    pairs = np.column_stack([row[:-1][joined], row[1:][joined]])
    return np.unique(np.sort(pairs, axis=1), axis=0)


def _neighbour_sums(places: NDArray[np.float64], ends: NDArray[np.intp]) -> NDArray[np.float64]:
    """Sum of the places that edges join each corner to."""
    one, other = ends.T
    return np.column_stack(
        [
            np.bincount(one, weights=axis[other], minlength=len(places))
            + np.bincount(other, weights=axis[one], minlength=len(places))
            for axis in places.T
        ]
    )


def _fits(shapes: NDArray[np.object_]) -> bool:
    """Whether the shapes are sound and share their edges."""
    return bool(np.all(shapely.is_valid(shapes)) and shapely.coverage_is_valid(shapes))
