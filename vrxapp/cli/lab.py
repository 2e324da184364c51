"""`vrxapp lab`: what the columns of a lab sheet hold, where its rows are from, and typed ones."""

from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.cli.lab_rows import rows, type_in
from vrxapp.cli.options import as_json, lab_source
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.files.lab_sheets.column_use import column_use, with_use
from vrxapp.files.lab_sheets.layout import LabLayout
from vrxapp.files.lab_sheets.mass_basis import MassBasis
from vrxapp.files.lab_sheets.preview import SheetPreview, examples, use_of, with_header_row
from vrxapp.ground.zones import comparable
from vrxapp.workflows.lab_sheets import (
    forget_layout_of,
    keep_layout,
    open_lab_sheet,
    read_seen_sheet,
)

_FILE = click.Path(path_type=Path)


@click.group()
def lab() -> None:
    """Look at lab sheets, put columns and rows right, and type results in.

    \b
    Example:
        vrxapp lab columns results.xlsx
    """


@lab.command()
@click.argument("path", type=_FILE)
@click.option(
    "--column",
    "told",
    multiple=True,
    metavar="NAME=USE",
    help="What a column is for: a role (sample, zone, paddock, depth...), an analyte with its "
    "unit in square brackets, or - for nothing; may be given often.",
)
@click.option("--header-row", type=int, help="Row of the header, counted from 1.")
@click.option("--decimal-comma/--decimal-point", default=None, help="What a comma means.")
@click.option(
    "--bulk-density",
    type=float,
    help="Bulk density of the sampled layers, for results in kg/ha or lb/ac; their depth stands "
    "in the sheet. [t/m3]",
)
@click.option(
    "--acre-convention",
    is_flag=True,
    default=None,
    help="Results by area stand for 6 inches of 2 million pounds an acre, as the laboratory says.",
)
@click.option(
    "--sample-density", type=float, help="Mass of a litre of sample, for results in mg/L. [kg/L]"
)
@click.option("--forget", is_flag=True, help="Forget the layout kept for such sheets.")
@as_json
def columns(path: Path, forget: bool, as_json: bool, **given: Any) -> None:
    """Show what each column of the sheet at PATH is taken for; what is put right is kept.

    \b
    Example:
        vrxapp lab columns results.xlsx --column "P=olsen_p [mg/kg]" --column "Mark=sample"
    """
    source = lab_source(path)
    assert source is not None
    seen = open_lab_sheet(source)
    if forget:
        gone = forget_layout_of(seen)
        click.echo("Forgotten." if gone else "No layout was kept for such sheets.", err=True)
        seen = open_lab_sheet(source)
    seen, is_told = _corrected(seen, given)
    if is_told:
        table = read_seen_sheet(seen, seen.layout)
        keep_layout(seen.layout)
        click.echo(
            f"Read {len(table.sample_ids)} rows so; the layout is kept for such sheets.", err=True
        )
    print_notes(seen.notes)
    if as_json:
        print_json(_layout_record(seen))
    else:
        _print_layout(seen)


def _corrected(seen: SheetPreview, given: dict[str, Any]) -> tuple[SheetPreview, bool]:
    """The sheet as the options put it right, and whether any did."""
    if given["header_row"] is not None:
        seen = with_header_row(seen, given["header_row"])
    layout = seen.layout
    for text in given["told"]:
        name, equals, use = text.rpartition("=")
        if not equals:
            raise MissingInputError(
                f"cannot read the column {text!r}", mend='Write it as --column "NAME=USE"'
            )
        layout = with_use(layout, _index_of(layout, name), column_use(use))
    if given["decimal_comma"] is not None:
        layout = replace(layout, decimal_comma=given["decimal_comma"])
    layout = replace(layout, mass_basis=_mass_basis(layout.mass_basis, given))
    settings = ("header_row", "decimal_comma", "bulk_density", "acre_convention", "sample_density")
    is_told = bool(given["told"]) or any(given[name] is not None for name in settings)
    return replace(seen, layout=layout), is_told


def _mass_basis(before: MassBasis, given: dict[str, Any]) -> MassBasis:
    """What turns results by area or volume into concentrations, as the options put it right."""
    density, convention = given["bulk_density"], given["acre_convention"]
    if density is None and convention is None:
        density, convention = before.bulk_density_t_m3, before.acre_convention
    sample = given["sample_density"]
    return MassBasis(
        density, before.sample_density_kg_l if sample is None else sample, bool(convention)
    )


def _index_of(layout: LabLayout, name: str) -> int:
    """The column of a name, or of a number counted from 1."""
    names = [comparable(column.name) for column in layout.columns]
    if comparable(name) in names:
        return names.index(comparable(name))
    if name.strip().isdigit() and 1 <= int(name) <= len(names):
        return int(name) - 1
    raise UnknownChoiceError(
        f"the sheet has no column {name.strip()!r}",
        mend=f"Choose one of: {', '.join(c.name for c in layout.columns if c.name)}; or its number",
    )


def _layout_record(seen: SheetPreview) -> dict[str, Any]:
    """What each column is taken for, as a record."""
    shown = examples(seen.sheet)
    return {
        "file": seen.sheet.file,
        "tab": seen.sheet.tab,
        "rows": len(seen.sheet.rows),
        "header_row": seen.layout.header_row,
        "remembered": seen.is_remembered,
        "mass": asdict(seen.layout.mass_basis),
        "columns": [
            {
                "column": column.name,
                "use": use_of(column),
                "doubt": column.doubt,
                "first_values": list(shown[index]),
            }
            for index, column in enumerate(seen.layout.columns)
        ],
        "notes": [str(note) for note in seen.notes],
    }


def _print_layout(seen: SheetPreview) -> None:
    """One line a column."""
    source = "a layout that was kept" if seen.is_remembered else "the names of the columns"
    console = Console(soft_wrap=True, highlight=False)
    console.print(
        f"{seen.sheet.file}: {len(seen.sheet.rows)} rows, header in row "
        f"{seen.layout.header_row}; read by {source}",
        markup=False,
    )
    table = Table("", "Column", "Taken for", "First values", "Doubt", box=box.SIMPLE_HEAD)
    shown = examples(seen.sheet)
    for index, column in enumerate(seen.layout.columns):
        values = ", ".join(filter(None, shown[index]))
        table.add_row(str(index + 1), column.name, use_of(column) or "-", values, column.doubt)
    console.print(table)


lab.add_command(rows)
lab.add_command(type_in)
