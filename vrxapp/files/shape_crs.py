"""Where on the earth the numbers of a file lie: the coordinate system it names, or names not."""

import numpy as np
import pyproj
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError, Note
from vrxapp.files.geojson_crs import DeclaredCrs, declared_crs
from vrxapp.ground.projected_crs import LON_LAT, transformed

_EXPORT = "Export it again in longitude and latitude (WGS 84)"
_SAY_WHICH = "say which it is (in the window: Coordinate system; on the command line: --crs)"
_AUSTRALIA_ZONES = range(49, 57)
_GRID_EAST_M, _GRID_NORTH_M = (100_000.0, 900_000.0), (1_000_000.0, 9_400_000.0)
_AUSTRALIA = (112.0, -44.0, 154.0, -9.0)


def told_crs(text: str) -> str:
    """A coordinate system as people call it, for instance ``GDA2020 (EPSG:7844)``.

    Examples
    --------
    >>> told_crs("EPSG:4326")
    'WGS 84 (EPSG:4326)'
    >>> told_crs("")
    ''
    """
    if not text:
        return ""
    try:
        crs = pyproj.CRS.from_user_input(text)
    except pyproj.exceptions.CRSError:
        return text[:80]
    code = crs.to_epsg()
    return f"{crs.name} (EPSG:{code})" if code else str(crs.name)


def crs_from_text(text: str) -> DeclaredCrs | None:
    """The coordinate system that a code or WKT stands for; None for plain WGS 84.

    Parameters
    ----------
    text : str
        As GDAL tells it: ``EPSG:7855``, or WKT.

    Raises
    ------
    GroundError
        If it is not known, or no system for a map.
    """
    try:
        crs = pyproj.CRS.from_user_input(text).to_2d()
    except pyproj.exceptions.CRSError as error:
        raise _unknown(text) from error
    if crs.is_compound:  # ground and height together; only the ground counts here
        crs = crs.sub_crs_list[0].to_2d()
    code = crs.to_epsg()
    if code is not None:
        return _by_code(code)
    base = crs.geodetic_crs.to_epsg() if crs.geodetic_crs is not None else None
    if base is None or not (crs.is_projected or crs.is_geographic):
        raise _unknown(str(crs.name))
    of_base = _by_code(base)  # the datum's own rule holds for every grid on it
    lon_lat = of_base.lon_lat if of_base is not None else LON_LAT
    return DeclaredCrs(crs.to_wkt(), str(crs.name), lon_lat, bool(crs.is_projected))


def lon_lat_shapes(
    shapes: NDArray[np.object_], crs: str, *, points: NDArray[np.float64], file: str
) -> tuple[NDArray[np.object_], tuple[Note, ...]]:
    """Shapes in longitude and latitude, with a note of what was done or assumed.

    Parameters
    ----------
    shapes : ndarray of shapely geometry
        Two-dimensional, finite, in the numbers of the file.
    crs : str
        What the file says of its coordinate system; empty for nothing.
    points : ndarray of float
        Every corner of the shapes, in rows of two.
    file : str
        Name of the file, for messages.

    Returns
    -------
    tuple
        The shapes in degrees, WGS 84, and the notes.

    Raises
    ------
    GroundError
        If the numbers do not fit the system, or are no degrees and no system is named.
    """
    if not crs:
        _refuse_unnamed_grid(points, file)
        _refuse_no_degrees(points, file, mend=f"{_EXPORT}, or {_SAY_WHICH}")
        return shapes, (_assumed_note(file),)
    named = _placed_crs(crs, file)
    if named is None:
        _refuse_no_degrees(points, file)
        return shapes, ()
    if named.is_projected:
        _refuse_degrees(points, named, file)
    else:
        _refuse_no_degrees(points, file)
    try:
        moved = transformed(shapes, from_crs=named.code, to_crs=named.lon_lat)
    except GroundError as error:
        raise GroundError(error.note.message, mend=error.note.mend, file=file) from error
    _refuse_no_degrees(shapely.get_coordinates(moved), file)
    return moved, (_turned_note(named, file),)


def _by_code(code: int) -> DeclaredCrs | None:
    return declared_crs({"crs": {"properties": {"name": f"EPSG:{code}"}}})


def _placed_crs(text: str, file: str) -> DeclaredCrs | None:
    """The system that a file names, or an error that names the file."""
    try:
        return crs_from_text(text)
    except GroundError as error:
        raise GroundError(
            "the coordinate system that it names is not known here",
            mend=_EXPORT,
            file=file,
            value=error.note.value,
        ) from error


def _unknown(text: str) -> GroundError:
    return GroundError(
        "the coordinate system is not known here", mend=_EXPORT, value=text.strip()[:80]
    )


def _turned_note(named: DeclaredCrs, file: str) -> Note:
    called = f"{named.code} ({named.name})" if named.code.startswith("EPSG") else named.name
    return Note(f"its coordinates were turned from {called} into longitude and latitude", file=file)


def _assumed_note(file: str) -> Note:
    return Note(
        "it names no coordinate system; its numbers were taken as longitude and latitude (WGS 84)",
        mend="Look at the map: on an older datum it lies up to 2 m off, or more",
        file=file,
    )


def _refuse_unnamed_grid(points: NDArray[np.float64], file: str) -> None:
    """Refuse metres of which nobody says the zone, and name the zones they could be in."""
    x, y = points[:, 0], points[:, 1]
    is_grid = (
        np.all((x >= _GRID_EAST_M[0]) & (x <= _GRID_EAST_M[1]))
        and np.all((y >= _GRID_NORTH_M[0]) & (y <= _GRID_NORTH_M[1]))
        and len(points)
    )
    if not is_grid:
        return
    zones = _likely_zones(points[0])
    told = f"MGA zone {', '.join(map(str, zones))}" if zones else "a UTM zone"
    codes = f" (GDA2020: EPSG:{7800 + zones[0]} to {7800 + zones[-1]})" if zones else ""
    raise GroundError(
        f"it names no coordinate system, and its numbers are metres of a map grid: {told}{codes}, "
        "and the numbers do not say which",
        mend=f"Ask for the .prj file that belongs to it, or {_SAY_WHICH}",
        file=file,
        value=_told(points[0]),
    )


def _likely_zones(point: NDArray[np.float64]) -> tuple[int, ...]:
    """The map-grid zones in which a point would lie in Australia."""
    west, south, east, north = _AUSTRALIA
    shape = np.array([shapely.Point(point)], dtype=object)
    zones = []
    for zone in _AUSTRALIA_ZONES:
        place = transformed(shape, from_crs=f"EPSG:{7800 + zone}", to_crs=LON_LAT)[0]
        if west <= place.x <= east and south <= place.y <= north:
            zones.append(zone)
    return tuple(zones)


def _refuse_degrees(points: NDArray[np.float64], named: DeclaredCrs, file: str) -> None:
    """Refuse degrees that are declared as metres."""
    looks = np.all(np.abs(points) <= [180.0, 90.0], axis=1)
    if np.any(looks):
        raise GroundError(
            f"it says that its coordinates are {named.name}, but they look like degrees",
            mend=_EXPORT,
            file=file,
            value=_told(points[int(np.argmax(looks))]),
        )


def _refuse_no_degrees(points: NDArray[np.float64], file: str, mend: str = _EXPORT) -> None:
    """Refuse what is no longitude and latitude, and say what it looks like instead."""
    if not len(points):
        return
    # Column by column: along the first axis of two columns the same takes eleven times as long.
    east, north = points[:, 0], points[:, 1]
    if max(-east.min(), east.max()) <= 180 and max(-north.min(), north.max()) <= 90:
        return
    x, y = np.abs(east), np.abs(north)
    wrong = (x > 180) | (y > 90)
    value = _told(points[int(np.argmax(wrong))])
    if np.all((x <= 90) & (y <= 180)):
        raise GroundError(
            "longitude and latitude look swapped",
            mend="Export it again with longitude first",
            file=file,
            value=value,
        )
    raise GroundError(
        "its coordinates are no longitude and latitude", mend=mend, file=file, value=value
    )


def _told(point: NDArray[np.float64]) -> str:
    return f"{point[0]:.10g}, {point[1]:.10g}"
