"""What verbs that edit a farm file share: open a season, change it, save it where it changed."""

from collections.abc import Callable
from pathlib import Path

import click

from vrxapp.cli.printing import print_notes
from vrxapp.errors import Note
from vrxapp.farm import season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.season import Season
from vrxapp.workflows.farm_files import open_farm

Edit = Callable[[Season], tuple[Season, tuple[Note, ...]]]
"""An edit of a season, and what it has to tell."""


def opened_season(farm: Path, season_name: str) -> Season:
    """The season that the options name, after printing what was doubtful."""
    whole, notes = open_farm(farm)
    print_notes(notes)
    return season_called(whole, season_name)


def edit_farm(
    farm: Path,
    season_name: str,
    change: Edit,
    *,
    done: str,
    result: Callable[[Season], str] | None = None,
) -> None:
    """Apply an edit to a season of a farm file, and save it if anything changed.

    Parameters
    ----------
    farm : Path
        The farm file.
    season_name : str
        Which season.
    change : callable
        The edit.
    done : str
        What was done, in words.
    result : callable, optional
        What the season holds now, in words.
    """
    whole, notes = open_farm(farm)
    before = season_called(whole, season_name)
    after, told = change(before)
    print_notes((*notes, *told))
    if after is before:
        click.echo("Nothing to change.")
        return
    write_farm(with_season(whole, after), farm)
    holds = f": {result(after)}" if result is not None else ""
    click.echo(f"{done}{holds}. Saved {farm}")


def plainly(change: Callable[[Season], Season]) -> Edit:
    """An edit that has nothing to tell."""
    return lambda season: (change(season), ())
