"""Chooses the metric coordinate system of a farm from where it lies.

In Australia that is the Map Grid on GDA2020, elsewhere UTM on WGS 84. The datum is
kept: coordinates labelled WGS 84 are taken as they are, with no shift between frames.
"""

import threading

import numpy as np
import pyproj
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError

LON_LAT = "EPSG:4326"
_AUSTRALIA_LON_LAT = (112.0, -44.0, 154.0, -9.0)


def projected_crs(longitude_degree: float, latitude_degree: float) -> str:
    """The metric coordinate system for a place, as an EPSG code.

    Parameters
    ----------
    longitude_degree, latitude_degree : float
        A point of the farm. [degrees]

    Returns
    -------
    str
        MGA2020 zone in Australia, else the UTM zone, for instance ``"EPSG:7855"``.

    Raises
    ------
    GroundError
        If the point is not on the earth, or too near a pole for UTM.

    Examples
    --------
    >>> projected_crs(149.0, -35.0)
    'EPSG:7855'
    """
    if not (-180 <= longitude_degree <= 180 and -80 <= latitude_degree <= 84):
        raise GroundError(
            f"longitude {longitude_degree:g}, latitude {latitude_degree:g} is no place that can "
            "be mapped here (latitude -80 to 84)",
            mend="Check the order: longitude comes first",
        )
    zone = min(int((longitude_degree + 180.0) // 6.0) + 1, 60)
    west, south, east, north = _AUSTRALIA_LON_LAT
    if west <= longitude_degree <= east and south <= latitude_degree <= north:
        return f"EPSG:{7800 + zone}"
    return f"EPSG:{(32700 if latitude_degree < 0 else 32600) + zone}"


def crs_in_words(crs: str) -> str:
    """A coordinate system as people speak of it, with its EPSG code.

    Examples
    --------
    >>> crs_in_words("EPSG:7855")
    'Map Grid of Australia 2020, zone 55, in metres (EPSG:7855)'
    >>> crs_in_words("EPSG:32633")
    'WGS 84 / UTM zone 33N, in metres (EPSG:32633)'
    """
    code = int(crs.removeprefix("EPSG:")) if crs.removeprefix("EPSG:").isdigit() else 0
    if code - 7800 in range(46, 60):
        return f"Map Grid of Australia 2020, zone {code - 7800}, in metres ({crs})"
    return f"{pyproj.CRS.from_user_input(crs).name}, in metres ({crs})"


class _ThreadsOwn(threading.local):
    """Transformers of one thread; pyproj's must not be used in another than their own."""

    def __init__(self) -> None:
        self.transformers: dict[tuple[str, str], pyproj.Transformer] = {}


_THREADS_OWN = _ThreadsOwn()


def _transformer(from_crs: str, to_crs: str) -> pyproj.Transformer:
    """The transformer between two systems, made once in each thread."""
    known = _THREADS_OWN.transformers
    if (from_crs, to_crs) not in known:
        known[from_crs, to_crs] = pyproj.Transformer.from_crs(from_crs, to_crs, always_xy=True)
    return known[from_crs, to_crs]


def transformed_xy(
    x: NDArray[np.float64], y: NDArray[np.float64], *, from_crs: str, to_crs: str
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Columns of points in another coordinate system; infinite where it cannot hold them."""
    there = _transformer(from_crs, to_crs).transform(x, y)
    return np.asarray(there[0]), np.asarray(there[1])


def transformed(shapes: NDArray[np.object_], *, from_crs: str, to_crs: str) -> NDArray[np.object_]:
    """Shapes in another coordinate system, easting (longitude) first.

    Raises
    ------
    GroundError
        If a coordinate cannot be turned into the other system.
    """

    def turn(coordinates: NDArray[np.float64]) -> NDArray[np.float64]:
        x, y = transformed_xy(*coordinates.T, from_crs=from_crs, to_crs=to_crs)
        if not (np.all(np.isfinite(x)) and np.all(np.isfinite(y))):
            raise GroundError(
                f"a coordinate lies outside what {to_crs} can hold",
                mend="Check the coordinate system that the file declares",
            )
        return np.column_stack([x, y])

    return np.asarray(shapely.transform(np.asarray(shapes, dtype=object), turn), dtype=object)
