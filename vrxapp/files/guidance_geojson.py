"""Guidance lines as GeoJSON, for the map of whoever drives along them."""

import json
import math
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import ReadBackError
from vrxapp.files.geojson import read_geojson
from vrxapp.files.write_aside import new_file
from vrxapp.ground.features import numbers, texts
from vrxapp.ground.guidance import GuidanceLine
from vrxapp.ground.projected_crs import LON_LAT, transformed

_DECIMALS = 8
"""Of a degree: a millimetre."""


def write_guidance_geojson(lines: tuple[GuidanceLine, ...], path: Path, *, crs: str) -> None:
    """Write lines with name, machine, swath and wheel track, and read them back.

    `vrxapp.workflows.guidance_files` reads them with the same fields.

    Parameters
    ----------
    lines : tuple of GuidanceLine
        At least one.
    path : Path
        File to write; an older one is replaced.
    crs : str
        Coordinate system of the lines.

    Raises
    ------
    ReadBackError
        If what was written is not what was to be; then nothing is put in place.
    WriteError
        If it cannot be written.
    """
    shapes = np.array([line.line for line in lines], dtype=object)
    placed = transformed(shapely.force_2d(shapes), from_crs=crs, to_crs=LON_LAT)
    features = [
        {
            "type": "Feature",
            "geometry": {
                "type": "LineString",
                "coordinates": np.round(shapely.get_coordinates(shape), _DECIMALS).tolist(),
            },
            "properties": {
                "name": line.name,
                "machine": line.machine,
                "swath_m": _known(line.swath_m),
                "wheel_track_m": _known(line.wheel_track_m),
            },
        }
        for line, shape in zip(lines, placed, strict=True)
    ]
    text = json.dumps(
        {"type": "FeatureCollection", "features": features}, ensure_ascii=False, indent=1
    )
    with new_file(path) as aside:
        aside.write_text(text, encoding="utf-8")
        _check(lines, shapely.get_coordinates(placed), aside, file=path.name)


def _known(spacing_m: float) -> float | None:
    """A spacing, or nothing where it is not known."""
    return None if math.isnan(spacing_m) else spacing_m


def _check(
    lines: tuple[GuidanceLine, ...], wanted: NDArray[np.float64], aside: Path, *, file: str
) -> None:
    """Refuse a file that, read back, differs in a place, a name or a swath."""
    read = read_geojson(aside)
    found = shapely.get_coordinates(read.shapes)
    same_places = wanted.shape == found.shape and bool(
        np.all(np.abs(wanted - found) <= 0.5001 * 10.0**-_DECIMALS)
    )
    same_names = texts(read, "name") == tuple(line.name.strip() for line in lines)
    swaths_m = np.array([line.swath_m for line in lines])
    same_swaths = np.array_equal(numbers(read, "swath_m"), swaths_m, equal_nan=True)
    if not (same_places and same_names and same_swaths):
        raise ReadBackError(
            "the guidance lines in the written file are not those of the farm",
            mend="Nothing was put in place. Write it again; if it happens again, report it",
            file=file,
        )
