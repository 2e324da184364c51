"""`vrxapp ground points`: gates, dump sites, powerlines and others of a paddock."""

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import click
import shapely
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.cli.ground_edits import (
    edit_farm,
    lon_lat_of,
    lon_lat_points,
    opened_season,
    plainly,
    to_ground,
)
from vrxapp.cli.options import CRS_OPTION, FARM_OPTIONS, as_json, with_options
from vrxapp.cli.printing import print_json
from vrxapp.edits.ground import (
    add_points,
    change_point,
    move_point,
    point_row,
    remove_point,
)
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind, cautions_for
from vrxapp.season import Season
from vrxapp.workflows.ground_files import points_from_file

_FILE = click.Path(path_type=Path)
_KIND = click.Choice([str(kind) for kind in GroundPointKind])
_AT = click.option("--at", required=True, metavar="LON,LAT", help="Where, in degrees.")


@click.group()
def points() -> None:
    """List, add, move, change and remove ground points.

    \b
    Example:
        vrxapp ground points list --farm farm.gpkg
    """


@points.command("list")
@with_options(*FARM_OPTIONS)
@as_json
def list_them(farm: Path, season_name: str, as_json: bool) -> None:
    """List the ground points, and what to mind near them.

    \b
    Example:
        vrxapp ground points list --farm farm.gpkg
    """
    season = opened_season(farm, season_name)
    records = [_record(point, season.paddock.crs) for point in season.ground_points]
    if as_json:
        print_json(records)
        return
    table = Table("Point", "Kind", "Longitude", "Latitude", "Note", box=box.SIMPLE_HEAD)
    for record in records:
        place = (f"{record[key]:.6f}°" for key in ("longitude", "latitude"))
        table.add_row(record["point"], record["kind"], *place, record["note"])
    console = Console(soft_wrap=True, highlight=False)
    console.print(table)
    for caution in cautions_for(season.ground_points):
        console.print(f"Mind: {caution}", markup=False)


@points.command("add")
@with_options(*FARM_OPTIONS)
@click.option("--kind", type=_KIND, required=True, help="What it marks.")
@click.option("--name", default="", help="What people call it; none: its kind.")
@_AT
@click.option("--note", default="", help="Clearance, which key, whom to ring.")
def add(farm: Path, season_name: str, *, kind: str, name: str, at: str, note: str) -> None:
    """Mark a gate, dump site, powerline or another place.

    \b
    Example:
        vrxapp ground points add --farm farm.gpkg --kind gate --name "North gate" \\
            --at 147.2010,-35.0952 --note "key at the house"
    """
    place = lon_lat_points(at, least=1)[0]

    def change(season: Season) -> Season:
        there = _there(place, season)
        point = GroundPoint(name.strip() or kind.capitalize(), GroundPointKind(kind), *there, note)
        return add_points(season, [point])

    edit_farm(farm, season_name, plainly(change), done=f"Marked {name or kind}")


@points.command("move")
@click.argument("name")
@with_options(*FARM_OPTIONS)
@_AT
def move(name: str, farm: Path, season_name: str, at: str) -> None:
    """Put the point NAME elsewhere.

    \b
    Example:
        vrxapp ground points move "North gate" --farm farm.gpkg --at 147.2020,-35.0951
    """
    place = lon_lat_points(at, least=1)[0]

    def change(season: Season) -> Season:
        return move_point(season, point_row(season, name), *_there(place, season))

    edit_farm(farm, season_name, plainly(change), done=f"Moved {name}")


@points.command("change")
@click.argument("name")
@with_options(*FARM_OPTIONS)
@click.option("--kind", type=_KIND, help="What it marks.")
@click.option("--name", "new_name", help="What to call it from now on.")
@click.option("--note", help="Clearance, which key, whom to ring.")
def change_it(name: str, farm: Path, season_name: str, **given: str | None) -> None:
    """Give the point NAME another kind, name or note.

    \b
    Example:
        vrxapp ground points change "North gate" --farm farm.gpkg --note "key at the shed"
    """

    def change(season: Season) -> Season:
        row = point_row(season, name)
        before = season.ground_points[row]
        kind, new_name, note = (given[key] for key in ("kind", "new_name", "note"))
        after = replace(
            before,
            kind=before.kind if kind is None else GroundPointKind(kind),
            name=before.name if new_name is None else new_name,
            note=before.note if note is None else note,
        )
        return change_point(season, row, after)

    edit_farm(farm, season_name, plainly(change), done=f"Changed {name}")


@points.command("remove")
@click.argument("name")
@with_options(*FARM_OPTIONS)
def remove(name: str, farm: Path, season_name: str) -> None:
    """Take the point NAME away.

    \b
    Example:
        vrxapp ground points remove "Wet patch" --farm farm.gpkg
    """

    def change(season: Season) -> Season:
        return remove_point(season, point_row(season, name))

    edit_farm(farm, season_name, plainly(change), done=f"Removed {name}")


@points.command("from-file")
@click.argument("path", type=_FILE)
@with_options(*FARM_OPTIONS)
@click.option("--layer", default="", help="Which layer of a file that holds several.")
@CRS_OPTION
@click.option("--kind", type=_KIND, help="Of those that tell none.")
def from_file(path: Path, farm: Path, season_name: str, **given: Any) -> None:
    """Add the points in the file at PATH: GPX, GeoJSON, KML, Shapefile... with a field kind.

    \b
    Example:
        vrxapp ground points from-file gates.gpx --farm farm.gpkg --kind gate
    """
    change = partial(
        points_from_file,
        path=path,
        layer=given["layer"],
        crs=given["crs"],
        kind=GroundPointKind(given["kind"]) if given["kind"] else None,
    )
    edit_farm(farm, season_name, change, done=f"Took the points from {path.name}")


def _there(place: tuple[float, float], season: Season) -> tuple[float, float]:
    """A place in degrees as one in the paddock's coordinates. [m]"""
    point = to_ground(shapely.Point(place), season.paddock.crs)
    return float(point.x), float(point.y)


def _record(point: GroundPoint, crs: str) -> dict[str, Any]:
    longitude, latitude = lon_lat_of(point.easting_m, point.northing_m, crs)
    return {
        "point": point.name,
        "kind": str(point.kind),
        "longitude": round(longitude, 8),
        "latitude": round(latitude, 8),
        "note": point.note,
    }
