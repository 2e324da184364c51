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
    square_metres = [abs(_ELLIPSOID.geometry_area_perimeter(_oriented(s))[0]) for s in shapes]
    return np.array(square_metres, dtype=float) / SQUARE_METRES_PER_HECTARE


def geodesic_area_ha(
    shapes: Sequence[BaseGeometry] | NDArray[np.object_], crs: str
) -> NDArray[np.float64]:
    """Area of projected shapes on the ellipsoid. [ha]"""
    return lon_lat_area_ha(
        transformed(np.asarray(shapes, dtype=object), from_crs=crs, to_crs=LON_LAT)
    )


def _oriented(shape: BaseGeometry) -> BaseGeometry:
    """The shape with its rings turned so that holes count as negative area."""
    return shapely.orient_polygons(shape, exterior_cw=False)
