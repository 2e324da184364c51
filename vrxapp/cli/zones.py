"""`vrxapp zones`: the zones of a season in a farm file."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import click
import numpy as np
import shapely
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.cli.options import CRS_OPTION, FARM_OPTIONS, as_json, with_options
from vrxapp.cli.printing import TerminalProgress, print_json, print_notes
from vrxapp.cli.zone_drawing import corners, cut_it, draw_it
from vrxapp.edits.zones import begin_anew, lock, mend, merge, rename, split, unlock
from vrxapp.errors import MissingInputError, Note
from vrxapp.farm import season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.ground.geodesic_area import geodesic_area_ha
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.ground.zone_repair import do_tile
from vrxapp.ground.zone_tiling import spreadable_m2
from vrxapp.season import Season
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.open_files import results_of_paddock
from vrxapp.workflows.zone_files import zones_from_file
from vrxapp.workflows.zone_worth import WorthLine, told_worth, worth_of_zones

_FILE = click.Path(path_type=Path)
_Edit = Callable[[Season], tuple[Season, tuple[Note, ...]]]


@click.group()
def zones() -> None:
    """List, draw, split, merge, rename, lock and judge the zones of a season.

    \b
    Example:
        vrxapp zones list --farm farm.gpkg
    """


for _verb in (draw_it, cut_it, corners):
    zones.add_command(_verb)


@zones.command("list")
@with_options(*FARM_OPTIONS)
@as_json
def list_them(farm: Path, season_name: str, as_json: bool) -> None:
    """List the zones with their areas.

    \b
    Example:
        vrxapp zones list --farm farm.gpkg
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    season = season_called(whole, season_name)
    records = _records(season)
    print_notes(_untiled(season))
    if as_json:
        print_json(records)
        return
    table = Table("Zone", "Area ha", "To spread ha", "", box=box.SIMPLE_HEAD)
    for record in records:
        areas = (f"{record[key]:,.2f}" for key in ("area_ha", "spreadable_ha"))
        table.add_row(record["zone"], *areas, "locked" if record["locked"] else "")
    Console(soft_wrap=True, highlight=False).print(table)


@zones.command("worth")
@with_options(*FARM_OPTIONS)
@click.option("--lab", type=_FILE, help="Another lab sheet with positions, to judge zones by.")
@click.option(
    "--of", "wanted", multiple=True, metavar="NAME", help="A test (colwell_p...) or map layer."
)
@as_json
def worth_them(
    farm: Path, season_name: str, lab: Path | None, wanted: tuple[str, ...], as_json: bool
) -> None:
    """Tell what share of each soil test and map layer the zones explain.

    Soil tests need positions. A layer that the zones were made from is no proof.

    \b
    Example:
        vrxapp zones worth --farm farm.gpkg --paddock "Long Bend"
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    season = season_called(whole, season_name)
    sheet = results_of_paddock(lab_results(lab), season.paddock.name) if lab else None
    lines = worth_of_zones(
        season, season.zones.shapes, tests=sheet, wanted=wanted, progress=TerminalProgress()
    )
    if not lines:
        raise MissingInputError(
            "there is no soil test and no map layer to judge the zones by",
            mend="Give --lab FILE with positions, or link a layer: vrxapp layer add",
        )
    if as_json:
        print_json([_worth_record(line) for line in lines])
        return
    for sentence in told_worth(lines):
        click.echo(sentence)


@zones.command("split")
@click.argument("zone")
@with_options(*FARM_OPTIONS)
@click.option(
    "--line",
    required=True,
    metavar="LON,LAT;LON,LAT",
    help="Where to split: two or more points in degrees, across the zone or beyond it.",
)
def split_it(zone: str, farm: Path, season_name: str, line: str) -> None:
    """Split ZONE along a line; the largest part keeps the name.

    \b
    Example:
        vrxapp zones split "Creek flat" --farm farm.gpkg --line "149.1,-35.01;149.1,-35.02"
    """
    points = _points(line)

    def change(season: Season) -> Season:
        track = transformed(
            np.array([shapely.linestrings(points)], dtype=object),
            from_crs=LON_LAT,
            to_crs=season.paddock.crs,
        )[0]
        return split(season, zone, track)

    _edit(farm, season_name, _plainly(change), done=f"Split {zone}")


@zones.command("merge")
@click.argument("zone")
@click.argument("others", nargs=-1, required=True)
@with_options(*FARM_OPTIONS)
def merge_them(zone: str, others: tuple[str, ...], farm: Path, season_name: str) -> None:
    """Join OTHERS to ZONE, which keeps its name and gets their samples too.

    \b
    Example:
        vrxapp zones merge "Creek flat" "Red rise" --farm farm.gpkg
    """
    change = partial(merge, names=(zone, *others))
    _edit(farm, season_name, _plainly(change), done=f"Merged {', '.join(others)} into {zone}")


@zones.command("rename")
@click.argument("zone")
@click.argument("name")
@with_options(*FARM_OPTIONS)
def rename_it(zone: str, name: str, farm: Path, season_name: str) -> None:
    """Call ZONE by another NAME.

    \b
    Example:
        vrxapp zones rename "Zone 2" "Red rise" --farm farm.gpkg
    """
    change = partial(rename, zone=zone, name=name)
    _edit(farm, season_name, _plainly(change), done=f"Renamed {zone} to {name}")


@zones.command("lock")
@click.argument("zone")
@with_options(*FARM_OPTIONS)
def lock_it(zone: str, farm: Path, season_name: str) -> None:
    """Keep ZONE from being changed.

    \b
    Example:
        vrxapp zones lock "Creek flat" --farm farm.gpkg
    """
    _edit(farm, season_name, _plainly(partial(lock, zone=zone)), done=f"Locked {zone}")


@zones.command("unlock")
@click.argument("zone")
@with_options(*FARM_OPTIONS)
def unlock_it(zone: str, farm: Path, season_name: str) -> None:
    """Let ZONE be changed again.

    \b
    Example:
        vrxapp zones unlock "Creek flat" --farm farm.gpkg
    """
    _edit(farm, season_name, _plainly(partial(unlock, zone=zone)), done=f"Unlocked {zone}")


@zones.command("mend")
@with_options(*FARM_OPTIONS)
def mend_them(farm: Path, season_name: str) -> None:
    """Make the zones tile the paddock, without gaps and overlaps; tell what was mended.

    \b
    Example:
        vrxapp zones mend --farm farm.gpkg
    """
    change = partial(mend, progress=TerminalProgress())
    _edit(farm, season_name, change, done="Mended the zones")


@zones.command("whole")
@with_options(*FARM_OPTIONS)
def whole(farm: Path, season_name: str) -> None:
    """Begin anew: one zone over the whole paddock, to split.

    \b
    Example:
        vrxapp zones whole --farm farm.gpkg
    """
    _edit(farm, season_name, _plainly(begin_anew), done="The whole paddock is one zone now")


@zones.command("from-file")
@click.argument("path", type=_FILE)
@with_options(*FARM_OPTIONS)
@click.option("--layer", default="", help="Which layer of a file that holds several.")
@CRS_OPTION
def from_file(path: Path, farm: Path, season_name: str, layer: str, crs: str) -> None:
    """Take the zones from the file at PATH, mended so that they tile the paddock.

    \b
    Example:
        vrxapp zones from-file zones.shp --farm farm.gpkg
    """
    change = partial(zones_from_file, path=path, layer=layer, crs=crs, progress=TerminalProgress())
    _edit(farm, season_name, change, done=f"Took the zones from {path.name}")


def _edit(farm: Path, season_name: str, change: _Edit, *, done: str) -> None:
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


def _plainly(change: Callable[[Season], Season]) -> _Edit:
    """An edit that has nothing to tell."""
    return lambda season: (change(season), ())


def _records(season: Season) -> list[dict[str, Any]]:
    """One record a zone."""
    listed, paddock = season.zones, season.paddock
    area_ha = geodesic_area_ha(listed.shapes, paddock.crs)
    grid_m2 = np.maximum(shapely.area(listed.shapes), 1e-9)
    share = spreadable_m2(listed.shapes, paddock) / grid_m2
    return [
        {
            "zone": name,
            "area_ha": round(float(area_ha[row]), 4),
            "spreadable_ha": round(float(area_ha[row] * share[row]), 4),
            "locked": listed.ids[row] in listed.locked_ids,
        }
        for row, name in enumerate(listed.names)
    ]


def _worth_record(line: WorthLine) -> dict[str, Any]:
    """One test or layer as a record; figures that cannot be told are null."""
    worth = line.worth
    return {
        "name": line.name,
        "kind": "layer" if line.is_layer else "test",
        "count": worth.samples if worth else None,
        "share": worth.share if worth else None,
        "adjusted_share": worth.adjusted_share if worth else None,
        "chance": worth.chance if worth else None,
        "words": line.words,
    }


def _untiled(season: Season) -> tuple[Note, ...]:
    """A note where the zones do not tile the paddock."""
    if do_tile(season.zones, season.paddock):
        return ()
    return (
        Note(
            "the zones leave gaps, overlap, or reach beyond the paddock",
            mend="Mend them with: vrxapp zones mend",
        ),
    )


def _points(text: str) -> list[tuple[float, float]]:
    """Points out of LON,LAT;LON,LAT."""
    try:
        points = [(float(lon), float(lat)) for lon, lat in (p.split(",") for p in text.split(";"))]
    except ValueError:
        points = []
    if len(points) < 2 or not np.all(np.isfinite(points)):
        raise MissingInputError(
            f"cannot read the line {text!r}",
            mend='Write two or more points in degrees as --line "LON,LAT;LON,LAT"',
        )
    return points
