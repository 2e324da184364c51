"""What a person draws by hand, drawn to the corners and edges that are there already."""

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.ground.zone_linework import TOUCH_M, ZoneLinework, along_segments, edges_of


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
    edges = edges_of(lines)
    start, end = lines.points[edges.ends[:, 0]], lines.points[edges.ends[:, 1]]
    share, to_edge_m = along_segments(points, start, end)
    rows = np.arange(len(points))
    nearest = np.argmin(to_edge_m, axis=1)
    part = share[rows, nearest][:, np.newaxis]
    on_edge = start[nearest] + part * (end[nearest] - start[nearest])
    moved = np.where((to_edge_m[rows, nearest] <= reach_m)[:, np.newaxis], on_edge, points)
    corner, to_corner_m = nearest_corner(points, lines)
    return np.where((to_corner_m <= reach_m)[:, np.newaxis], lines.points[corner], moved)


def nearest_corner(
    points: NDArray[np.float64], lines: ZoneLinework
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """The nearest corner of a linework to each point, and the distance to it. [m]"""
    tree = shapely.STRtree(shapely.points(lines.points))
    corner = np.asarray(tree.nearest(shapely.points(points)), dtype=np.intp)
    return corner, np.hypot(*(lines.points[corner] - points).T)
