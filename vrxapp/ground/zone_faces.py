"""Zones cut into faces along a line, and faces joined to zones again."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import GroundError
from vrxapp.ground.zone_linework import OUTSIDE, edges_of, linework

SLIVER_AREA_M2 = 1.0
SLIVER_WIDTH_M = 0.05
"""Ground under this area or width comes from digitising, not from a plan. [m², m]"""

NOBODY = -1
"""Stands for ground that waits for an owner."""

_LARGEST_LOSS_M2 = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Faces:
    """Ground cut along lines.

    Parameters
    ----------
    shapes : ndarray of shapely Polygon
        Faces without gap or overlap, with the same corners where they meet. [m]
    owners : ndarray of int
        Row of the zone that each was cut from.
    """

    shapes: NDArray[np.object_]
    owners: NDArray[np.intp]


def cut_faces(shapes: NDArray[np.object_], line: BaseGeometry) -> Faces:
    """Zones cut along a line; what the line encloses outside them is left away.

    Coordinates are not rounded to a grid: a corner that was there stays where it was, so
    that neighbours, which are not cut, still fit.

    Parameters
    ----------
    shapes : ndarray of shapely geometry
        Zones with the same corners where they meet. [m]
    line : shapely LineString or LinearRing
        Where to cut. [m]

    Raises
    ------
    GroundError
        If ground is lost by the cut, because lines nearly coincide.
    """
    outlines = shapely.boundary(shapes)
    noded = shapely.union_all(np.array([*outlines, line], dtype=object))
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    points = shapely.point_on_surface(faces)
    face, zone = shapely.STRtree(shapes).query(points, predicate="within")
    owners = np.full(len(faces), NOBODY, dtype=np.intp)
    owners[face] = zone
    kept = owners != NOBODY
    lost_m2 = abs(np.sum(shapely.area(shapes)) - np.sum(shapely.area(faces[kept])))
    if lost_m2 > _LARGEST_LOSS_M2:
        raise GroundError(
            "the line runs so close to another that the ground cannot be cut along it",
            mend="Move it away a little, or snap it to the other line",
        )
    return Faces(faces[kept], owners[kept])


def joined_faces(faces: NDArray[np.object_]) -> BaseGeometry:
    """Faces with the same corners where they meet, as one shape."""
    joined = shapely.coverage_union_all(faces)
    parts = shapely.get_parts(joined)
    return parts[0] if len(parts) == 1 else shapely.multipolygons(parts)


def is_thin(shapes: NDArray[np.object_], *, width_m: float = SLIVER_WIDTH_M) -> NDArray[np.bool_]:
    """Whether shapes are too small or too narrow to be meant.

    Parameters
    ----------
    shapes : ndarray of shapely Polygon
        Ground. [m]
    width_m : float, optional
        Narrower than this is thin; never less than `SLIVER_WIDTH_M`. [m]

    Examples
    --------
    >>> is_thin(np.array([shapely.box(0, 0, 100, 0.04), shapely.box(0, 0, 2, 2)])).tolist()
    [True, False]
    """
    area_m2 = shapely.area(shapes)
    mean_width_m = 2.0 * area_m2 / np.maximum(shapely.length(shapes), 1e-9)
    is_narrow = mean_width_m < max(width_m, SLIVER_WIDTH_M)
    return np.asarray((area_m2 < SLIVER_AREA_M2) | is_narrow)


def shared_edges(
    faces: NDArray[np.object_], asked: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.float64]]:
    """Which faces lie beside each other, and how much edge they share.

    Parameters
    ----------
    faces : ndarray of shapely Polygon
        Faces without gap or overlap, with the same corners where they meet. [m]
    asked : ndarray of int
        Rows of the faces whose neighbours are wanted.

    Returns
    -------
    tuple of ndarray
        Row of an asked face, row of a face beside it, and the length of their edge, one for
        each such pair, in the order of rows. [m]

    Examples
    --------
    >>> faces = np.array([shapely.box(0, 0, 2, 3), shapely.box(2, 0, 4, 3)], dtype=object)
    >>> [part.tolist() for part in shared_edges(faces, np.array([1]))]
    [[1], [0], [3.0]]
    """
    lines = linework(faces)
    edges = edges_of(lines)
    sides, ends = edges.sides, lines.points[edges.ends]
    inner = np.all(sides != OUTSIDE, axis=1)
    sides, ends = sides[inner], ends[inner]
    length_m = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    both = np.concatenate([sides, sides[:, ::-1]])
    is_asked = np.isin(both[:, 0], asked)
    keys, pair = np.unique(both[is_asked, 0] * len(faces) + both[is_asked, 1], return_inverse=True)
    shared_m = np.bincount(
        pair, weights=np.tile(length_m, 2)[is_asked], minlength=len(keys)
    ).astype(float)
    own, other = np.divmod(keys, len(faces))
    return own, other, shared_m


def given_to_neighbours(faces: Faces, owners: NDArray[np.intp]) -> NDArray[np.intp]:
    """Owners with each face of `NOBODY` given to the neighbour of the longest shared edge.

    Parameters
    ----------
    faces : Faces
        All faces.
    owners : ndarray of int
        Owner of each face, `NOBODY` for those to be given away.

    Returns
    -------
    ndarray of int
        A face without any neighbour stays with the zone that it was cut from.
    """
    owners = owners.copy()
    waiting = np.flatnonzero(owners == NOBODY)
    if waiting.size == 0:
        return owners
    own, other, shared_m = shared_edges(faces.shapes, waiting)
    while True:
        ready = (owners[own] == NOBODY) & (owners[other] != NOBODY)
        if not np.any(ready):
            break
        best = np.flatnonzero(ready)[np.argsort(shared_m[ready], kind="stable")]
        owners[own[best]] = owners[other[best]]
    return np.where(owners == NOBODY, faces.owners, owners)
