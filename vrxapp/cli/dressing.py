"""`vrxapp dressing`: the compost, manure and litter that a paddock got."""

import math
from pathlib import Path
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.agronomy.organic_dressing import OrganicDressing, YearSpread
from vrxapp.agronomy.organics import ORGANIC_CAUTIONS
from vrxapp.cli.options import FARM_OPTIONS, as_json, with_options
from vrxapp.cli.organic_options import ORGANIC_OPTIONS, organic_settings
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.edits.dressings import add_dressing, remove_dressing
from vrxapp.farm import season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.organics import (
    OrganicAsk,
    dressing_of,
    dressing_words,
    organic_analysis_from,
    organic_sum,
)

_YEARS = {"this": YearSpread.THIS, "before": YearSpread.BEFORE}


@click.group()
def dressing() -> None:
    """List, add and remove the compost, manure and litter that a paddock got.

    \b
    Example:
        vrxapp dressing list --farm farm.gpkg
    """


@dressing.command("list")
@with_options(*FARM_OPTIONS)
@as_json
def list_them(farm: Path, season_name: str, as_json: bool) -> None:
    """List the dressings of a season.

    \b
    Example:
        vrxapp dressing list --farm farm.gpkg
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    dressings = season_called(whole, season_name).dressings
    if as_json:
        print_json([_record(d) for d in dressings])
        return
    if not dressings:
        click.echo("No compost, manure or litter is noted.")
        return
    table = Table("Dressing", "What it is", box=box.SIMPLE_HEAD)
    for d in dressings:
        table.add_row(d.analysis.name, dressing_words(d))
    Console(soft_wrap=True, highlight=False).print(table)


@dressing.command()
@click.argument("name")
@with_options(*FARM_OPTIONS, *ORGANIC_OPTIONS)
@click.option("--wet-rate", type=float, default=math.nan, help="Rate as spread. [t/ha]")
@click.option("--dry-rate", type=float, default=math.nan, help="Rate of dry matter. [t/ha]")
@click.option(
    "--year", type=click.Choice(list(_YEARS)), default="this", show_default=True, help="When."
)
@click.option(
    "--tested-after", is_flag=True, help="The soil was tested after it; nothing more is counted."
)
def add(name: str, farm: Path, season_name: str, **given: Any) -> None:
    """Note a dressing called NAME, and save the farm.

    \b
    Example:
        vrxapp dressing add "Feedlot 2025" --farm farm.gpkg --typical feedlot_aged \\
            --wet-rate 10 --year before
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    ask = OrganicAsk(wet_t_ha=given["wet_rate"], dry_t_ha=given["dry_rate"])
    found = organic_sum(organic_analysis_from(organic_settings(given)), ask)
    made = dressing_of(found, name, _YEARS[given["year"]], is_in_test=given["tested_after"])
    season = add_dressing(season_called(whole, season_name), made)
    write_farm(with_season(whole, season), farm)
    click.echo(f"Added {made.analysis.name}: {dressing_words(made)}. Saved {farm}")
    if made.year is YearSpread.THIS:
        click.echo("Mind:")
        for caution in ORGANIC_CAUTIONS:
            click.echo(f"  {caution}")


@dressing.command()
@click.argument("name")
@with_options(*FARM_OPTIONS)
def remove(name: str, farm: Path, season_name: str) -> None:
    """Take the dressing called NAME out again, and save the farm.

    \b
    Example:
        vrxapp dressing remove "Feedlot 2025" --farm farm.gpkg
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    season = remove_dressing(season_called(whole, season_name), name)
    write_farm(with_season(whole, season), farm)
    click.echo(f"Removed {name}. Saved {farm}")


def _record(made: OrganicDressing) -> dict[str, object]:
    """A dressing as a record with units in its names."""
    analysis = made.analysis
    return {
        "name": analysis.name,
        "material": str(analysis.material or ""),
        "wet_t_ha": made.wet_t_ha,
        "year": str(made.year),
        "tested_after": made.is_in_test,
        "basis": str(analysis.basis),
        "moisture_percent": analysis.moisture_percent,
        "n_percent": analysis.n_percent,
        "p_percent": analysis.p_percent,
        "k_percent": analysis.k_percent,
        "s_percent": analysis.s_percent,
        "source": analysis.source,
        "grade": str(analysis.grade),
    }
