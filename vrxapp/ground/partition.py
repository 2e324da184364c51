"""Cuts ground along every line at once, so that no two neighbours disagree on an edge.

Zones, exclusions and strips are noded together into one linework. Each face belongs
whole to at most one shape of a layer; no gap or overlap can arise between faces.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

GRID_M = 0.001
"""Coordinates are snapped to this grid while noding. [m]"""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Partition:
    """Faces of a noded linework, with the shape of each layer that they lie in.

    Parameters
    ----------
    faces : ndarray of shapely Polygon
        Faces without overlap; only those inside some shape of some layer. [m]
    members : tuple of ndarray of int
        One column a layer: row of the first shape that holds the face, -1 for none.
    crowded : tuple of ndarray of bool
        One column a layer: whether a second shape of that layer holds the face too.
    """

    faces: NDArray[np.object_]
    members: tuple[NDArray[np.intp], ...]
    crowded: tuple[NDArray[np.bool_], ...]


def partition(*layers: NDArray[np.object_]) -> Partition:
    """Cut the ground along the outlines of all shapes of all layers.

    Parameters
    ----------
    *layers : ndarray of shapely geometry
        Polygons in the same projected coordinates; a layer may be empty. [m]
    """
    outlines = shapely.boundary(np.concatenate([np.asarray(x, dtype=object) for x in layers]))
    noded = shapely.union_all(outlines, grid_size=GRID_M)
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    points = shapely.point_on_surface(faces)
    found = [_first_member(points, layer) for layer in layers]
    kept = np.zeros(len(faces), dtype=bool)
    for member, _ in found:
        kept |= member >= 0
    return Partition(
        faces[kept],
        tuple(member[kept] for member, _ in found),
        tuple(crowded[kept] for _, crowded in found),
    )


def _first_member(
    points: NDArray[np.object_], layer: NDArray[np.object_]
) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """The lowest row of a layer that holds each point, and whether another does too."""
    member = np.full(len(points), -1, dtype=np.intp)
    if len(layer) == 0:
        return member, np.zeros(len(points), dtype=bool)
    point_rows, shape_rows = shapely.STRtree(layer).query(points, predicate="within")
    held = np.bincount(point_rows, minlength=len(points))
    order = np.argsort(-shape_rows, kind="stable")
    member[point_rows[order]] = shape_rows[order]
    return member, held > 1


def on_grid(shapes: NDArray[np.object_]) -> NDArray[np.object_]:
    """Shapes with each corner on the grid that `partition` snaps to. [m]"""
    per_m = round(1.0 / GRID_M)
    return np.asarray(shapely.transform(shapes, lambda xy: np.floor(xy * per_m + 0.5) / per_m))
