"""The laboratory's results as columns: one row for each row of the sheet."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import MissingInputError, Note, UnknownChoiceError
from vrxapp.ground.zones import comparable
from vrxapp.soil.analytes import Analyte


class Limit(StrEnum):
    """Whether a result is a number or only known to lie beyond one."""

    NONE = ""
    BELOW = "<"
    ABOVE = ">"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class AnalyteColumn:
    """All results of one analyte.

    Parameters
    ----------
    analyte : Analyte
        What was measured, and in which unit the values stand.
    values : ndarray of float
        Results; where `limits` says so, the limit itself. NaN where there is none.
    limits : ndarray of str
        ``"<"``, ``">"`` or empty, see `Limit`.
    basis : str, optional
        What the results were worked out from where they rest on more than was measured, as
        amounts by area do; empty where they were measured so.
    """

    analyte: Analyte
    values: NDArray[np.float64]
    limits: NDArray[np.str_]
    basis: str = ""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class ResultsTable:
    """One laboratory sheet.

    Parameters
    ----------
    file : str
        Name of the sheet, for messages and the trail.
    file_rows : ndarray of int
        Row of each result in the sheet, counted from 1 as a spreadsheet does.
    sample_ids : tuple of str
        Sample of each row; replicates of a sample share it.
    zone_names : tuple of str
        Zone named in each row; empty where none is.
    longitude_degree, latitude_degree : ndarray of float
        Where the sample was taken; NaN where not told. [degrees]
    depths_cm : tuple of str
        Layer of each row, for instance ``"0-10"``; empty where not told. [cm]
    columns : tuple of AnalyteColumn
        The results.
    notes : tuple of Note
        What was doubtful, or done for the user, while reading.
    paddock_names : tuple of str, optional
        Paddock named in each row; empty where none is, and no entry at all where the
        sheet names none anywhere.
    textures : tuple of str, optional
        Texture told in each row, in the laboratory's words; no entry at all where the sheet
        tells none anywhere.
    """

    file: str
    file_rows: NDArray[np.int64]
    sample_ids: tuple[str, ...]
    zone_names: tuple[str, ...]
    longitude_degree: NDArray[np.float64]
    latitude_degree: NDArray[np.float64]
    depths_cm: tuple[str, ...]
    columns: tuple[AnalyteColumn, ...]
    notes: tuple[Note, ...] = ()
    paddock_names: tuple[str, ...] = ()
    textures: tuple[str, ...] = ()


def column_of(table: ResultsTable, analyte_key: str) -> AnalyteColumn | None:
    """The results of one analyte, or None where the sheet has none."""
    return next((c for c in table.columns if c.analyte.key == analyte_key), None)


def paddocks_of(table: ResultsTable) -> tuple[str, ...]:
    """The paddocks that a sheet names, in its order."""
    first: dict[str, str] = {}
    for name in filter(None, table.paddock_names):
        first.setdefault(comparable(name), name)
    return tuple(first.values())


def rows_of_paddock(table: ResultsTable, paddock_name: str) -> ResultsTable:
    """The rows of one paddock; a sheet often holds several.

    Raises
    ------
    MissingInputError
        If the sheet names no paddock at all.
    UnknownChoiceError
        If it names others, but not this one, or several growers have one of that name: then
        the grower stands before it, as in ``Ada: Home``.
    """
    wanted = _asked(paddock_name)
    found = [row for row, name in enumerate(table.paddock_names) if _asked(name) == wanted]
    if not paddocks_of(table):
        raise MissingInputError(
            "the sheet names no paddock",
            mend="Match its rows by hand, or name a column 'Paddock'",
            file=table.file,
        )
    alike = [name for name in paddocks_of(table) if _asked(name).endswith(f": {wanted}")]
    if wanted and not found and alike:
        raise UnknownChoiceError(
            f"{len(alike)} growers have a paddock {paddock_name!r}",
            mend=f"Choose one of: {', '.join(alike)}",
            file=table.file,
            value=paddock_name,
        )
    if not wanted or not found:
        raise UnknownChoiceError(
            f"the sheet holds no rows of the paddock {paddock_name!r}",
            mend=f"Choose one of: {', '.join(paddocks_of(table))}",
            file=table.file,
            value=paddock_name,
        )
    return chosen_rows(table, found)


def _asked(name: str) -> str:
    """A paddock's name as it is compared, whatever blanks stand beside a grower's colon."""
    return ": ".join(map(comparable, name.split(":")))


def chosen_rows(table: ResultsTable, rows: Sequence[int]) -> ResultsTable:
    """Some rows of a table, with all its notes; no paddocks where it names none."""
    rows = list(rows)
    return replace(
        table,
        file_rows=table.file_rows[rows],
        sample_ids=tuple(table.sample_ids[row] for row in rows),
        zone_names=tuple(table.zone_names[row] for row in rows),
        longitude_degree=table.longitude_degree[rows],
        latitude_degree=table.latitude_degree[rows],
        depths_cm=tuple(table.depths_cm[row] for row in rows),
        columns=tuple(
            AnalyteColumn(column.analyte, column.values[rows], column.limits[rows], column.basis)
            for column in table.columns
        ),
        paddock_names=tuple(table.paddock_names[row] for row in rows if table.paddock_names),
        textures=tuple(table.textures[row] for row in rows if table.textures),
    )
