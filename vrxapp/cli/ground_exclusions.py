"""`vrxapp ground exclusions`: ground that gets nothing, with the setbacks round it."""

from functools import partial
from pathlib import Path
from typing import Any

import click
import shapely
from rich import box
from rich.console import Console
from rich.table import Table
from shapely.geometry.base import BaseGeometry

from vrxapp.cli.ground_edits import (
    edit_farm,
    lon_lat_points,
    opened_season,
    plainly,
    to_ground,
)
from vrxapp.cli.options import CRS_OPTION, FARM_OPTIONS, as_json, with_options
from vrxapp.cli.printing import print_json
from vrxapp.edits.ground import (
    add_exclusions,
    change_exclusion,
    exclusion_row,
    remove_exclusion,
)
from vrxapp.errors import MissingInputError
from vrxapp.ground.exclusions import SETBACK_CAUTION, Exclusion, ExclusionKind
from vrxapp.ground.ground_facts import ground_facts
from vrxapp.season import Season
from vrxapp.workflows.ground_files import exclusions_from_file

_FILE = click.Path(path_type=Path)
_KIND = click.Choice([str(kind) for kind in ExclusionKind])


@click.group()
def exclusions() -> None:
    """List, add, change and remove exclusions.

    \b
    Example:
        vrxapp ground exclusions list --farm farm.gpkg
    """


@exclusions.command("list")
@with_options(*FARM_OPTIONS)
@as_json
def list_them(farm: Path, season_name: str, as_json: bool) -> None:
    """List the exclusions with kind, setback and hectares.

    \b
    Example:
        vrxapp ground exclusions list --farm farm.gpkg
    """
    season = opened_season(farm, season_name)
    each_ha = ground_facts(season.paddock).exclusion_ha
    records = [
        {
            "exclusion": e.name,
            "kind": str(e.kind),
            "setback_m": e.setback_m,
            "takes_ha": round(ha, 4),
        }
        for e, ha in zip(season.paddock.exclusions, each_ha, strict=True)
    ]
    if as_json:
        print_json(records)
        return
    table = Table("Exclusion", "Kind", box=box.SIMPLE_HEAD)
    for heading in ("setback m", "takes ha"):
        table.add_column(heading, justify="right")
    for e, ha in zip(season.paddock.exclusions, each_ha, strict=True):
        table.add_row(e.name, str(e.kind), f"{e.setback_m:g}", f"{ha:,.2f}")
    console = Console(soft_wrap=True, highlight=False)
    console.print(table)
    console.print(f"Mind: {SETBACK_CAUTION}", markup=False)


@exclusions.command("add")
@with_options(*FARM_OPTIONS)
@click.option("--kind", type=_KIND, required=True, help="What it is.")
@click.option("--name", default="", help="What people call it; none: its kind.")
@click.option("--setback", type=float, default=0.0, show_default=True, help="Kept from it. [m]")
@click.option("--area", default="", metavar="LON,LAT;...", help="Three or more corners.")
@click.option("--line", default="", metavar="LON,LAT;...", help="A creek's or fence's line.")
@click.option("--at", default="", metavar="LON,LAT", help="A single place, such as a tree.")
def add(farm: Path, season_name: str, **given: Any) -> None:
    """Leave out an area, or the ground around a line or a place.

    \b
    Example:
        vrxapp ground exclusions add --farm farm.gpkg --kind watercourse --name "Box Creek" \\
            --setback 20 --line "147.20,-35.10;147.21,-35.11"
    """
    shape = _shape(given)

    def change(season: Season) -> Season:
        there = to_ground(shape, season.paddock.crs)
        kind = ExclusionKind(given["kind"])
        return add_exclusions(season, [Exclusion(given["name"], kind, there, given["setback"])])

    edit_farm(farm, season_name, plainly(change), done=f"Left out {given['name'] or given['kind']}")
    _print_caution()


@exclusions.command("change")
@click.argument("name")
@with_options(*FARM_OPTIONS)
@click.option("--kind", type=_KIND, help="What it is.")
@click.option("--name", "new_name", help="What to call it from now on.")
@click.option("--setback", type=float, help="Distance kept from it. [m]")
def change_it(
    name: str, farm: Path, season_name: str, *, kind: str | None, new_name: str | None,
    setback: float | None,
) -> None:  # fmt: skip
    """Give the exclusion NAME another name, kind or setback.

    \b
    Example:
        vrxapp ground exclusions change "Box Creek" --farm farm.gpkg --setback 30
    """

    def change(season: Season) -> Season:
        return change_exclusion(
            season,
            exclusion_row(season, name),
            name=new_name,
            kind=ExclusionKind(kind) if kind else None,
            setback_m=setback,
        )

    edit_farm(farm, season_name, plainly(change), done=f"Changed {name}")
    _print_caution()


@exclusions.command("remove")
@click.argument("name")
@with_options(*FARM_OPTIONS)
def remove(name: str, farm: Path, season_name: str) -> None:
    """Take the exclusion NAME away, so that its ground is spread again.

    \b
    Example:
        vrxapp ground exclusions remove "Old dam" --farm farm.gpkg
    """

    def change(season: Season) -> Season:
        return remove_exclusion(season, exclusion_row(season, name))

    edit_farm(farm, season_name, plainly(change), done=f"Removed {name}")


@exclusions.command("from-file")
@click.argument("path", type=_FILE)
@with_options(*FARM_OPTIONS)
@click.option("--layer", default="", help="Which layer of a file that holds several.")
@CRS_OPTION
@click.option(
    "--kind", type=_KIND, default="other", show_default=True, help="Of those that tell none."
)
@click.option(
    "--setback", type=float, default=0.0, show_default=True, help="Of those that tell none. [m]"
)
def from_file(path: Path, farm: Path, season_name: str, **given: Any) -> None:
    """Add the exclusions in the file at PATH; its fields kind, name and setback_m count.

    \b
    Example:
        vrxapp ground exclusions from-file creeks.shp --farm farm.gpkg --kind watercourse \\
            --setback 20
    """
    change = partial(
        exclusions_from_file,
        path=path,
        layer=given["layer"],
        crs=given["crs"],
        kind=ExclusionKind(given["kind"]),
        setback_m=given["setback"],
    )
    edit_farm(farm, season_name, change, done=f"Took the exclusions from {path.name}")
    _print_caution()


def _shape(given: dict[str, Any]) -> BaseGeometry:
    """The one shape that was told, in degrees."""
    told = [name for name in ("area", "line", "at") if given[name]]
    if len(told) != 1:
        raise MissingInputError(
            "an exclusion needs one shape", mend="Give one of --area, --line and --at"
        )
    if told == ["area"]:
        return shapely.Polygon(lon_lat_points(given["area"], least=3))
    if told == ["line"]:
        return shapely.LineString(lon_lat_points(given["line"], least=2))
    return shapely.Point(lon_lat_points(given["at"], least=1)[0])


def _print_caution() -> None:
    Console(soft_wrap=True, highlight=False).print(f"Mind: {SETBACK_CAUTION}", markup=False)
