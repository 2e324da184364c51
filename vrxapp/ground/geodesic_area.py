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
