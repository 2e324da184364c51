"""`vrxapp plan crop` and `vrxapp plan phosphorus`: what is grown, and its phosphorus."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from vrxapp.agronomy.crops import crop as known_crop
from vrxapp.agronomy.crops import crops
from vrxapp.cli.needs_options import PHOSPHORUS_OPTIONS, phosphorus_settings
from vrxapp.cli.options import FARM_OPTIONS, with_options
from vrxapp.cli.printing import print_notes
from vrxapp.edits.rates import set_crop, set_phosphorus_plan, set_target_yield
from vrxapp.farm import season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.need_plans import Purpose
from vrxapp.season import Season
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.need_words import plan_words
from vrxapp.workflows.phosphorus_settings import phosphorus_plan_from


@click.command()
@click.argument("grown", metavar="CROP", type=click.Choice([c.key for c in crops()]))
@with_options(*FARM_OPTIONS)
@click.option("--yield", "target_yield", type=float, help="Target yield; none: as it is. [t/ha]")
def crop(grown: str, farm: Path, season_name: str, target_yield: float | None) -> None:
    """Grow CROP; its phosphorus is read against the published value, if there is one.

    \b
    Example:
        vrxapp plan crop barley --farm farm.gpkg --yield 3.5
    """

    def change(season: Season) -> Season:
        after = set_crop(season, grown)
        return after if target_yield is None else set_target_yield(after, target_yield)

    after = _saved(farm, season_name, change)
    click.echo(
        f"{known_crop(after.crop.crop).name}, {after.crop.target_yield_t_ha:g} t/ha. "
        f"Phosphorus: {plan_words(after, Purpose.PHOSPHORUS)}. Saved {farm}"
    )


@click.command()
@with_options(*FARM_OPTIONS, *PHOSPHORUS_OPTIONS)
def phosphorus(farm: Path, season_name: str, **given: Any) -> None:
    """Work phosphorus out anew: what is not given goes back to the published default.

    \b
    Example:
        vrxapp plan phosphorus --farm farm.gpkg --own-critical 25 \\
            --own-critical-test mehlich3_p --own-critical-depth 0-15 \\
            --own-critical-reason "district trials"
    """

    def change(season: Season) -> Season:
        made = phosphorus_plan_from(phosphorus_settings(given), season.crop.crop)
        return set_phosphorus_plan(season, made)

    after = _saved(farm, season_name, change)
    click.echo(f"Phosphorus: {plan_words(after, Purpose.PHOSPHORUS)}. Saved {farm}")


def _saved(farm: Path, season_name: str, change: Callable[[Season], Season]) -> Season:
    """The season changed, and the farm saved with it."""
    whole, notes = open_farm(farm)
    print_notes(notes)
    after = change(season_called(whole, season_name))
    write_farm(with_season(whole, after), farm)
    return after
