"""Places told in degrees, as the verbs of `vrxapp ground` take and print them."""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import MissingInputError
from vrxapp.ground.projected_crs import LON_LAT, transformed


def to_ground(shape: BaseGeometry, crs: str) -> BaseGeometry:
    """A shape in longitude and latitude as one in the paddock's coordinates."""
    column = np.array([shape], dtype=object)
    there: BaseGeometry = transformed(column, from_crs=LON_LAT, to_crs=crs)[0]
    return there


def lon_lat_points(text: str, *, least: int) -> list[tuple[float, float]]:
    """Points out of LON,LAT;LON,LAT.

    Raises
    ------
    MissingInputError
        If there are fewer than needed, or one is no place.
    """
    try:
        points = [(float(lon), float(lat)) for lon, lat in (p.split(",") for p in text.split(";"))]
    except ValueError:
        points = []
    if len(points) < least or any(not is_place(*point) for point in points):
        raise MissingInputError(
            f"cannot read {text!r} as {least} or more places"
            if least > 1
            else f"no place: {text!r}",
            mend='Write each as LON,LAT in degrees, longitude first, with ";" between them',
        )
    return points


def is_place(longitude: float, latitude: float) -> bool:
    """Whether two numbers can be a longitude and a latitude."""
    return bool(-180.0 <= longitude <= 180.0 and -90.0 <= latitude <= 90.0)


def lon_lat_of(easting_m: float, northing_m: float, crs: str) -> tuple[float, float]:
    """Longitude and latitude of a place in the paddock's coordinates. [degrees]"""
    column = np.array([shapely.Point(easting_m, northing_m)], dtype=object)
    point = transformed(column, from_crs=crs, to_crs=LON_LAT)[0]
    return float(point.x), float(point.y)
