"""Zones as one shared linework: each corner is held once, so that neighbours cannot disagree.

A polygon is a ring of numbers that point at corners. A corner that moves, moves in every
zone that has it; a corner put into an edge is put into it on both sides.
"""

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

OUTSIDE = -1
"""Stands for the ground beyond all zones, on one side of an edge."""

TOUCH_M = 1e-6
"""A point this near to an edge lies on it: what remains of rounding, and no more. [m]"""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class ZoneLinework:
    """Corners that are held once, and the rings that run through them.

    Parameters
    ----------
    points : ndarray of float, shape (points, 2)
        Easting and northing of each corner. [m]
    corners : ndarray of int, shape (corners,)
        Point of each corner of each ring, one ring after the other, each closed.
    ring_starts : ndarray of int, shape (rings + 1,)
        Where each ring begins among the corners; the ground of its zone lies to its left.
    polygon_starts : ndarray of int, shape (polygons + 1,)
        Where each polygon begins among the rings, its outer ring first.
    zone_starts : ndarray of int, shape (zones + 1,)
        Where each zone begins among the polygons.
    """

    points: NDArray[np.float64]
    corners: NDArray[np.intp]
    ring_starts: NDArray[np.intp]
    polygon_starts: NDArray[np.intp]
    zone_starts: NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """Edges of a linework, each held once.

    Parameters
    ----------
    ends : ndarray of int, shape (edges, 2)
        The two points of each edge, the lower number first.
    sides : ndarray of int, shape (edges, 2)
        Zone to the left and to the right on the way from first to second, or `OUTSIDE`.
    """

    ends: NDArray[np.intp]
    sides: NDArray[np.intp]


def linework(shapes: NDArray[np.object_]) -> ZoneLinework:
    """The linework of zones.

    Parameters
    ----------
    shapes : ndarray of shapely Polygon or MultiPolygon
        Two-dimensional, in metres; neighbours have the same corners where they meet. [m]

    Examples
    --------
    Two squares side by side have six corners, not eight:

    >>> squares = np.array([shapely.box(0, 0, 1, 1), shapely.box(1, 0, 2, 1)], dtype=object)
    >>> len(linework(squares).points)
    6
    """
    turned = shapely.orient_polygons(shapes, exterior_cw=False)
    _, coordinates, starts = shapely.to_ragged_array(turned)
    if len(starts) == 2:  # nothing but plain polygons: each zone has one
        starts = (*starts, np.arange(len(shapes) + 1))
    places = np.ascontiguousarray(coordinates[:, :2]).view(np.complex128).ravel()
    distinct, corners = np.unique(places, return_inverse=True)
    rings, polygons, zones = (np.asarray(part, dtype=np.intp) for part in starts)
    points = np.column_stack([distinct.real, distinct.imag])
    return ZoneLinework(points, corners.astype(np.intp), rings, polygons, zones)


def shapes_of(lines: ZoneLinework) -> NDArray[np.object_]:
    """The zones of a linework as shapes, a zone of one part as a plain polygon. [m]"""
    shapes = shapely.from_ragged_array(
        shapely.GeometryType.MULTIPOLYGON,
        lines.points[lines.corners],
        (lines.ring_starts, lines.polygon_starts, lines.zone_starts),
    )
    is_single = shapely.get_num_geometries(shapes) == 1
    return np.asarray(np.where(is_single, shapely.get_geometry(shapes, 0), shapes), dtype=object)


def edges_of(lines: ZoneLinework) -> Edges:
    """Each edge once, with the zone on either side of it."""
    first = _edge_rows(lines)
    start, end = lines.corners[first], lines.corners[first + 1]
    zone = _zone_of_corners(lines)[first]
    low, high = np.minimum(start, end), np.maximum(start, end)
    keys, edge = np.unique(low * len(lines.points) + high, return_inverse=True)
    sides = np.full((len(keys), 2), OUTSIDE, dtype=np.intp)
    sides[edge, (start > end).astype(np.intp)] = zone
    return Edges(np.column_stack(np.divmod(keys, len(lines.points))), sides)


def nodes_of(lines: ZoneLinework) -> NDArray[np.intp]:
    """Points where three or more edges meet."""
    meeting = np.bincount(edges_of(lines).ends.ravel(), minlength=len(lines.points))
    return np.flatnonzero(meeting >= 3)


def with_points(lines: ZoneLinework, new_points: NDArray[np.float64]) -> ZoneLinework:
    """The linework with a corner wherever one of these points lies on an edge.

    Parameters
    ----------
    lines : ZoneLinework
        The linework.
    new_points : ndarray of float, shape (points, 2)
        A point that lies on no edge, or is a corner already, adds nothing. [m]
    """
    first = _edge_rows(lines)
    start, end = lines.points[lines.corners[first]], lines.points[lines.corners[first + 1]]
    tree = shapely.STRtree(shapely.linestrings(np.stack([start, end], axis=1)))
    point, edge = tree.query(shapely.points(new_points), predicate="dwithin", distance=TOUCH_M)
    share, _ = along_segments(new_points[point], start[edge], end[edge])
    length_m = np.hypot(*(end[edge] - start[edge]).T)
    inside = (share * length_m > TOUCH_M) & (share * length_m < length_m - TOUCH_M)
    if not np.any(inside):
        return lines
    point, edge, share = point[inside], edge[inside], share[inside]
    order = np.lexsort((share, edge))
    point, edge = point[order], edge[order]
    at = first[edge] + 1
    return replace(
        lines,
        points=np.vstack([lines.points, new_points]),
        corners=np.insert(lines.corners, at, len(lines.points) + point),
        ring_starts=lines.ring_starts + np.searchsorted(at, lines.ring_starts, side="right"),
    )


def without_point(lines: ZoneLinework, point: int) -> ZoneLinework:
    """The linework with a point taken out of every ring that has it."""
    corners = lines.corners.copy()
    starts, last = lines.ring_starts[:-1], lines.ring_starts[1:] - 1
    opened = corners[starts] == point
    corners[last[opened]] = corners[starts[opened] + 1]
    gone = np.flatnonzero(corners == point)
    return replace(
        lines,
        corners=np.delete(corners, gone),
        ring_starts=lines.ring_starts - np.searchsorted(gone, lines.ring_starts, side="left"),
    )


def with_moved_point(lines: ZoneLinework, point: int, place: NDArray[np.float64]) -> ZoneLinework:
    """The linework with a point at another place; it moves in every zone that has it."""
    points = lines.points.copy()
    points[point] = place
    return replace(lines, points=points)


def zones_at(lines: ZoneLinework, point: int) -> NDArray[np.intp]:
    """The zones that have a point."""
    return np.unique(_zone_of_corners(lines)[lines.corners == point])


def along_segments(
    points: NDArray[np.float64], start: NDArray[np.float64], end: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where each point lies beside its segment.

    Parameters
    ----------
    points : ndarray of float, shape (n, 2)
        Easting and northing. [m]
    start, end : ndarray of float, shape (n, 2)
        Ends of the segment of each point. [m]

    Returns
    -------
    tuple of ndarray of float, shape (n,) and (n, 2)
        Share of the way from start to end, from 0 to 1, of the nearest place on the
        segment; and that place. [m]
    """
    way = end - start
    squared = np.maximum(np.sum(way**2, axis=-1), np.finfo(float).tiny)
    share = np.clip(np.sum((points - start) * way, axis=-1) / squared, 0.0, 1.0)
    return share, start + share[..., np.newaxis] * way


def _edge_rows(lines: ZoneLinework) -> NDArray[np.intp]:
    """Rows of the corners at which an edge begins: all but the last of each ring."""
    begins = np.ones(len(lines.corners), dtype=bool)
    begins[lines.ring_starts[1:] - 1] = False
    return np.flatnonzero(begins)


def _zone_of_corners(lines: ZoneLinework) -> NDArray[np.intp]:
    """The zone of each corner."""
    first = lines.ring_starts[lines.polygon_starts[lines.zone_starts]]
    return np.repeat(np.arange(len(first) - 1), np.diff(first)).astype(np.intp)
