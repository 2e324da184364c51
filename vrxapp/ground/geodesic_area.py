"""The one place where hectares come from: areas on the ellipsoid, never on the grid.

A grid area is off by up to 0.13 % near the edge of a map-grid zone.
"""

from collections.abc import Sequence

import numpy as np
import pyproj
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.units import SQUARE_METRES_PER_HECTARE

KnownAreas = tuple[NDArray[np.object_], NDArray[np.float64], str]
"""Shapes, kept so that none is mistaken for another, their hectares, and their CRS."""

_ELLIPSOID = pyproj.Geod(ellps="GRS80")


def lon_lat_area_ha(shapes: Sequence[BaseGeometry] | NDArray[np.object_]) -> NDArray[np.float64]:
    """Area of shapes given in longitude and latitude, holes taken off. [ha]

    Examples
    --------
    >>> from shapely import box
    >>> lon_lat_area_ha([box(149.0, -35.0, 149.01, -34.99)]).round(4)
    array([101.2817])
    """
    turned = shapely.orient_polygons(np.asarray(shapes, dtype=object), exterior_cw=False)
    parts, shape = shapely.get_parts(turned, return_index=True)
    rings, part = shapely.get_rings(parts, return_index=True)
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    ends = np.searchsorted(ring, np.arange(1, len(rings)))
    signed_m2 = [  # a hole turns the other way, so its area is negative
        _ELLIPSOID.polygon_area_perimeter(lon, lat)[0]
        for lon, lat in zip(
            np.split(corners[:, 0], ends), np.split(corners[:, 1], ends), strict=True
        )
    ]
    square_metres = np.bincount(shape[part], weights=signed_m2, minlength=len(turned))
    return np.asarray(np.abs(square_metres) / SQUARE_METRES_PER_HECTARE)


def geodesic_area_ha(
    shapes: Sequence[BaseGeometry] | NDArray[np.object_], crs: str
) -> NDArray[np.float64]:
    """Area of projected shapes on the ellipsoid. [ha]"""
    return lon_lat_area_ha(
        transformed(np.asarray(shapes, dtype=object), from_crs=crs, to_crs=LON_LAT)
    )


def areas_ha_beside(shapes: NDArray[np.object_], crs: str, *, before: KnownAreas) -> KnownAreas:
    """Areas of shapes of which most were there before: only those of new objects are worked out.

    Parameters
    ----------
    shapes : ndarray of shapely geometry
        Projected shapes. [m]
    crs : str
        Their coordinate system.
    before : tuple
        What this function gave for the shapes before.

    Returns
    -------
    tuple of ndarray, ndarray and str
        The shapes, their areas on the ellipsoid, and the coordinate system. [ha]
    """
    old = {id(shape): area for shape, area in zip(before[0], before[1], strict=True)}
    known = old if before[2] == crs else {}
    area_ha = np.array([known.get(id(shape), np.nan) for shape in shapes], dtype=float)
    is_new = np.isnan(area_ha)
    if np.any(is_new):
        area_ha[is_new] = geodesic_area_ha(shapes[is_new], crs)
    return shapes, area_ha, crs
