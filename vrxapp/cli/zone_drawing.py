"""`vrxapp zones draw`, `cut` and `corners`: what is drawn on the map, told in degrees."""

from pathlib import Path

import click
import shapely

from vrxapp.cli.ground_edits import edit_farm, lon_lat_points, plainly, to_ground
from vrxapp.cli.options import FARM_OPTIONS, with_options
from vrxapp.edits.zones import cut_from, draw, insert_vertex, move_vertex, remove_vertex
from vrxapp.season import Season

_OUTLINE = (
    click.option(
        "--outline",
        required=True,
        metavar="LON,LAT;LON,LAT;...",
        help="Three or more corners in degrees; beyond the boundary is left away.",
    ),
    click.option("--name", default="", help="What to call it; none: the next number."),
    click.option(
        "--snap",
        "snap_m",
        type=float,
        default=0.0,
        show_default=True,
        help="Corners nearer than this to an edge come to lie on it. [m]",
    ),
)
_AT = click.option("--at", required=True, metavar="LON,LAT", help="Where, in degrees.")
_REACH = click.option(
    "--reach",
    "reach_m",
    type=float,
    default=5.0,
    show_default=True,
    help="How far from there it may lie. [m]",
)


@click.command("draw")
@with_options(*FARM_OPTIONS, *_OUTLINE)
def draw_it(farm: Path, season_name: str, outline: str, name: str, snap_m: float) -> None:
    """Draw a zone over those that are there; they keep what lies outside it.

    \b
    Example:
        vrxapp zones draw --farm farm.gpkg --name "Old dam" \\
            --outline "149.10,-35.01;149.11,-35.01;149.11,-35.02"
    """

    def change(season: Season) -> Season:
        return draw(season, _polygon(outline, season), name=name, snap_m=snap_m)

    edit_farm(farm, season_name, plainly(change), done="Drew a zone")


@click.command("cut")
@click.argument("zone")
@with_options(*FARM_OPTIONS, *_OUTLINE)
def cut_it(zone: str, farm: Path, season_name: str, outline: str, name: str, snap_m: float) -> None:
    """Cut a zone out of ZONE; the others stay as they are.

    \b
    Example:
        vrxapp zones cut "Creek flat" --farm farm.gpkg --name "Wet end" \\
            --outline "149.10,-35.01;149.11,-35.01;149.11,-35.02"
    """

    def change(season: Season) -> Season:
        return cut_from(season, zone, _polygon(outline, season), name=name, snap_m=snap_m)

    edit_farm(farm, season_name, plainly(change), done=f"Cut a zone out of {zone}")


@click.group("corners")
def corners() -> None:
    """Move a corner of zones, put one in, take one out; all zones that have it follow.

    \b
    Example:
        vrxapp zones corners move --farm farm.gpkg --at 149.1,-35.01 --to 149.1001,-35.01
    """


@corners.command("move")
@with_options(*FARM_OPTIONS, _AT, _REACH)
@click.option("--to", required=True, metavar="LON,LAT", help="Where to, in degrees.")
def move_it(farm: Path, season_name: str, at: str, to: str, reach_m: float) -> None:
    """Move the corner nearest to a place.

    \b
    Example:
        vrxapp zones corners move --farm farm.gpkg --at 149.1,-35.01 --to 149.1001,-35.01
    """

    def change(season: Season) -> Season:
        return move_vertex(season, _spot(at, season), _spot(to, season), reach_m=reach_m)

    edit_farm(farm, season_name, plainly(change), done="Moved a corner")


@corners.command("put-in")
@with_options(*FARM_OPTIONS, _AT, _REACH)
def put_in(farm: Path, season_name: str, at: str, reach_m: float) -> None:
    """Put a corner into the edge nearest to a place.

    \b
    Example:
        vrxapp zones corners put-in --farm farm.gpkg --at 149.1,-35.01
    """

    def change(season: Season) -> Season:
        return insert_vertex(season, _spot(at, season), reach_m=reach_m)

    edit_farm(farm, season_name, plainly(change), done="Put in a corner")


@corners.command("take-out")
@with_options(*FARM_OPTIONS, _AT, _REACH)
def take_out(farm: Path, season_name: str, at: str, reach_m: float) -> None:
    """Take out the corner nearest to a place.

    \b
    Example:
        vrxapp zones corners take-out --farm farm.gpkg --at 149.1,-35.01
    """

    def change(season: Season) -> Season:
        return remove_vertex(season, _spot(at, season), reach_m=reach_m)

    edit_farm(farm, season_name, plainly(change), done="Took out a corner")


def _polygon(outline: str, season: Season) -> shapely.Polygon:
    """An outline in degrees as a polygon on the paddock's ground."""
    drawn = to_ground(shapely.Polygon(lon_lat_points(outline, least=3)), season.paddock.crs)
    assert isinstance(drawn, shapely.Polygon)
    return drawn


def _spot(place: str, season: Season) -> tuple[float, float]:
    """A place in degrees as easting and northing. [m]"""
    (point,) = lon_lat_points(place, least=1)
    there = to_ground(shapely.Point(point), season.paddock.crs)
    return float(there.x), float(there.y)
