"""What the verbs of `vrxapp ground` share: opening, editing, and places told in degrees."""

from collections.abc import Callable
from pathlib import Path

import click
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from vrxapp.cli.printing import print_notes
from vrxapp.errors import MissingInputError, Note
from vrxapp.farm import season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.season import Season
from vrxapp.workflows.farm_files import open_farm

Edit = Callable[[Season], tuple[Season, tuple[Note, ...]]]
"""An edit of a season, and what it has to tell."""


def opened_season(farm: Path, season_name: str) -> Season:
    """The season that the options name, after printing what was doubtful."""
    whole, notes = open_farm(farm)
    print_notes(notes)
    return season_called(whole, season_name)


def edit_farm(farm: Path, season_name: str, change: Edit, *, done: str) -> None:
    """Apply an edit to a season of a farm file, and save it if anything changed."""
    whole, notes = open_farm(farm)
    before = season_called(whole, season_name)
    after, told = change(before)
    print_notes((*notes, *told))
    if after is before:
        click.echo("Nothing to change.")
        return
    write_farm(with_season(whole, after), farm)
    click.echo(f"{done}. Saved {farm}")


def plainly(change: Callable[[Season], Season]) -> Edit:
    """An edit that has nothing to tell."""
    return lambda season: (change(season), ())


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
