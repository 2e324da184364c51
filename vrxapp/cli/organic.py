"""`vrxapp organic`: what a compost, manure or litter carries, and what becomes of it."""

import math
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.agronomy.organic_dressing import SeasonRelease
from vrxapp.agronomy.trail import printed_value
from vrxapp.cli.options import as_json, with_options
from vrxapp.cli.organic_options import ORGANIC_OPTIONS, organic_settings
from vrxapp.cli.printing import print_json
from vrxapp.sources import source
from vrxapp.workflows.organics import (
    OrganicAsk,
    OrganicSum,
    available_words,
    need_rate_words,
    organic_analysis_from,
    organic_sum,
    source_keys,
    sum_title,
)


@click.command()
@with_options(*ORGANIC_OPTIONS)
@click.option("--wet-rate", type=float, default=math.nan, help="Rate as spread. [t/ha]")
@click.option("--dry-rate", type=float, default=math.nan, help="Rate of dry matter. [t/ha]")
@click.option("--need-p", type=float, default=math.nan, help="Phosphorus to bring. [kg/ha]")
@click.option("--need-n", type=float, default=math.nan, help="Nitrogen to bring. [kg/ha]")
@click.option(
    "--counted",
    type=float,
    default=100.0,
    show_default=True,
    help="Share of what is carried that counts towards these. [%]",
)
@as_json
def organic(as_json: bool, **given: Any) -> None:
    """Work out a compost, manure or litter: rates, nutrients, and what becomes available.

    \b
    Example:
        vrxapp organic --typical litter_sawdust --wet-rate 6
        vrxapp organic --material compost --moisture 35 --n 1.6 --p 0.5 --need-p 20
    """
    ask = OrganicAsk(
        wet_t_ha=given["wet_rate"],
        dry_t_ha=given["dry_rate"],
        need_p_kg_ha=given["need_p"],
        need_n_kg_ha=given["need_n"],
        counted_percent=given["counted"],
    )
    found = organic_sum(organic_analysis_from(organic_settings(given)), ask)
    if as_json:
        print_json(_record(found))
        return
    _print(found)


def _print(found: OrganicSum) -> None:
    """The sum as a table, the rates, where it comes from, and what to mind."""
    console = Console(soft_wrap=True, highlight=False)
    table = Table("Nutrient", box=box.SIMPLE_HEAD, title=sum_title(found), title_justify="left")
    table.add_column("carried kg/ha", justify="right")
    table.add_column("becomes available, least to most")
    for nutrient in found.nutrients:
        words = "\n".join(available_words(nutrient, found.analysis))
        table.add_row(nutrient.element, printed_value(nutrient.carried_kg_ha), words)
    console.print(table)
    for rate in found.need_rates:
        console.print(need_rate_words(rate, found), markup=False)
    console.print("Mind:", markup=False)
    for caution in found.cautions:
        console.print(f"  {caution}", markup=False)
    console.print("\nSources", markup=False)
    for key in source_keys(found):
        entry = source(key)
        console.print(f"  {key}: {entry.citation} (seen: {entry.seen})", markup=False)


def _record(found: OrganicSum) -> dict[str, object]:
    """The sum as a record with units in its names."""
    analysis = found.analysis
    return {
        "name": analysis.name,
        "basis": str(analysis.basis),
        "moisture_percent": analysis.moisture_percent,
        "grade": str(analysis.grade),
        "source": analysis.source,
        "wet_t_ha": found.wet_t_ha,
        "dry_t_ha": found.dry_t_ha,
        "nutrients": [
            {
                "element": n.element,
                "carried_kg_ha": n.carried_kg_ha,
                "available": [_season_record(s) for s in n.seasons],
            }
            for n in found.nutrients
        ],
        "rates_for_needs": [
            {
                "element": r.element,
                "need_kg_ha": r.need_kg_ha,
                "counted_percent": r.counted_percent,
                "wet_t_ha": r.wet_t_ha,
                "carried_p_kg_ha": r.carried_p_kg_ha,
            }
            for r in found.need_rates
        ],
        "cautions": list(found.cautions),
    }


def _season_record(release: SeasonRelease) -> dict[str, object]:
    published = release.published
    return {
        "season": release.season,
        "least_kg_ha": release.least_kg_ha,
        "most_kg_ha": release.most_kg_ha,
        "told_for": str(published.told_for),
        "setting": published.setting,
        "source": published.source,
        "where": published.where,
        "grade": str(published.grade),
    }
