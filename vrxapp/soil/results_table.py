"""The laboratory's results as columns: one row for each row of the sheet."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note
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
    """

    analyte: Analyte
    values: NDArray[np.float64]
    limits: NDArray[np.str_]


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


def column_of(table: ResultsTable, analyte_key: str) -> AnalyteColumn | None:
    """The results of one analyte, or None where the sheet has none."""
    return next((c for c in table.columns if c.analyte.key == analyte_key), None)
