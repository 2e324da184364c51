"""`vrxapp zones draw, cut, move-corner, add-corner, remove-corner`: what the map's tools do."""

from pathlib import Path

import click

from vrxapp.cli.options import FARM_OPTIONS, with_options
from vrxapp.cli.zone_edits import edit_zones, outline_of, plainly, spot_of
from vrxapp.edits.zones import cut_from, draw, insert_vertex, move_vertex, remove_vertex

_OUTLINE = click.option(
    "--outline",
    required=True,
    metavar="LON,LAT;LON,LAT;LON,LAT",
    help="Its corners in degrees, three or more.",
)
_NAME = click.option("--name", default="", help="What the new zone is called; none: a number.")
_SNAP = click.option(
    "--snap",
    type=float,
    default=0.0,
    show_default=True,
    help="Corners nearer than this to a line or corner go onto it. [m]",
)
_AT = click.option("--at", required=True, metavar="LON,LAT", help="Where, in degrees.")
_REACH = click.option(
    "--reach",
    type=float,
    default=5.0,
    show_default=True,
    help="How far off the place may be. [m]",
)


@click.command("draw")
@with_options(*FARM_OPTIONS, _OUTLINE, _NAME, _SNAP)
def draw_it(farm: Path, season_name: str, outline: str, name: str, snap: float) -> None:
    """Draw a zone over those that are there; it takes its ground from them.

    \b
    Example:
        vrxapp zones draw --farm farm.gpkg --name "Gravel cap" \\
            --outline "147.201,-35.101;147.203,-35.101;147.203,-35.103"
    """
    change = plainly(
        lambda season: draw(season, outline_of(outline, season), name=name, snap_m=snap)
    )
    edit_zones(farm, season_name, change, done=f"Drew {name or 'a zone'}")


@click.command("cut")
@click.argument("zone")
@with_options(*FARM_OPTIONS, _OUTLINE, _NAME, _SNAP)
def cut_it(zone: str, farm: Path, season_name: str, outline: str, name: str, snap: float) -> None:
    """Cut a new zone out of ZONE alone; its neighbours stay as they are.

    \b
    Example:
        vrxapp zones cut "Red rise" --farm farm.gpkg \\
            --outline "147.201,-35.101;147.203,-35.101;147.203,-35.103"
    """
    change = plainly(
        lambda season: cut_from(season, zone, outline_of(outline, season), name=name, snap_m=snap)
    )
    edit_zones(farm, season_name, change, done=f"Cut {name or 'a zone'} out of {zone}")


@click.command("move-corner")
@with_options(*FARM_OPTIONS, _AT, _REACH)
@click.option("--to", required=True, metavar="LON,LAT", help="Where it goes, in degrees.")
def move_corner(farm: Path, season_name: str, at: str, to: str, reach: float) -> None:
    """Move a corner in every zone that has it.

    \b
    Example:
        vrxapp zones move-corner --farm farm.gpkg --at 147.2031,-35.1012 --to 147.2035,-35.1012
    """
    change = plainly(
        lambda season: move_vertex(season, spot_of(at, season), spot_of(to, season), reach_m=reach)
    )
    edit_zones(farm, season_name, change, done="Moved a corner")


@click.command("add-corner")
@with_options(*FARM_OPTIONS, _AT, _REACH)
def add_corner(farm: Path, season_name: str, at: str, reach: float) -> None:
    """Put a corner into the edge nearest a place, in the zones on both sides.

    \b
    Example:
        vrxapp zones add-corner --farm farm.gpkg --at 147.2031,-35.1012
    """
    change = plainly(lambda season: insert_vertex(season, spot_of(at, season), reach_m=reach))
    edit_zones(farm, season_name, change, done="Put in a corner")


@click.command("remove-corner")
@with_options(*FARM_OPTIONS, _AT, _REACH)
def remove_corner(farm: Path, season_name: str, at: str, reach: float) -> None:
    """Take a corner out of every zone that has it.

    \b
    Example:
        vrxapp zones remove-corner --farm farm.gpkg --at 147.2031,-35.1012
    """
    change = plainly(lambda season: remove_vertex(season, spot_of(at, season), reach_m=reach))
    edit_zones(farm, season_name, change, done="Took out a corner")
