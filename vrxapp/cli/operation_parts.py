"""`vrxapp operation humate` and `seed-row`: what travels with a pass, and how it meets the seed."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from vrxapp.cli.humate_options import HUMATE_OPTIONS, SEED_OPTIONS, seed_row_of
from vrxapp.cli.operation_options import humate_settings
from vrxapp.cli.options import FARM_OPTIONS, with_options
from vrxapp.cli.printing import print_notes
from vrxapp.edits.operations import set_humate, set_seed_row
from vrxapp.farm import Farm, season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.inputs.compatibility import require_no_refusal
from vrxapp.prescription.mix import products_of, spread_name
from vrxapp.season import Operation, Season, operation_called
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.operation_settings import OperationSettings, humate_from

_Change = Callable[[Farm, Season, Operation], Season]


@click.command()
@click.argument("name")
@with_options(*FARM_OPTIONS, *HUMATE_OPTIONS)
def humate(name: str, farm: Path, season_name: str, **given: Any) -> None:
    """Let a soluble humate travel with the pass called NAME; without --humate none does.

    \b
    Example:
        vrxapp operation humate "MAP before sowing" --farm farm.gpkg \\
            --humate soluble_humate --humate-share 5 --humate-cap 20
    """

    def change(whole: Farm, season: Season, changed: Operation) -> Season:
        settings = OperationSettings(**humate_settings(given))
        return set_humate(season, changed.id, humate_from(settings, whole.products))

    _edit(name, farm, season_name, change)


@click.command("seed-row")
@click.argument("name")
@with_options(*FARM_OPTIONS, *SEED_OPTIONS)
def seed_row(name: str, farm: Path, season_name: str, **given: Any) -> None:
    """Place the pass called NAME with the seed; without options it is spread over the ground.

    \b
    Example:
        vrxapp operation seed-row "MAP at sowing" --farm farm.gpkg --with-seed medium \\
            --row-spacing 250 --opener-spread 25
    """
    row = seed_row_of(given)
    _edit(name, farm, season_name, lambda _, season, changed: set_seed_row(season, changed.id, row))


def _edit(name: str, farm: Path, season_name: str, change: _Change) -> None:
    """Change one pass, refuse what must never meet, and save the farm."""
    whole, notes = open_farm(farm)
    print_notes(notes)
    before = season_called(whole, season_name)
    after = change(whole, before, operation_called(before, name))
    if after is before:
        click.echo("Nothing to change.")
        return
    made = operation_called(after, name)
    require_no_refusal(products_of(made))
    write_farm(with_season(whole, after), farm)
    placed = "spread" if made.seed_row is None else "with the seed"
    click.echo(f"{made.name}: {spread_name(made)}, {placed}. Saved {farm}")
