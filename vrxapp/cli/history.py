"""`vrxapp history`: the lime, legume and phosphorus of earlier years on a paddock."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from vrxapp.agronomy.paddock_history import CropBefore, LimeSpread, PaddockHistory, legume_offer
from vrxapp.cli.options import FARM_OPTIONS, as_json, with_options
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.edits.history import set_history, use_legume_nitrogen
from vrxapp.errors import MissingInputError
from vrxapp.farm import season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.season import Season
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.paddock_history import history_lines, lime_from_text


@click.group()
def history() -> None:
    """Tell what earlier years left on a paddock; nothing of it is taken off a need unasked.

    \b
    Example:
        vrxapp history show --farm farm.gpkg
    """


@history.command()
@with_options(*FARM_OPTIONS)
@as_json
def show(farm: Path, season_name: str, as_json: bool) -> None:
    """Show what is noted of earlier years, and what it says to the needs.

    \b
    Example:
        vrxapp history show --farm farm.gpkg
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    season = season_called(whole, season_name)
    if as_json:
        print_json(_record(season.history))
        return
    for line in history_lines(season):
        click.echo(line)


@history.command("set")
@with_options(*FARM_OPTIONS)
@click.option("--season-year", type=int, help="Year of the planned season, such as 2026.")
@click.option(
    "--lime",
    "limes",
    multiple=True,
    metavar="YEAR=RATE@NV",
    help="Lime of an earlier year in t/ha with its effective neutralising value in % (may be "
    "left out); ends in @top where it was never worked in. May be given often; replaces those "
    "that are there.",
)
@click.option(
    "--crop-before",
    type=click.Choice([str(c) for c in CropBefore]),
    help="What grew the year before.",
)
@click.option(
    "--legume", type=float, help="Its grain, or the dry shoots a legume pasture left. [t/ha]"
)
@click.option("--phosphorus", type=float, help="Fertiliser of the year before. [kg P/ha]")
def set_it(farm: Path, season_name: str, **given: Any) -> None:
    """Note what earlier years left; what is not given stays as it is.

    \b
    Example:
        vrxapp history set --farm farm.gpkg --season-year 2026 --lime 2023=2.5@85 \\
            --crop-before pulse --legume 1.8
    """
    _change(farm, season_name, lambda season: set_history(season, _changed(season.history, given)))


@history.command()
@with_options(*FARM_OPTIONS)
def clear(farm: Path, season_name: str) -> None:
    """Forget what was noted of earlier years.

    \b
    Example:
        vrxapp history clear --farm farm.gpkg
    """
    _change(farm, season_name, lambda season: set_history(season, None))


@history.command("use-legume")
@with_options(*FARM_OPTIONS)
def use_legume(farm: Path, season_name: str) -> None:
    """Take up the nitrogen that the legume before is offered with.

    \b
    Example:
        vrxapp history use-legume --farm farm.gpkg
    """
    _change(farm, season_name, use_legume_nitrogen)


def _changed(before: PaddockHistory | None, given: dict[str, Any]) -> PaddockHistory:
    """The history with what the options tell."""
    year = given["season_year"] or (before.season_year if before is not None else None)
    if year is None:
        raise MissingInputError(
            "the year of the season is not known", mend="Give --season-year, such as 2026"
        )
    limes: tuple[LimeSpread, ...] = tuple(lime_from_text(text) for text in given["limes"])
    told: dict[str, Any] = {
        "limes": limes or None,
        "crop_before": CropBefore(given["crop_before"]) if given["crop_before"] else None,
        "legume_t_ha": given["legume"],
        "phosphorus_before_kg_ha": given["phosphorus"],
    }
    told = {name: value for name, value in told.items() if value is not None}
    return replace(before or PaddockHistory(year), season_year=year, **told)


def _change(farm: Path, season_name: str, change: Callable[[Season], Season]) -> None:
    """Change a season, save the farm, and show what is noted now."""
    whole, notes = open_farm(farm)
    print_notes(notes)
    season = change(season_called(whole, season_name))
    write_farm(with_season(whole, season), farm)
    for line in history_lines(season):
        click.echo(line)
    if season.nitrogen is not None and season.nitrogen.legume_n_kg_ha > 0:
        click.echo(f"Nitrogen counts {season.nitrogen.legume_n_kg_ha:g} kg N/ha of the legume.")
    click.echo(f"Saved {farm}")


def _record(noted: PaddockHistory | None) -> dict[str, object] | None:
    """A history as a record with units in its names."""
    if noted is None:
        return None
    offer = legume_offer(noted)
    return {
        "season_year": noted.season_year,
        "limes": [
            {
                "year": lime.year,
                "rate_t_ha": lime.rate_t_ha,
                "effective_nv_percent": lime.effective_nv_percent,
                "lies_on_top": lime.lies_on_top,
            }
            for lime in noted.limes
        ],
        "crop_before": str(noted.crop_before),
        "legume_t_ha": noted.legume_t_ha,
        "phosphorus_before_kg_ha": noted.phosphorus_before_kg_ha,
        "legume_offer": None
        if offer is None
        else {
            "n_kg_ha": offer.n_kg_ha,
            "low_kg_ha": offer.low_kg_ha,
            "high_kg_ha": offer.high_kg_ha,
            "source": offer.by.source,
            "grade": str(offer.by.grade),
        },
    }
