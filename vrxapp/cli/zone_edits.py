"""How a verb edits zones: points in degrees, the edit, and the farm saved with what it did."""

from collections.abc import Callable
from pathlib import Path

import click
import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Polygon

from vrxapp.cli.printing import print_notes
from vrxapp.errors import MissingInputError, Note
from vrxapp.farm import season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.ground.projected_crs import LON_LAT, transformed_xy
from vrxapp.season import Season
from vrxapp.workflows.farm_files import open_farm

Edit = Callable[[Season], tuple[Season, tuple[Note, ...]]]


def edit_zones(farm: Path, season_name: str, change: Edit, *, done: str) -> None:
    """Apply an edit to a season of a farm file, and save it if anything changed."""
    whole, notes = open_farm(farm)
    before = season_called(whole, season_name)
    after, told = change(before)
    print_notes((*notes, *told))
    if after is before:
        click.echo("Nothing to change.")
        return
    write_farm(with_season(whole, after), farm)
    count = len(after.zones.ids)
    click.echo(f"{done}: {count} zone{'s' if count > 1 else ''}. Saved {farm}")


def plainly(change: Callable[[Season], Season]) -> Edit:
    """An edit that has nothing to tell."""
    return lambda season: (change(season), ())


def ground_points(text: str, season: Season, *, least: int) -> NDArray[np.float64]:
    """Points given as LON,LAT;LON,LAT in the paddock's coordinates, one row each. [m]

    Raises
    ------
    MissingInputError
        If they cannot be read, lie nowhere, or are fewer than `least`.
    """
    try:
        points = np.array(
            [(float(lon), float(lat)) for lon, lat in (p.split(",") for p in text.split(";"))]
        )
    except ValueError:
        points = np.empty((0, 2))
    degrees = np.abs(points)
    if len(points) < least or not np.all((degrees <= (180.0, 90.0)) & np.isfinite(points)):
        several = f"{least} or more points" if least > 1 else "a point"
        raise MissingInputError(
            f"cannot read {text!r} as {several}",
            mend="Write each as LON,LAT in degrees, longitude first, with ; between points",
        )
    x, y = transformed_xy(*points.T, from_crs=LON_LAT, to_crs=season.paddock.crs)
    return np.column_stack([x, y])


def outline_of(text: str, season: Season) -> Polygon:
    """The polygon whose corners are given as LON,LAT;LON,LAT;LON,LAT."""
    return Polygon(ground_points(text, season, least=3))


def line_of(text: str, season: Season) -> LineString:
    """The line through points given as LON,LAT;LON,LAT."""
    return LineString(ground_points(text, season, least=2))


def spot_of(text: str, season: Season) -> tuple[float, float]:
    """The spot given as LON,LAT. [m]"""
    x, y = ground_points(text, season, least=1)[0].tolist()
    return x, y
