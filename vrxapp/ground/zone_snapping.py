"""What a person draws by hand, drawn to the corners and edges that are there already."""

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.ground.zone_linework import (
    TOUCH_M,
    Edges,
    ZoneLinework,
    along_segments,
    edges_of,
)


def snapped(
    points: NDArray[np.float64], lines: ZoneLinework, *, snap_m: float
) -> NDArray[np.float64]:
    """Points moved onto the nearest corner, else the nearest edge, within a distance.

    Parameters
    ----------
    points : ndarray of float, shape (points, 2)
        What was drawn. [m]
    lines : ZoneLinework
        Zones to draw to; their outermost edges are the paddock's boundary.
    snap_m : float
        How far a point may be moved, zero or more. [m]

    Returns
    -------
    ndarray of float, shape (points, 2)
        A corner goes before an edge. Points farther off stay where they are. [m]
    """
    reach_m = max(snap_m, TOUCH_M)
    moved = points.copy()
    point, place = nearest_on_edges(points, lines, edges_of(lines), reach_m=reach_m)[1:]
    moved[point] = place
    corner, to_corner_m = nearest_corner(points, lines)
    return np.where((to_corner_m <= reach_m)[:, np.newaxis], lines.points[corner], moved)


def nearest_on_edges(
    points: NDArray[np.float64], lines: ZoneLinework, edges: Edges, *, reach_m: float
) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.float64]]:
    """The nearest edge of each point that has one within reach.

    Parameters
    ----------
    points : ndarray of float, shape (points, 2)
        Easting and northing. [m]
    lines : ZoneLinework
        The linework.
    edges : Edges
        Edges of it; all, or some.
    reach_m : float
        How far an edge may be; infinite for any distance. [m]

    Returns
    -------
    tuple of ndarray
        Row of the edge; row of the point, each at most once; nearest place on the edge. [m]
    """
    start, end = lines.points[edges.ends[:, 0]], lines.points[edges.ends[:, 1]]
    tree = shapely.STRtree(shapely.linestrings(np.stack([start, end], axis=1)))
    far = None if np.isinf(reach_m) else reach_m
    point, edge = tree.query_nearest(shapely.points(points), max_distance=far, all_matches=False)
    _, place = along_segments(points[point], start[edge], end[edge])
    return edge, point, place


def nearest_corner(
    points: NDArray[np.float64], lines: ZoneLinework
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """The nearest corner of a linework to each point, and the distance to it. [m]"""
    tree = shapely.STRtree(shapely.points(lines.points))
    corner = np.asarray(tree.nearest(shapely.points(points)), dtype=np.intp)
    return corner, np.hypot(*(lines.points[corner] - points).T)
