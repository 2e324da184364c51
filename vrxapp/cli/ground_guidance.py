"""`vrxapp ground guidance`: lines that machines steer along."""

import math
from functools import partial
from pathlib import Path
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.cli.ground_edits import edit_farm, opened_season, plainly
from vrxapp.cli.options import CRS_OPTION, FARM_OPTIONS, as_json, with_options
from vrxapp.cli.printing import print_json
from vrxapp.edits.guidance import guidance_row, remove_guidance
from vrxapp.ground.guidance import GuidanceLine, bearing_degree, is_straight
from vrxapp.season import Season
from vrxapp.workflows.guidance_files import GuidanceMachine, guidance_from_file

_FILE = click.Path(path_type=Path)


@click.group()
def guidance() -> None:
    """List guidance lines, take them from a file, and remove them.

    \b
    Example:
        vrxapp ground guidance list --farm farm.gpkg
    """


@guidance.command("list")
@with_options(*FARM_OPTIONS)
@as_json
def list_them(farm: Path, season_name: str, as_json: bool) -> None:
    """List the guidance lines with bearing, length, swath and wheel track.

    \b
    Example:
        vrxapp ground guidance list --farm farm.gpkg
    """
    records = [_record(line) for line in opened_season(farm, season_name).guidance]
    if as_json:
        print_json(records)
        return
    table = Table("Line", "Machine", "Kind", box=box.SIMPLE_HEAD)
    for heading in ("bearing °", "length m", "swath m", "wheel track m"):
        table.add_column(heading, justify="right")
    for record in records:
        told = (record[key] for key in ("swath_m", "wheel_track_m"))
        table.add_row(
            record["line"],
            record["machine"],
            record["kind"],
            f"{record['bearing_degree']:.1f}",
            f"{record['length_m']:,.0f}",
            *("-" if math.isnan(value) else f"{value:g}" for value in told),
        )
    Console(soft_wrap=True, highlight=False).print(table)


@guidance.command("from-file")
@click.argument("path", type=_FILE)
@with_options(*FARM_OPTIONS)
@click.option("--layer", default="", help="Which layer of a file that holds several.")
@CRS_OPTION
@click.option("--machine", default="", help="Whose lines they are, where they do not tell.")
@click.option("--swath", type=float, default=math.nan, help="Of those that tell none. [m]")
@click.option("--wheel-track", type=float, default=math.nan, help="The same. [m]")
def from_file(path: Path, farm: Path, season_name: str, **given: Any) -> None:
    """Add the lines in PATH: TASKDATA.XML (also zipped), KML, Shapefile, GeoJSON, GeoPackage.

    \b
    Example:
        vrxapp ground guidance from-file TASKDATA.zip --farm farm.gpkg --machine Spreader \\
            --swath 24 --wheel-track 3
    """
    machine = GuidanceMachine(given["machine"], given["swath"], given["wheel_track"])
    change = partial(
        guidance_from_file, path=path, machine=machine, layer=given["layer"], crs=given["crs"]
    )
    edit_farm(farm, season_name, change, done=f"Took the guidance lines from {path.name}")


@guidance.command("remove")
@click.argument("name")
@with_options(*FARM_OPTIONS)
def remove(name: str, farm: Path, season_name: str) -> None:
    """Take the guidance line NAME away.

    \b
    Example:
        vrxapp ground guidance remove "North fence" --farm farm.gpkg
    """

    def change(season: Season) -> Season:
        return remove_guidance(season, guidance_row(season, name))

    edit_farm(farm, season_name, plainly(change), done=f"Removed {name}")


def _record(line: GuidanceLine) -> dict[str, Any]:
    return {
        "line": line.name,
        "machine": line.machine,
        "kind": "straight" if is_straight(line) else "curve",
        "bearing_degree": round(bearing_degree(line), 3),
        "length_m": round(float(line.line.length), 1),
        "swath_m": line.swath_m,
        "wheel_track_m": line.wheel_track_m,
    }
