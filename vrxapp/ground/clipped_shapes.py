"""Shapes clipped by a boundary: those wholly inside are taken as they are."""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

_POLYGON, _MULTIPOLYGON = 3, 6


def clipped(shapes: NDArray[np.object_], boundary: BaseGeometry) -> NDArray[np.object_]:
    """The part of each shape that lies in the boundary; empty where there is none.

    Shapes wholly inside are taken as they are, which is most of them and nearly free.

    Parameters
    ----------
    shapes : ndarray of shapely geometry
        Polygons. [m]
    boundary : shapely geometry
        Polygon or MultiPolygon. [m]
    """
    shapely.prepare(boundary)
    cut = np.array(shapes, dtype=object)
    crossing = ~shapely.contains_properly(boundary, cut)
    touching = crossing.copy()
    touching[crossing] = shapely.intersects(boundary, cut[crossing])
    cut[crossing & ~touching] = shapely.Polygon()
    parts = shapely.intersection(cut[touching], boundary)
    # where a shape only touches the boundary, points and lines come along
    mixed = ~np.isin(shapely.get_type_id(parts), (_POLYGON, _MULTIPOLYGON))
    parts[mixed] = [_polygons_in(part) for part in parts[mixed]]
    cut[touching] = parts
    return cut


def _polygons_in(shape: BaseGeometry) -> BaseGeometry:
    """The polygons among the pieces of a shape, as one."""
    pieces = shapely.get_parts(shapely.get_parts(shape))
    flat = pieces[shapely.get_dimensions(pieces) == 2]
    return plain(shapely.multipolygons(flat)) if len(flat) else shapely.Polygon()


def plain(shape: BaseGeometry) -> BaseGeometry:
    """A Polygon where one is enough."""
    parts = shapely.get_parts(shape)
    return parts[0] if len(parts) == 1 else shape
