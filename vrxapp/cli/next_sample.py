"""`vrxapp next-sample`: where one more soil sample would pay most, and why."""

import math
from pathlib import Path
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.cli.options import FARM_OPTIONS, as_json, with_options
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.farm import season_called
from vrxapp.prescription.sampling_ranking import RankedZone, Stakes, ranked_zones
from vrxapp.season import operation_called
from vrxapp.workflows.farm_files import open_farm

_OPTIONS = (
    *FARM_OPTIONS,
    click.option("--operation", "operation_name", help="Which operation; else the first."),
    click.option(
        "--loss-if-short",
        type=float,
        default=math.nan,
        help="Yield lost where a zone that is short is left without. [t/ha]",
    ),
    click.option("--crop-price", type=float, default=math.nan, help="[currency/t]"),
    click.option(
        "--sample-price", type=float, default=math.nan, help="What one more sample costs."
    ),
)


@click.command("next-sample")
@with_options(*_OPTIONS)
@as_json
def next_sample(farm: Path, as_json: bool, **given: Any) -> None:
    """Rank the zones of a season by what a wrong class is expected to cost.

    With --loss-if-short and --crop-price in money, else by the hectares that may be treated
    wrongly. What a wrong class costs is also the most that a further sample can save.

    \b
    Example:
        vrxapp next-sample --farm farm.gpkg --loss-if-short 0.5 --crop-price 330
    """
    whole, notes = open_farm(farm)
    print_notes(notes)
    season = season_called(whole, given["season_name"])
    wanted = given["operation_name"]
    operation = operation_called(season, wanted) if wanted else season.operations[0]
    stakes = Stakes(given["loss_if_short"], given["crop_price"])
    ranked = ranked_zones(season, operation, stakes)
    records = [_record(zone, given["sample_price"]) for zone in ranked]
    if as_json:
        print_json(records)
        return
    measure = "expected cost" if stakes.is_told else "expected ha treated wrongly"
    table = Table("Zone", "ha", "chance wrong", measure, "Why", box=box.SIMPLE_HEAD)
    for record, zone in zip(records, ranked, strict=True):
        size = zone.expected_cost if stakes.is_told else zone.area_ha * zone.chance_wrong
        chance = "-" if math.isnan(zone.chance_wrong) else f"{zone.chance_wrong:.0%}"
        cost = "-" if math.isnan(size) else f"{size:,.1f}"
        worth = "; a sample costs more" if record["sample_pays"] is False else ""
        table.add_row(zone.zone, f"{zone.area_ha:.1f}", chance, cost, zone.reason + worth)
    Console(soft_wrap=True, highlight=False).print(table)


def _record(zone: RankedZone, sample_price: float) -> dict[str, Any]:
    """One zone as a record."""
    told = math.isfinite(sample_price) and math.isfinite(zone.expected_cost)
    return {
        "zone": zone.zone,
        "area_ha": zone.area_ha,
        "chance_wrong": zone.chance_wrong,
        "expected_cost": zone.expected_cost,
        "sample_pays": zone.expected_cost > sample_price if told else None,
        "reason": zone.reason,
    }
