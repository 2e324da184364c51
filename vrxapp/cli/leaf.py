"""`vrxapp leaf`: what a leaf test says, nutrient by nutrient, each with its source."""

import math
from pathlib import Path
from typing import Any

import click
import numpy as np
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.agronomy.tissue import TissueClass, source_word
from vrxapp.agronomy.trail import printed_value
from vrxapp.cli.options import as_json
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.files.leaf_sheet import read_leaf_sheet
from vrxapp.sources import bibliography
from vrxapp.workflows.leaf_tests import (
    LeafReport,
    advice_lines,
    leaf_crops,
    leaf_parts,
    leaf_report,
    range_words,
    sampling_from,
    source_words,
)

_PARTS = tuple(dict.fromkeys(str(part) for crop in leaf_crops() for part in leaf_parts(crop)))


@click.command()
@click.argument("path", type=click.Path(path_type=Path))
@click.option("--crop", default="", help=f"One of: {', '.join(leaf_crops())}.")
@click.option("--stage", default="", help="Stage in words, or a Zadoks code such as 25.")
@click.option("--part", default="", help=f"Part sampled, one of: {', '.join(_PARTS)}.")
@click.option("--source", default="", help="Go by this source; an unverified one only so.")
@click.option(
    "--sprayed",
    multiple=True,
    metavar="NUTRIENT=DAYS",
    help="Sprayed on these leaves so many days ago; may be given often.",
)
@click.option(
    "--dry-matter",
    "dry_matter_t_ha",
    type=float,
    default=math.nan,
    help="Dry matter of the tops, to tell what they hold; whole tops only. [t/ha]",
)
@as_json
def leaf(path: Path, crop: str, stage: str, part: str, as_json: bool, **given: Any) -> None:
    """Judge the leaf tests in the sheet at PATH: one row a sample, one column a nutrient.

    A range holds only for the crop, stage and part it was made for; nothing is approximated.
    Where a choice is missing or unknown, the error lists what there is.

    \b
    Example:
        vrxapp leaf leaves.csv --crop wheat --stage 25 --part young_leaf
        vrxapp leaf tops.csv --crop wheat --stage 31 --part whole_shoot --dry-matter 2.5
    """
    sampling = sampling_from(crop, part, stage)
    sheet = read_leaf_sheet(path)
    print_notes(sheet.notes)
    report = leaf_report(sheet, sampling, **given)
    if as_json:
        print_json(_record(report))
    else:
        _print(report)


def _record(report: LeafReport) -> dict[str, Any]:
    """The whole report, with units in its names."""
    sampling = report.sampling
    return {
        "file": report.sheet.file,
        "crop": sampling.crop,
        "part": str(sampling.part),
        "stage": sampling.stage,
        "zadoks": sampling.zadoks,
        "dry_matter_t_ha": report.dry_matter_t_ha,
        "results": list(_results(report)),
        "ratios": [
            {
                "sample": sample,
                "ratio": column.ratio.name,
                "value": float(column.values[row]),
                "place": str(column.places[row]),
                "meaning": column.ratio.meaning,
                "source": column.ratio.source,
            }
            for column in report.ratios
            for row, sample in enumerate(report.sheet.samples)
        ],
        "phosphorus_may_keep_zinc_down": [
            sample
            for sample, is_hinted in zip(report.sheet.samples, report.zinc_hints, strict=True)
            if is_hinted
        ],
        "advice": list(advice_lines(report)),
    }


def _results(report: LeafReport) -> list[dict[str, Any]]:
    """One record a result that there is."""
    sheet, found = report.sheet, report.found
    records = []
    for row, column in np.argwhere(np.isfinite(sheet.values)):
        limits, known = found.ranges[column], str(found.classes[row, column])
        records.append(
            {
                "sample": sheet.samples[row],
                "nutrient": sheet.nutrients[column],
                "value": float(sheet.values[row, column]),
                "limit": str(sheet.limits[row, column]),
                "unit": sheet.units[column],
                "class": known,
                "source_word": source_word(limits, TissueClass(known)) if limits else "",
                "range": range_words(limits) if limits else "",
                "source": source_words(limits, known) if limits else "",
                "reason": found.reasons[column],
                "action": str(report.advice.actions[row, column]),
                "cut_percent": float(report.advice.cut_percent[row, column]),
                "uptake_kg_ha": math.nan
                if report.uptake_kg_ha is None
                else float(report.uptake_kg_ha[row, column]),
            }
        )
    return records


def _print(report: LeafReport) -> None:
    """A table of classes, the ratios, the advice, and the sources in full."""
    console = Console(soft_wrap=True, highlight=False)
    table = Table("Sample", "Nutrient", "Result", "Class", "Source", box=box.SIMPLE_HEAD)
    reasons: dict[str, str] = {}
    for record in _results(report):
        half = ", half its limit" if record["limit"] == "<" else ""
        value = f"{printed_value(record['value'])} {record['unit']}{half}"
        table.add_row(
            record["sample"],
            record["nutrient"],
            value,
            record["class"] or "no class",
            record["source"].partition(",")[0],
        )
        if record["reason"]:
            reasons[record["nutrient"]] = record["reason"]
    console.print(table)
    for limits in report.found.ranges:
        if limits is not None:
            told = f"{range_words(limits)}  [{source_words(limits, '')}]"
            console.print(f"{limits.nutrient}: {told}", markup=False)
    for column in report.ratios:
        for row, sample in enumerate(report.sheet.samples):
            if column.places[row]:
                console.print(
                    f"{sample}: {column.ratio.name} {printed_value(float(column.values[row]))}, "
                    f"{column.places[row]} ({column.ratio.meaning})  [{column.ratio.source}]",
                    markup=False,
                )
    for nutrient, reason in reasons.items():
        console.print(f"No class for {nutrient}: {reason}", markup=False)
    for line in advice_lines(report):
        console.print(line, markup=False)
    _print_sources(console, report)


def _print_sources(console: Console, report: LeafReport) -> None:
    """The sources in full."""
    ranges = [limits for limits in report.found.ranges if limits is not None]
    used = {limits.source for limits in ranges} | {column.ratio.source for column in report.ratios}
    console.print("\nSources", markup=False)
    for entry in bibliography():
        if entry.key in used:
            console.print(f"  {entry.key}: {entry.citation} (seen: {entry.seen})", markup=False)
