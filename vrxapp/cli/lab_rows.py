"""`vrxapp lab rows` and `type`: results given to the paddocks, zones and layers of a farm."""

from pathlib import Path
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.cli.options import as_json, lab_source, with_options
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.edits.sheet_rows import RowPlace, use_rows
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.farm import Farm
from vrxapp.files.farm_file import write_farm
from vrxapp.files.lab_sheets.typed_form import typed_results, typed_row
from vrxapp.ground.zones import comparable
from vrxapp.soil.quality_checks import quality_notes
from vrxapp.soil.results_table import ResultsTable
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.match_rows import ProposedPlace, as_said, proposed_places, told_place

_FILE = click.Path(path_type=Path)
_FARM = (
    click.option("--farm", type=_FILE, required=True, help="The farm file (.gpkg)."),
    click.option(
        "--row",
        "told",
        multiple=True,
        metavar="SAMPLE=PLACE",
        help="Where a sample is from: PADDOCK/ZONE@LAYER, of which any part may be left out, "
        "or - to leave it out; may be given often. ROW may stand for SAMPLE, as its row number "
        "in the sheet.",
    ),
    click.option("--save", is_flag=True, help="Put the rows into the farm file."),
    click.option(
        "--take-proposals", is_flag=True, help="Take rows too whose zone is only proposed."
    ),
)


@click.command()
@click.argument("path", type=_FILE)
@with_options(*_FARM)
@as_json
def rows(path: Path, as_json: bool, **given: Any) -> None:
    """Show where each row of the sheet at PATH seems to be from, and give rows to a farm.

    \b
    Example:
        vrxapp lab rows results.xlsx --farm farm.gpkg --row "C1=Creek flat@0-10" --save
    """
    source = lab_source(path)
    assert source is not None
    _give(lab_results(source), as_json=as_json, **given)


@click.command("type")
@with_options(*_FARM)
@click.option(
    "--result",
    "typed",
    multiple=True,
    required=True,
    metavar="ROW",
    help="One row as 'SAMPLE@LAYER: ANALYTE VALUE, ANALYTE VALUE'; may be given often.",
)
@as_json
def type_in(typed: tuple[str, ...], as_json: bool, **given: Any) -> None:
    """Type results of a sheet that is held only on paper.

    \b
    Example:
        vrxapp lab type --farm farm.gpkg --result "A1@0-10: colwell_p 23, pbi 80" \\
            --row "A1=Creek flat" --save
    """
    tests = typed_results([typed_row(text) for text in typed])
    _give(tests, as_json=as_json, **given)


def _give(
    tests: ResultsTable,
    *,
    farm: Path,
    told: tuple[str, ...],
    save: bool,
    take_proposals: bool,
    as_json: bool,
) -> None:
    """Show the proposals as they were put right, and save the farm with them if asked."""
    whole, notes = open_farm(farm)
    proposals = _told(whole, tests, told)
    print_notes((*notes, *tests.notes, *quality_notes(tests)))
    records = [_record(whole, tests, row, found) for row, found in enumerate(proposals)]
    if as_json:
        print_json(records)
    else:
        _print(records)
    if save:
        kept = [p.place if p.can_wait or take_proposals else RowPlace() for p in proposals]
        write_farm(use_rows(whole, tests, kept), farm)
        left = sum(not place.season_id for place in kept)
        click.echo(f"Saved {farm}; {left} of {len(kept)} rows left out", err=True)


def _told(farm: Farm, tests: ResultsTable, told: tuple[str, ...]) -> list[ProposedPlace]:
    """The proposals, put right by what was told."""
    found = list(proposed_places(farm, tests))
    for text in told:
        sample, equals, place = text.partition("=")
        if not (sample.strip() and equals and place.strip()):
            raise MissingInputError(
                f"cannot read the row {text!r}",
                mend='Write it as --row "SAMPLE=PADDOCK/ZONE@LAYER"',
            )
        for row in _rows_called(tests, sample):
            found[row] = as_said(tests, row, told_place(farm, place, before=found[row].place))
    return found


def _rows_called(tests: ResultsTable, name: str) -> list[int]:
    """The rows of a sample, or the one with this row number in the sheet."""
    wanted = comparable(name)
    rows = [row for row, sample in enumerate(tests.sample_ids) if comparable(sample) == wanted]
    if not rows and wanted.isdigit():
        rows = [row for row, number in enumerate(tests.file_rows) if int(number) == int(wanted)]
    if not rows:
        raise UnknownChoiceError(
            f"the lab sheet has no sample {name.strip()!r}",
            mend=f"Choose one of: {', '.join(dict.fromkeys(tests.sample_ids))}",
            file=tests.file,
        )
    return rows


def _record(farm: Farm, tests: ResultsTable, row: int, found: ProposedPlace) -> dict[str, Any]:
    """One row of the sheet with its place, as a record."""
    paddock, zone = _names(farm, found.place)
    return {
        "row": int(tests.file_rows[row]),
        "sample": tests.sample_ids[row],
        "paddock": paddock,
        "zone": zone,
        "layer_cm": found.place.depth_cm,
        "why": found.why,
        "question": found.question,
    }


def _names(farm: Farm, place: RowPlace) -> tuple[str, str]:
    """What people call a place's paddock and zone."""
    season = next((s for s in farm.seasons if s.id == place.season_id), None)
    if season is None:
        return "", ""
    zones = dict(zip(season.zones.ids, season.zones.names, strict=True))
    return season.paddock.name, zones.get(place.zone_id, "")


def _print(records: list[dict[str, Any]]) -> None:
    """One line a row."""
    table = Table(
        "Row", "Sample", "Paddock", "Zone", "Layer, cm", "Why", "Open", box=box.SIMPLE_HEAD
    )
    for record in records:
        told = [str(value) for value in record.values()]
        table.add_row(*told[:2], told[2] or "left out", *told[3:])
    Console(soft_wrap=True, highlight=False).print(table)
