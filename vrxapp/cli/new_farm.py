"""`vrxapp new-farm`: a farm file from a boundary, with or without zones and soil tests."""

from pathlib import Path

import click

from vrxapp.cli.options import Chosen, plan_options
from vrxapp.cli.printing import print_notes
from vrxapp.errors import TargetExistsError
from vrxapp.files.farm_file import write_farm


@click.command("new-farm")
@plan_options
@click.option(
    "--out", type=click.Path(path_type=Path), required=True, help="Farm file to write (.gpkg)."
)
@click.option("--replace", is_flag=True, help="Replace it where it exists.")
def new_farm(chosen: Chosen, out: Path, replace: bool) -> None:
    """Make a farm file from a boundary; zones and soil tests may come later.

    \b
    Example:
        vrxapp new-farm --boundary boundary.geojson --crop wheat --yield 4 --out farm.gpkg
    """
    if out.exists() and not replace:
        raise TargetExistsError(
            "it exists already", mend="Choose another name, or give --replace", file=out.name
        )
    print_notes(chosen.notes)
    write_farm(chosen.farm, out)
    zones = len(chosen.season.zones.ids)
    click.echo(
        f"{chosen.season.paddock.name} has {zones} zone{'s' if zones > 1 else ''}, "
        + ("no soil test yet" if chosen.season.tests is None else chosen.season.tests.file)
        + f". Saved {out}"
    )
