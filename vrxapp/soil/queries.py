"""What a check of a laboratory sheet reads, and how it says where it stumbled."""

import math

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note
from vrxapp.soil.results_table import AnalyteColumn, Limit, ResultsTable, column_of

ASK_THE_LABORATORY = "Ask the laboratory to check both results, or correct the sheet"


def told_numbers(column: AnalyteColumn) -> NDArray[np.float64]:
    """Results that are numbers; NaN where only a limit is known."""
    return np.where(column.limits == Limit.NONE, column.values, math.nan)


def numbers_of(table: ResultsTable, analyte_key: str) -> NDArray[np.float64]:
    """Results of one analyte that are numbers; NaN throughout where the sheet has none."""
    column = column_of(table, analyte_key)
    return np.full(len(table.sample_ids), np.nan) if column is None else told_numbers(column)


def first_told(*columns: NDArray[np.float64]) -> NDArray[np.float64]:
    """At each row, the first of several columns that tells a number."""
    found = columns[0]
    for column in columns[1:]:
        found = np.where(np.isnan(found), column, found)
    return found


def shown(column: AnalyteColumn, row: int | np.integer) -> str:
    """A result as people read it."""
    return f"{column.limits[row]}{column.values[row]:g}"


def query(
    table: ResultsTable, row: int | np.integer, column: AnalyteColumn, *, message: str, mend: str
) -> Note:
    """A note on one result of a sheet."""
    return Note(
        message,
        mend=mend,
        file=table.file,
        row=int(table.file_rows[row]),
        column=column.analyte.name,
        value=shown(column, row),
    )
