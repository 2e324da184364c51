"""`vrxapp interpret`: the class of each result, with its source, and what is to be queried."""

from itertools import groupby
from pathlib import Path
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table

from vrxapp.agronomy.crops import crops
from vrxapp.agronomy.trail import printed_value
from vrxapp.cli.interpret_records import interpreted_record
from vrxapp.cli.needs_options import CRITICAL_OPTIONS, critical_settings
from vrxapp.cli.options import LAB_OPTION, as_json, lab_source, with_options
from vrxapp.cli.printing import print_json, print_notes
from vrxapp.errors import MissingInputError
from vrxapp.farm import season_called
from vrxapp.prescription.estimated_tests import EstimateChoices, ece_ways
from vrxapp.soil.interpretation_scales import scales
from vrxapp.soil.results_table import rows_of_paddock
from vrxapp.workflows.class_lines import ClassLine, class_lines, places_with_results
from vrxapp.workflows.class_settings import ClassSettings, sheet_choices
from vrxapp.workflows.class_words import (
    SALT_NOTE,
    chance_of_class,
    chances_text,
    class_text,
    result_with_unit,
    source_text,
)
from vrxapp.workflows.farm_files import open_farm
from vrxapp.workflows.interpret import (
    Interpreted,
    interpreted_season,
    interpreted_sheet,
)
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.phosphorus_settings import PhosphorusSettings
from vrxapp.workflows.problems_first import problems_first
from vrxapp.workflows.standing import standing_sentence

_FILE = click.Path(path_type=Path)
_WIDTHS = {"Source": 20}
_KEYS = tuple(known.key for known in scales())


@click.command()
@LAB_OPTION
@click.option("--lab-paddock", default="", help="Only the rows of this paddock.")
@click.option("--farm", type=_FILE, help="A farm file (.gpkg): its zones instead of a sheet.")
@click.option(
    "--paddock", "--season", "season_name", default="", help="Which of the farm file's seasons."
)
@click.option("--crop", type=click.Choice([c.key for c in crops()]), help="Crop, with --lab.")
@click.option("--texture", default="", help="Texture in words, with --lab, such as 'clay loam'.")
@click.option(
    "--scale",
    "scale_keys",
    multiple=True,
    type=click.Choice(_KEYS),
    metavar="KEY",
    help="A scale instead of a test's default; may be given often: " + ", ".join(_KEYS) + ".",
)
@with_options(*CRITICAL_OPTIONS)
@click.option(
    "--ece",
    type=click.Choice([key for key, _ in ece_ways() if key]),
    metavar="KEY",
    help="How ECe is estimated from EC 1:5, else by all published lines: "
    + ", ".join(key for key, _ in ece_ways() if key)
    + " (unverified).",
)
@click.option(
    "--carbon-factor",
    type=float,
    help="Total over Walkley and Black carbon, such as 1.08; none: total carbon is not told.",
)
@click.option(
    "--salt-loss",
    "tells_salt_loss",
    is_flag=True,
    help="Tell what the crop loses to salt, also by figures from memory, unverified.",
)
@click.option("--before", type=_FILE, help="An older lab sheet, to tell what has changed.")
@as_json
def interpret(as_json: bool, **given: Any) -> None:
    """Tell the class of each result: low, medium, high, with the scale's source.

    Of each sample, what may need something done stands first, also what lies below the
    critical value that a rate of the crop (or of the farm file's season) aims at.
    Tests without a published scale get no class unless --scale chooses an unverified one.
    Tests that are lacking are estimated from others where that is published, marked ~.

    \b
    Example:
        vrxapp interpret --lab lab_composites.csv --crop wheat
        vrxapp interpret --lab lab_composites.csv --crop wheat --own-critical 34 \\
            --own-critical-reason "our strips of 2024"
    """
    found = _interpreted(given)
    lines = [
        line
        for place in places_with_results(found.classes)
        for line in problems_first(class_lines(found.classes, place))
    ]
    if as_json:
        print_json(interpreted_record(found, lines))
        return
    console = Console(soft_wrap=True, highlight=False)
    for table in _class_tables(lines):
        console.print(table)
    _print_list(console, "Mind", _cautions(lines))
    if found.changes:
        console.print(_change_table(found))
    _print_list(console, "Queries", list(map(str, found.queries)))


def _print_list(console: Console, title: str, lines: list[str]) -> None:
    """A heading with one line each below it."""
    console.print(f"{title}:" if lines else f"{title}: none", markup=False)
    for line in lines:
        console.print(f"  {line}", markup=False)


def _interpreted(given: dict[str, Any]) -> Interpreted:
    """What the options ask for: the rows of a sheet, or the zones of a season."""
    before = lab_results(given["before"]) if given["before"] else None
    source, settings = lab_source(given["lab"]), _settings(given)
    if given["farm"] is not None and source is None:
        if settings.phosphorus != PhosphorusSettings():
            raise MissingInputError(
                "a farm file's season has a critical value of its own",
                mend="Change it with vrxapp plan, or leave the option out",
            )
        farm, notes = open_farm(given["farm"])
        print_notes(notes)
        named = given["season_name"] or (farm.seasons[0].id if len(farm.seasons) == 1 else "")
        season = season_called(farm, named)
        return interpreted_season(farm, season, settings=settings, before=before)
    if source is None or given["farm"] is not None:
        raise MissingInputError(
            "there is one thing to interpret at a time, a lab sheet or a season",
            mend="Give --lab FILE (or --lab - for pasted cells), or --farm FILE",
        )
    tests = lab_results(source)
    tests = rows_of_paddock(tests, given["lab_paddock"]) if given["lab_paddock"] else tests
    print_notes(tests.notes)
    return interpreted_sheet(tests, sheet_choices(tests, settings), before=before)


def _settings(given: dict[str, Any]) -> ClassSettings:
    """What the options tell beside the results."""
    return ClassSettings(
        given["crop"] or "",
        given["texture"],
        given["scale_keys"],
        critical_settings(given),
        EstimateChoices(given["ece"] or "", given["carbon_factor"]),
        given["tells_salt_loss"],
    )


def _class_tables(lines: list[ClassLine]) -> list[Table]:
    """One table a place, one row a result."""
    tables = []
    for (name, depth_cm), of_place in groupby(lines, key=lambda line: (line.place, line.depth_cm)):
        table = _table(_place(name, depth_cm), "Test", "Result", "Class", "Source")
        for line in of_place:
            test = f"{line.analyte.name} *" if line.basis else line.analyte.name
            table.add_row(test, result_with_unit(line), _class_cell(line), source_text(line))
        tables.append(table)
    return tables


def _table(title: str, *names: str) -> Table:
    """A table that cuts no word short."""
    table = Table(box=box.SIMPLE_HEAD, title=title, title_justify="left")
    for name in names:
        table.add_column(name, overflow="fold", min_width=_WIDTHS.get(name))
    return table


def _place(name: str, depth_cm: str) -> str:
    return f"{name}, {depth_cm} cm" if depth_cm else name


def _class_cell(line: ClassLine) -> str:
    """The class, which of how many, how it stands, how likely, and what to mind."""
    sure = chance_of_class(line)
    parts = [f"{class_text(line)}, {line.class_number} of {line.class_count}"]
    if not line.words:
        parts = [] if line.standing is not None else [f"no class: {line.reason}"]
        parts += [line.span] if line.span else []
    parts += [standing_sentence(line.standing)] if line.standing is not None else []
    parts += [f"chance {sure}"] if sure else []
    return "; ".join([*parts, *filter(None, [line.doubt])])


def _cautions(lines: list[ClassLine]) -> list[str]:
    """What to bear in mind beside the classes, each once, and what was worked out."""
    scaled = [line.scale for line in lines if line.scale is not None and line.scale.caution]
    worked = dict.fromkeys((line.analyte.name, _worked_out(line)) for line in lines if line.basis)
    cautions = dict.fromkeys((known.name, known.caution) for known in scaled)
    salty = [f"{_place_of(line)}: {line.salt_loss}" for line in lines if line.salt_loss]
    likely = dict.fromkeys(  # the rows of one sample all tell the same
        f"{_place_of(line)}, {line.analyte.name}: {chances_text(line)}"
        for line in lines
        if line.chances
    )
    return [
        *(f"{name} *: {basis}" for name, basis in worked),
        *(f"{name}: {caution}" for name, caution in cautions),
        *likely,
        *salty,
        *([SALT_NOTE] if salty else []),
    ]


def _place_of(line: ClassLine) -> str:
    return _place(line.place, line.depth_cm)


def _worked_out(line: ClassLine) -> str:
    """What a result was worked out from, and by whose equation."""
    return f"{line.basis} ({line.worked_out_by})" if line.worked_out_by else line.basis


def _change_table(found: Interpreted) -> Table:
    """What has risen or fallen since the last test."""
    table = _table(f"Since {found.before}", "Place", "Test", "Before", "Now", "Change")
    for line in found.changes:
        before, now = (f"{printed_value(x)} {line.analyte.unit}" for x in (line.before, line.now))
        place = _place(line.place, line.depth_cm)
        table.add_row(place, line.analyte.name, before, now, line.change)
    return table
