"""What the verbs print: tables for people, JSON for programs, progress and notes aside."""

import json
import math
from collections.abc import Iterable

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.agronomy.trail import Sentence, printed_value
from vrxapp.errors import Note
from vrxapp.files.file_checks import ReadBack
from vrxapp.prescription.mix import mix_cautions
from vrxapp.prescription.pipeline import RATE_UNIT, Prescription
from vrxapp.sources import bibliography
from vrxapp.units import KILOGRAMS_PER_TONNE
from vrxapp.workflows.hand_over import HandOver


class TerminalProgress:
    """Tells the stage of long work on the error stream, where it disturbs no result."""

    def __init__(self) -> None:
        self._console = Console(stderr=True)
        self._told = ("", -1)

    def step(self, done: int, total: int, stage: str) -> None:
        """Print a line for each tenth of a stage, only where a person watches."""
        reached = (stage, 10 * done // max(total, 1))
        if self._console.is_terminal and reached != self._told:
            self._told = reached
            self._console.print(f"[{done}/{total}] {stage}", markup=False, style="dim")


def print_notes(notes: Iterable[Note]) -> None:
    """Print what was doubtful on the error stream."""
    console = Console(stderr=True, soft_wrap=True)
    for note in notes:
        console.print(f"Note: {note}", markup=False, highlight=False)


def print_json(value: object) -> None:
    """Print a result for programs; a number that is missing is null."""
    click.echo(json.dumps(_plain(value), indent=2, ensure_ascii=False, allow_nan=False))


def _plain(value: object) -> object:
    """A value without what JSON does not have."""
    if isinstance(value, dict):
        return {key: _plain(part) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(part) for part in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def plan_record(plan: Prescription) -> dict[str, object]:
    """A plan as a record with units in its names."""
    totals = plan.totals
    return {
        "operation": plan.operation.name,
        "product": plan.rate_map.product,
        "need_unit": plan.need_unit,
        "zones": [
            {
                "zone": name,
                "need": float(plan.need[row]),
                "rate_kg_ha": float(plan.rates_kg_ha[row]),
                "fertiliser_kg_ha": float(plan.product_kg_ha[row]),
                "humate_kg_ha": float(plan.humate_kg_ha[row]),
                "cut_kg_ha": float(plan.cut_kg_ha[row]),
                "area_ha": float(totals.zone_area_ha[row]),
                "product_kg": float(totals.zone_product_kg[row]),
                "reason": str(plan.reasons[row]),
            }
            for row, name in enumerate(plan.zone_names)
        ],
        "spread_ha": totals.spread_ha,
        "check_strip_ha": totals.strip_ha,
        "excluded_ha": totals.excluded_ha,
        "no_rate_ha": totals.no_rate_ha,
        "product_kg": totals.product_kg,
        "humate_kg": totals.humate_kg,
        "cost": totals.cost,
        "currency": totals.currency,
        "notes": [str(note) for note in plan.notes],
    }


def print_plan(plan: Prescription) -> None:
    """Print a plan as a table with its totals."""
    table = Table(box=box.SIMPLE_HEAD, title=_title(plan), title_justify="left")
    table.add_column("Zone")
    for heading in (f"need {plan.need_unit}", f"rate {RATE_UNIT}", "ha", "kg"):
        table.add_column(heading, justify="right")
    for row, name in enumerate(plan.zone_names):
        has_rate = not plan.reasons[row]
        table.add_row(
            name,
            printed_value(float(plan.need[row])) if has_rate else "-",
            f"{plan.rates_kg_ha[row]:g}" if has_rate else "none",
            f"{plan.totals.zone_area_ha[row]:.2f}",
            f"{plan.totals.zone_product_kg[row]:,.0f}",
        )
    console = Console(soft_wrap=True, highlight=False)
    console.print(table)
    for line in _total_lines(plan):
        console.print(line, markup=False)


def _title(plan: Prescription) -> str:
    return f"{plan.operation.name}: {plan.rate_map.product}"


def _total_lines(plan: Prescription) -> list[str]:
    """Totals, what gets nothing, and zones without a rate."""
    totals = plan.totals
    tonnes = totals.product_kg / KILOGRAMS_PER_TONNE
    money = (
        "no price given"
        if math.isnan(totals.cost)
        else f"{totals.cost:,.0f} {totals.currency}".strip()
    )
    mix = f", {totals.humate_kg:,.0f} kg of it humate" if totals.humate_kg else ""
    lines = [
        f"Total: {totals.product_kg:,.0f} kg = {tonnes:.2f} t on {totals.spread_ha:.2f} ha{mix}; "
        f"product cost: {money}",
        f"Gets nothing: check strips {totals.strip_ha:.2f} ha, excluded "
        f"{totals.excluded_ha:.2f} ha, without a rate {totals.no_rate_ha:.2f} ha",
    ]
    lines += [
        f"No rate for {name}: {plan.reasons[row]}"
        for row, name in enumerate(plan.zone_names)
        if plan.reasons[row]
    ]
    return lines


def print_hand_over(done: HandOver) -> None:
    """Print where the files are, what reading them back showed, and the cautions."""
    print_read_backs(done)
    console = Console(soft_wrap=True, highlight=False)
    console.print("Files:", markup=False)
    for path in done.files:
        console.print(f"  {path}", markup=False)
    console.print("Mind:", markup=False)
    for caution in mix_cautions(done.plan.operation):
        console.print(f"  {caution}", markup=False)


def print_read_backs(done: HandOver) -> None:
    """Print what reading the files back showed."""
    console = Console(soft_wrap=True, highlight=False)
    for read_back in done.read_backs:
        console.print(f"Read back: {_read_back_line(read_back)}", markup=False)


def _read_back_line(read_back: ReadBack) -> str:
    return (
        f"{read_back.file} by {read_back.reader}: {read_back.parts} parts, "
        f"{read_back.written_kg:,.1f} kg written, {read_back.planned_kg:,.1f} kg planned "
        f"({read_back.difference_percent:+.4f} %)"
    )


def print_sentences(sentences: Iterable[Sentence]) -> None:
    """Print a trail, each step with its source and grade, then the sources in full."""
    console = Console(soft_wrap=True, highlight=False)
    used: list[str] = []
    for number, sentence in enumerate(sentences, start=1):
        marks = [part for part in (sentence.source, str(sentence.grade or "")) if part]
        tail = f"  [{'; '.join(marks)}]" if marks else ""
        console.print(f"{number}. {sentence.text}{tail}", markup=False)
        used += [sentence.source] if sentence.source else []
    if used:
        console.print("\nSources", markup=False)
    for entry in bibliography():
        if entry.key in used:
            console.print(f"  {entry.key}: {entry.citation} (seen: {entry.seen})", markup=False)
