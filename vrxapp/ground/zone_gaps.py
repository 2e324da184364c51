"""Narrow gaps between zones: cut across at every corner, and given to the zones beside them."""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from vrxapp.ground.partition import GRID_M
from vrxapp.ground.zone_faces import (
    NOBODY,
    Faces,
    given_to_neighbours,
    joined_faces,
    shared_edges,
)
from vrxapp.ground.zone_linework import along_segments


def cuts_across(
    shapes: NDArray[np.object_], boundary: BaseGeometry, *, longest_m: float
) -> NDArray[np.object_]:
    """Short lines across gaps, from each corner to the nearest edge of each neighbour.

    A gap may run past many zones, even all round the paddock. Given away as one piece it
    would stretch a zone along all the others; cut at every corner, each bit can go to a
    zone that it really lies beside.

    Parameters
    ----------
    shapes : ndarray of shapely geometry
        Zones. [m]
    boundary : shapely geometry
        The paddock. [m]
    longest_m : float
        Longest line. [m]

    Returns
    -------
    ndarray of shapely LineString
        Each reaches a little beyond the edge, so that it surely meets it. [m]
    """
    outlines = np.array([boundary, *shapes], dtype=object)
    corners, owner = shapely.get_coordinates(outlines, return_index=True)
    start, end, edge_owner = _segments(outlines)
    tree = shapely.STRtree(shapely.linestrings(np.stack([start, end], axis=1)))
    corner, edge = tree.query(shapely.points(corners), predicate="dwithin", distance=longest_m)
    other = owner[corner] != edge_owner[edge]
    corner, edge = corner[other], edge[other]
    _, place = along_segments(corners[corner], start[edge], end[edge])
    way = place - corners[corner]
    length_m = np.hypot(*way.T)
    order = np.lexsort((length_m, edge_owner[edge], corner))
    _, first = np.unique(
        np.column_stack([corner, edge_owner[edge]])[order], axis=0, return_index=True
    )
    nearest = order[first]
    nearest = nearest[length_m[nearest] > 2.0 * GRID_M]
    middle = shapely.points((corners[corner] + place)[nearest] / 2.0)
    in_gap = shapely.contains_properly(boundary, middle)
    in_gap[shapely.STRtree(shapes).query(middle, predicate="intersects")[0]] = False
    nearest = nearest[in_gap]
    beyond = place[nearest] + 2.0 * GRID_M * way[nearest] / length_m[nearest, np.newaxis]
    return np.asarray(shapely.linestrings(np.stack([corners[corner[nearest]], beyond], axis=1)))


def gap_regions(
    faces: NDArray[np.object_], owners: NDArray[np.intp]
) -> tuple[NDArray[np.object_], NDArray[np.intp]]:
    """Gaps as a whole, and the gap that each face of `NOBODY` belongs to.

    Parameters
    ----------
    faces : ndarray of shapely Polygon
        Ground without gap or overlap. [m]
    owners : ndarray of int
        Owner of each face, `NOBODY` for a gap.

    Returns
    -------
    tuple of ndarray
        Whole gaps; the row of its gap for each face, `NOBODY` for a face that has an owner. [m]
    """
    gap = np.full(len(faces), NOBODY, dtype=np.intp)
    in_gap = np.flatnonzero(owners == NOBODY)
    if in_gap.size == 0:
        return np.array([], dtype=object), gap
    regions = shapely.get_parts(joined_faces(faces[in_gap]))
    points = shapely.point_on_surface(faces[in_gap])
    face, region = shapely.STRtree(regions).query(points, predicate="within")
    gap[in_gap[face]] = region
    return regions, gap


def given_to_sides(
    faces: Faces, owners: NDArray[np.intp], gap: NDArray[np.intp]
) -> NDArray[np.intp]:
    """Owners with the faces of gaps given to zones beside them.

    Of several zones beside a face, the one with the most edge along the whole gap gets it:
    so one zone grows right up to the other's old outline, and the new line between them
    does not change sides at every corner.

    Parameters
    ----------
    faces : Faces
        All faces.
    owners : ndarray of int
        Owner of each face, `NOBODY` for those to be given away.
    gap : ndarray of int
        The gap that each face belongs to, see `gap_regions`.
    """
    waiting = np.flatnonzero(owners == NOBODY)
    if waiting.size == 0:
        return owners
    own, other, shared_m = shared_edges(faces.shapes, waiting)
    beside = owners[other]
    fits = beside != NOBODY
    own, beside, shared_m = own[fits], beside[fits], shared_m[fits]
    if own.size == 0:
        return given_to_neighbours(faces, owners)
    keys, pair = np.unique(gap[own] * (int(np.max(owners)) + 1) + beside, return_inverse=True)
    along_m = np.bincount(pair, weights=shared_m, minlength=len(keys))[pair]
    # the longest is written last; of equals the same zone everywhere
    order = np.lexsort((beside, np.round(along_m, 6)))
    given = owners.copy()
    given[own[order]] = beside[order]
    return given_to_neighbours(faces, given)


def _segments(
    outlines: NDArray[np.object_],
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.intp]]:
    """Starts and ends of all edges of shapes, and the row of the shape of each. [m]"""
    parts, shape = shapely.get_parts(outlines, return_index=True)
    rings, part = shapely.get_rings(parts, return_index=True)
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    goes_on = ring[1:] == ring[:-1]
    return corners[:-1][goes_on], corners[1:][goes_on], shape[part[ring[:-1][goes_on]]]
