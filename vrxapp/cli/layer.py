"""`vrxapp layer`: the rasters that a paddock is looked at with, in a farm file."""

from pathlib import Path

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.cli.options import FARM_OPTIONS, as_json, with_options
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.edits.layers import add_layer, layer_called, remove_layer
from vrxapp.errors import VrxError
from vrxapp.farm import season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.files.linked_rasters import require_unchanged
from vrxapp.ground.linked_raster import LinkedRaster
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.map_layers import link_raster

_FILE = click.Path(path_type=Path)


@click.group()
def layer() -> None:
    """List, add and remove the rasters under the zones of a paddock.

    \b
    Example:
        vrxapp layer list --farm farm.gpkg --paddock "Long Bend"
    """


@layer.command("list")
@with_options(*FARM_OPTIONS)
@as_json
def list_them(farm: Path, season_name: str, as_json: bool) -> None:
    """List the map layers of a paddock, and whether their files are as they were.

    \b
    Example:
        vrxapp layer list --farm farm.gpkg --paddock "Long Bend"
    """
    whole, _ = open_farm(farm)
    season = season_called(whole, season_name)
    records = [
        {
            "layer": known.name,
            "unit": known.unit,
            "band": known.band,
            "file": str(known.path),
            "state": _state(known),
        }
        for known in season.layers
    ]
    if as_json:
        print_json(records)
        return
    console = Console(soft_wrap=True, highlight=False)
    if not records:
        console.print(f"{season.paddock.name} has no map layer.", markup=False)
        return
    table = Table("Layer", "Unit", "Band", "File", "State", box=box.SIMPLE_HEAD)
    for record in records:
        table.add_row(*map(str, record.values()))
    console.print(table)


@layer.command()
@click.argument("path", type=_FILE)
@with_options(*FARM_OPTIONS)
@click.option("--name", default="", help="What to call it; none: the name in the file.")
@click.option(
    "--band", type=int, help="Which band, counted from 1; needed where there are several."
)
def add(path: Path, farm: Path, season_name: str, name: str, band: int | None) -> None:
    """Link the GeoTIFF at PATH to a paddock, and save the farm.

    The file stays where it is; the farm file holds the way to it and its checksum.

    \b
    Example:
        vrxapp layer add conductivity.tif --farm farm.gpkg --paddock "Long Bend" --name "EM survey"
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    season = season_called(whole, season_name)
    made = link_raster(path, season.paddock, band=band, name=name)
    write_farm(with_season(whole, add_layer(season, made)), farm)
    click.echo(f"Added {made.name} to {season.paddock.name}. Saved {farm}")


@layer.command()
@click.argument("name")
@with_options(*FARM_OPTIONS)
def remove(name: str, farm: Path, season_name: str) -> None:
    """Let go of the map layer called NAME, and save the farm; its file stays.

    \b
    Example:
        vrxapp layer remove "Vegetation index" --farm farm.gpkg --paddock "Long Bend"
    """
    whole, _ = open_farm(farm)
    season = season_called(whole, season_name)
    gone = layer_called(season, name)
    write_farm(with_season(whole, remove_layer(season, gone.name)), farm)
    click.echo(f"Removed {gone.name} from {season.paddock.name}. Saved {farm}")


def _state(known: LinkedRaster) -> str:
    """Whether the file of a layer is still the one that was linked, in a few words."""
    if not known.path.is_file():
        return "not there"
    try:
        require_unchanged(known)
    except VrxError:
        return "changed since it was linked"
    return "as linked"
