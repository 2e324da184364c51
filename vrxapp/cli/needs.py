"""`vrxapp needs`: a lab sheet alone, no map; what each sample needs, and why."""

import math
from pathlib import Path
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.agronomy.trail import Sentence, printed_value, told_for
from vrxapp.cli.needs_options import NEEDS_OPTIONS, phosphorus_settings, target_yield_of
from vrxapp.cli.operation_options import LIME_OPTIONS, lime_settings
from vrxapp.cli.options import LAB_OPTION, as_json, lab_source, with_options
from vrxapp.cli.printing import print_json, print_notes, print_sentences
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.farm import season_called
from vrxapp.ground.zones import comparable
from vrxapp.need_plans import CropPlan
from vrxapp.prescription.need_rules import NeedPlans, left_out_layers, planned_needs
from vrxapp.prescription.sheet_needs import SheetPlans, samples_of, sheet_need
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.soil.quality_checks import quality_notes
from vrxapp.soil.results_table import rows_of_paddock
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.operation_settings import lime_plan_from
from vrxapp.workflows.phosphorus_settings import phosphorus_plan_from
from vrxapp.workflows.sheet_plans import needs_left_open, sheet_plans

_SIDE_BY_SIDE = 2  # more needs than these would leave no room for the reasons


@click.command()
@LAB_OPTION
@click.option("--lab-paddock", default="", help="Only the rows of this paddock.")
@with_options(*NEEDS_OPTIONS, *LIME_OPTIONS)
@click.option(
    "--plans",
    "plans_from",
    type=click.Path(path_type=Path),
    help="A farm file: work every need out as one of its seasons does.",
)
@click.option(
    "--paddock", "--season", "season_name", default="", help="Which paddock or season of that."
)
@click.option("--why", "why_sample", help="Tell the trail of this sample.")
@as_json
def needs(
    lab: Path | None, lab_paddock: str, why_sample: str | None, as_json: bool, **given: Any
) -> None:
    """Work out what each sample of a lab sheet needs, without a map.

    What has not been planned goes by the range that was published for the crop and a test of
    the sheet, where there is one; the rest is told, with what to choose.

    \b
    Example:
        vrxapp needs --lab lab_composites.csv --crop wheat --yield 4 --why A3
        vrxapp needs --lab results.xlsx --plans farm.gpkg --paddock "Long Bend"
    """
    source = lab_source(lab)
    if source is None:
        raise MissingInputError(
            "there is no lab sheet", mend="Give --lab FILE, or --lab - for pasted cells"
        )
    tests = lab_results(source)
    tests = rows_of_paddock(tests, lab_paddock) if lab_paddock else tests
    plans = sheet_plans(
        _plans(given), tests, texture=given["texture"], bulk_density_t_m3=given["bulk_density"]
    )
    purposes = planned_needs(plans)
    found = [(str(p).capitalize(), sheet_need(tests, plans, p)) for p in purposes]
    samples = samples_of(tests)
    if why_sample is not None:
        _print_why(samples, why_sample, found, as_json=as_json)
        return
    if as_json:
        print_json(_records(samples, found))
        return
    layers = [note for p in purposes for note in left_out_layers(tests, plans, p)]
    print_notes((*tests.notes, *quality_notes(tests), *dict.fromkeys(layers)))
    console = Console(soft_wrap=True, highlight=False)
    console.print(_table(samples, found) if len(found) <= _SIDE_BY_SIDE else _list(samples, found))
    for note in needs_left_open(plans):
        console.print(str(note), markup=False)


def _plans(given: dict[str, Any]) -> NeedPlans:
    """How needs are worked out: as a season does, or as the options say."""
    if given["plans_from"] is not None:
        farm, notes = open_farm(given["plans_from"])
        print_notes(notes)
        return season_called(farm, given["season_name"])
    return SheetPlans(
        CropPlan(given["crop"], target_yield_of(given)),
        phosphorus_plan_from(phosphorus_settings(given), given["crop"]),
        lime_plan_from(lime_settings(given)),
    )


def _records(samples: tuple[str, ...], found: list[tuple[str, ZoneNeed]]) -> list[dict[str, Any]]:
    """One record a sample and need."""
    return [
        {
            "sample": sample,
            "need": name,
            "amount": float(need.amount[row]),
            "unit": need.unit,
            "reason": str(need.reasons[row]),
        }
        for row, sample in enumerate(samples)
        for name, need in found
    ]


def _table(samples: tuple[str, ...], found: list[tuple[str, ZoneNeed]]) -> Table:
    """One row a sample, one column a need, and why there is none."""
    table = Table(box=box.SIMPLE_HEAD)
    table.add_column("Sample")
    for name, need in found:
        table.add_column(f"{name}, {need.unit}", justify="right")
    table.add_column("Note")
    for row, sample in enumerate(samples):
        amounts = [float(need.amount[row]) for _, need in found]
        notes = "; ".join(str(need.reasons[row]) for _, need in found if need.reasons[row])
        cells = ("none" if math.isnan(a) else printed_value(a) for a in amounts)
        table.add_row(sample, *cells, notes)
    return table


def _list(samples: tuple[str, ...], found: list[tuple[str, ZoneNeed]]) -> Table:
    """One row a sample and need, so that each reason stands beside its need."""
    table = Table("Sample", "Need", box=box.SIMPLE_HEAD)
    table.add_column("Amount", justify="right")
    table.add_column("Unit")
    table.add_column("Note")
    for row, sample in enumerate(samples):
        for name, need in found:
            amount = float(need.amount[row])
            told = "none" if math.isnan(amount) else printed_value(amount)
            table.add_row(sample, name, told, need.unit, str(need.reasons[row]))
    return table


def _print_why(
    samples: tuple[str, ...], wanted: str, found: list[tuple[str, ZoneNeed]], *, as_json: bool
) -> None:
    """The trail of one sample."""
    rows = {comparable(sample): row for row, sample in enumerate(samples)}
    if comparable(wanted) not in rows:
        raise UnknownChoiceError(
            f"the lab sheet has no sample {wanted!r}", mend=f"Choose one of: {', '.join(samples)}"
        )
    row = rows[comparable(wanted)]
    sentences = [s for name, need in found for s in _told(name, need, row)]
    if as_json:
        print_json(
            [{"text": s.text, "source": s.source, "grade": str(s.grade or "")} for s in sentences]
        )
    else:
        print_sentences(sentences)


def _told(name: str, need: ZoneNeed, row: int) -> tuple[Sentence, ...]:
    if need.reasons[row]:
        return (Sentence(f"{name}: none can be told: {need.reasons[row]}.", "", None),)
    return told_for(need.trail, row)
