"""`vrxapp plan crop` and `vrxapp plan phosphorus`: what is grown, and its phosphorus."""

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from vrxapp.agronomy.crops import crop as known_crop
from vrxapp.agronomy.crops import crops
from vrxapp.agronomy.water_target import WaterTarget
from vrxapp.agronomy.yield_potential import USUAL_TARGET_SHARES, yield_benchmarks
from vrxapp.cli.needs_options import PHOSPHORUS_OPTIONS, phosphorus_settings
from vrxapp.cli.options import FARM_OPTIONS, with_options
from vrxapp.cli.printing import print_notes
from vrxapp.edits.rates import (
    set_crop,
    set_crop_price,
    set_phosphorus_plan,
    set_target_yield,
    set_water_target,
)
from vrxapp.errors import MissingInputError
from vrxapp.farm import season_called, with_season
from vrxapp.files.farm_file import write_farm
from vrxapp.need_plans import Purpose
from vrxapp.season import Season
from vrxapp.units import PERCENT
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.need_words import plan_words
from vrxapp.workflows.phosphorus_settings import phosphorus_plan_from

_WATER_OPTIONS = (
    click.option(
        "--benchmark",
        default="",
        help="From water: grain for each mm, "
        + ", ".join(f"{row.key} ({row.grade})" for row in yield_benchmarks())
        + ".",
    ),
    click.option("--rain", type=float, default=math.nan, help="While the crop grows. [mm]"),
    click.option(
        "--summer-rain",
        type=float,
        default=math.nan,
        help="From harvest to sowing; a third of it counts as stored. [mm]",
    ),
    click.option(
        "--stored-water", type=float, default=math.nan, help="Or what was probed at sowing. [mm]"
    ),
    click.option(
        "--target-share",
        type=float,
        default=math.nan,
        help="Of the potential; usual is {:g} to {:g}, there is no default. [%]".format(
            *(share * PERCENT for share in USUAL_TARGET_SHARES)
        ),
    ),
)


@click.command()
@click.argument("grown", metavar="CROP", type=click.Choice([c.key for c in crops()]))
@with_options(*FARM_OPTIONS)
@click.option("--yield", "target_yield", type=float, help="Target yield; none: as it is. [t/ha]")
@click.option("--price", type=float, help="What the crop is worth at the farm. [currency/t]")
@with_options(*_WATER_OPTIONS)
def crop(
    grown: str,
    farm: Path,
    season_name: str,
    target_yield: float | None,
    price: float | None,
    **water: Any,
) -> None:
    """Grow CROP; its phosphorus is read against the published value, if there is one.

    The target yield is told by --yield, or worked out from water: a share of what the season's
    rain and the water stored at sowing allow. Such a potential is a ceiling, never a forecast.

    \b
    Examples:
        vrxapp plan crop barley --farm farm.gpkg --yield 3.5 --price 320
        vrxapp plan crop wheat --farm farm.gpkg --rain 300 --summer-rain 90 \\
            --target-share 75 --benchmark wheat-south-australia
    """
    target = _water_target(water)
    if target is not None and target_yield is not None:
        raise MissingInputError(
            "the target yield is told twice", mend="Give --yield, or --rain with the rest"
        )

    def change(season: Season) -> Season:
        after = set_crop(season, grown)
        after = after if target_yield is None else set_target_yield(after, target_yield)
        after = after if target is None else set_water_target(after, target)
        return after if price is None else set_crop_price(after, price)

    after = _saved(farm, season_name, change)
    click.echo(
        f"{known_crop(after.crop.crop).name}, {after.crop.target_yield_t_ha:g} t/ha"
        f"{' from water' if after.crop.water else ''}. "
        f"Phosphorus: {plan_words(after, Purpose.PHOSPHORUS)}. Saved {farm}"
    )


def _water_target(given: dict[str, Any]) -> WaterTarget | None:
    """The target from water as the options tell it; None where none of them is given."""
    numbers = {name: value for name, value in given.items() if name != "benchmark"}
    if not given["benchmark"] and all(math.isnan(value) for value in numbers.values()):
        return None
    if not given["benchmark"]:
        raise MissingInputError(
            "a target from water needs a yield benchmark; there is no default",
            mend=f"Give --benchmark: {', '.join(row.key for row in yield_benchmarks())}",
        )
    return WaterTarget(
        given["benchmark"],
        given["rain"],
        given["target_share"] / PERCENT,
        given["stored_water"],
        given["summer_rain"],
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
