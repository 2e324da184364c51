"""A lab sheet or a season interpreted: classes, changes since the last test, and queries."""

import math
from dataclasses import dataclass

import numpy as np

from vrxapp.agronomy.trail import printed_value
from vrxapp.errors import Note
from vrxapp.farm import Farm
from vrxapp.prescription.changes import (
    earlier_season,
    matches_before,
    sample_changes,
    zone_changes,
)
from vrxapp.prescription.classes_by_zone import ClassTable, classes_of_rows, classes_of_zones
from vrxapp.prescription.scale_choice import ClassChoices
from vrxapp.prescription.sheet_needs import samples_of
from vrxapp.season import Season
from vrxapp.soil.analytes import Analyte
from vrxapp.soil.history import Change, ChangeSince
from vrxapp.soil.quality_checks import quality_notes
from vrxapp.soil.results_table import ResultsTable
from vrxapp.workflows.class_settings import ClassSettings, season_choices
from vrxapp.workflows.standing import UNITLESS

_NOT_COMPARED = (Change.NOT_TESTED, Change.NOT_TESTED_BEFORE, Change.NOT_TESTED_NOW)


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """What has changed of one test at one place since an older one.

    Parameters
    ----------
    place, depth_cm : str
        Sample or zone, and its layer; empty where not told. [cm]
    analyte : Analyte
        What was measured, both times by the same method.
    before, now : float
        The two results. [analyte.unit]
    least_difference : float
        Least difference that laboratories can tell; NaN where none is published.
        [analyte.unit]
    change : str
        What the two say together.
    source : str
        Key of the bibliography for the spread between laboratories; empty for none.
    """

    place: str
    depth_cm: str
    analyte: Analyte
    before: float
    now: float
    least_difference: float
    change: str
    source: str


@dataclass(frozen=True, slots=True, eq=False)
class Interpreted:
    """Classes of all places, what has changed since `before`, and what is to be queried."""

    classes: ClassTable
    before: str
    changes: tuple[ChangeLine, ...]
    queries: tuple[Note, ...]


def interpreted_sheet(
    tests: ResultsTable, choices: ClassChoices, *, before: ResultsTable | None = None
) -> Interpreted:
    """The rows of a sheet alone, with no map; an older sheet is joined by sample and layer.

    Parameters
    ----------
    tests : ResultsTable
        The sheet.
    choices : ClassChoices
        Crop, texture and chosen scales.
    before : ResultsTable, optional
        An older sheet with the same samples.
    """
    changes: tuple[ChangeLine, ...] = ()
    if before is not None:
        samples = samples_of(tests)
        for depth in _layers(tests):
            found = sample_changes(tests, before, samples=samples, depth_cm=depth)
            changes += _told(found, samples, depth_cm=depth)
    return Interpreted(
        classes_of_rows(tests, choices),
        before.file if before is not None else "",
        changes,
        quality_notes(tests),
    )


def interpreted_season(
    farm: Farm,
    season: Season,
    *,
    settings: ClassSettings | None = None,
    before: ResultsTable | None = None,
) -> Interpreted:
    """The zones of a season, compared with an older sheet or the season before of its paddock.

    Parameters
    ----------
    farm : Farm
        The farm.
    season : Season
        One of its seasons.
    settings : ClassSettings, optional
        Chosen scales and estimates; crop, texture and critical values are the season's own.
    before : ResultsTable, optional
        An older sheet; left out, the earlier season of the paddock is taken if there is one.

    Raises
    ------
    UnknownChoiceError
        If there is no such scale.
    GroundError
        If not one sample lies in the paddock.
    """
    table = classes_of_zones(season, season_choices(season, settings or ClassSettings()))
    if season.tests is None:
        return Interpreted(table, "", (), ())
    name, found = changes_of_season(farm, season, before=before)
    return Interpreted(table, name, found, quality_notes(season.tests))


def changes_of_season(
    farm: Farm, season: Season, *, before: ResultsTable | None = None
) -> tuple[str, tuple[ChangeLine, ...]]:
    """What has changed since the season before, and what that one is called.

    Parameters
    ----------
    farm : Farm
        The farm.
    season : Season
        One of its seasons.
    before : ResultsTable, optional
        An older sheet to compare with instead.
    """
    earlier = earlier_season(farm, season) if before is None else None
    name = before.file if before is not None else earlier.name if earlier is not None else ""
    older = before if before is not None else earlier.tests if earlier is not None else None
    if older is None or season.tests is None:
        return "", ()
    matches = matches_before(earlier, season) if earlier is not None else ()
    lines: tuple[ChangeLine, ...] = ()
    for depth in _layers(season.tests):
        found = zone_changes(season, older, depth_cm=depth, matches=matches)
        lines += _told(found, season.zones.names, depth_cm=depth)
    return name, lines


def changes_of_zone(
    farm: Farm, season: Season, zone_name: str, *, depth_cm: str
) -> tuple[str, tuple[ChangeLine, ...]]:
    """What has changed in one zone and layer since the season before, and what that is called.

    Parameters
    ----------
    farm : Farm
        The farm.
    season : Season
        One of its seasons.
    zone_name : str
        The zone.
    depth_cm : str
        Its layer; empty where it is not told. [cm]
    """
    name, lines = changes_of_season(farm, season)
    return name, tuple(
        line for line in lines if line.place == zone_name and depth_cm in ("", line.depth_cm)
    )


def change_text(line: ChangeLine) -> str:
    """One change in a sentence.

    Examples
    --------
    >>> from vrxapp.soil.analytes import analyte
    >>> change_text(ChangeLine("West", "0-10", analyte("pbi"), 90.0, 95.0, 33.6, "risen", "x"))
    'Phosphorus buffering index: 90, now 95: risen (told from 33.6 on)'
    """
    unit = "" if line.analyte.unit in UNITLESS else f" {line.analyte.unit}"
    told = f" (told from {printed_value(line.least_difference)}{unit} on)"
    least = "" if math.isnan(line.least_difference) else told
    before, now = printed_value(line.before), printed_value(line.now)
    return f"{line.analyte.name}: {before}, now {now}{unit}: {line.change}{least}"


def query_text(note: Note) -> str:
    """A query without its place in the sheet, which the reader has before them."""
    return f"{note.column}: {Note(note.message, mend=note.mend)}"


def queries_of_row(tests: ResultsTable, row: int) -> tuple[Note, ...]:
    """The queries of a sheet that concern one of its rows."""
    file_row = int(tests.file_rows[row])
    return tuple(note for note in quality_notes(tests) if note.row == file_row)


def _layers(tests: ResultsTable) -> tuple[str, ...]:
    """The layers of a sheet, or one without a name where it tells none."""
    return tuple(dict.fromkeys(depth for depth in tests.depths_cm if depth)) or ("",)


def _told(
    changes: tuple[ChangeSince, ...], names: tuple[str, ...], *, depth_cm: str
) -> tuple[ChangeLine, ...]:
    """Changes place by place, without those where one of the two tests is missing."""
    return tuple(
        ChangeLine(
            names[place],
            depth_cm,
            since.analyte,
            float(since.before[place]),
            float(since.now[place]),
            float(since.least_difference[place]),
            str(since.change[place]),
            since.spread.source if since.spread else "",
        )
        for place in range(len(names))
        for since in changes
        if not np.isin(since.change[place], [str(change) for change in _NOT_COMPARED])
    )
