"""Gates, powerlines and other ground points as GPX for a phone and as GeoJSON for a map."""

import json
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import ReadBackError
from vrxapp.files.geojson import read_geojson
from vrxapp.files.gpx import Waypoints, write_gpx
from vrxapp.files.write_aside import new_file
from vrxapp.ground.features import texts
from vrxapp.ground.ground_points import GroundPoint
from vrxapp.ground.projected_crs import LON_LAT, transformed_xy

_DECIMALS = 8
"""Of a degree: a millimetre."""


def write_ground_points_gpx(
    points: tuple[GroundPoint, ...], path: Path, *, crs: str, title: str
) -> None:
    """Write points as waypoints, and read them back.

    Parameters
    ----------
    points : tuple of GroundPoint
        At least one.
    path : Path
        File to write; an older one is replaced.
    crs : str
        Coordinate system of the points.
    title : str
        Name of the file's content.

    Raises
    ------
    ReadBackError
        If what was written is not what was to be; then nothing is put in place.
    WriteError
        If it cannot be written.
    """
    longitude, latitude = _lon_lat(points, crs)
    waypoints = Waypoints(
        names=tuple(p.name for p in points),
        kinds=tuple(str(p.kind) for p in points),
        notes=tuple(p.note for p in points),
        longitude_degree=longitude,
        latitude_degree=latitude,
        on_route=np.zeros(len(points), dtype=bool),
    )
    write_gpx(waypoints, path, title=title)


def write_ground_points_geojson(points: tuple[GroundPoint, ...], path: Path, *, crs: str) -> None:
    """Write points with name, kind and note, and read them back.

    Parameters
    ----------
    points : tuple of GroundPoint
        At least one.
    path : Path
        File to write; an older one is replaced.
    crs : str
        Coordinate system of the points.

    Raises
    ------
    ReadBackError
        If what was written is not what was to be; then nothing is put in place.
    WriteError
        If it cannot be written.
    """
    longitude, latitude = _lon_lat(points, crs)
    features = [
        {
            "type": "Feature",
            "geometry": {
                "type": "Point",
                "coordinates": [round(float(x), _DECIMALS), round(float(y), _DECIMALS)],
            },
            "properties": {"name": p.name, "kind": str(p.kind), "note": p.note},
        }
        for p, x, y in zip(points, longitude, latitude, strict=True)
    ]
    text = json.dumps(
        {"type": "FeatureCollection", "features": features}, ensure_ascii=False, indent=1
    )
    with new_file(path) as aside:
        aside.write_text(text, encoding="utf-8")
        _check(points, np.column_stack([longitude, latitude]), aside, file=path.name)


def _lon_lat(
    points: tuple[GroundPoint, ...], crs: str
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where the points lie, in degrees."""
    return transformed_xy(
        np.array([p.easting_m for p in points], dtype=float),
        np.array([p.northing_m for p in points], dtype=float),
        from_crs=crs,
        to_crs=LON_LAT,
    )


def _check(
    points: tuple[GroundPoint, ...], wanted: NDArray[np.float64], aside: Path, *, file: str
) -> None:
    """Refuse a file that, read back, differs in a place, a name or a kind."""
    read = read_geojson(aside)
    found = shapely.get_coordinates(read.shapes)
    same = wanted.shape == found.shape and bool(
        np.all(np.abs(wanted - found) <= 0.5001 * 10.0**-_DECIMALS)
    )
    told = list(zip(texts(read, "name"), texts(read, "kind"), strict=True))
    if not same or told != [(p.name.strip(), str(p.kind)) for p in points]:
        raise ReadBackError(
            "the points in the written file are not those of the farm",
            mend="Nothing was put in place. Write it again; if it happens again, report it",
            file=file,
        )
