"""Doubtful results: pairs and replicates that do not go together. Nothing is changed here."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note
from vrxapp.ground.zones import comparable
from vrxapp.soil.results_table import AnalyteColumn, Limit, ResultsTable, column_of
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import PERCENT

# program-choice: the usual gap is 0.5 to 1.0 (rayment-lyons-2011, ch. 4)
LEAST_PH_GAP, WIDEST_PH_GAP = 0.2, 1.2
_TWO_SIDED_95 = 1.96
_ASK_THE_LABORATORY = "Ask the laboratory to check both results, or correct the sheet"


@dataclass(frozen=True, slots=True)
class LaboratoryCv:
    """How far laboratories differ on one soil: the robust coefficient of variation. [%]"""

    key: str
    cv_percent: float
    source: str
    where: str
    grade: Grade


def laboratory_cvs() -> tuple[LaboratoryCv, ...]:
    """Every published spread between laboratories that the program knows."""
    return read_table("laboratory_cv.csv", LaboratoryCv)


def least_difference_percent(cv_percent: float) -> float:
    """How far two results must lie apart before they can be called different. [% of their mean]

    Examples
    --------
    >>> round(least_difference_percent(13.8), 2)
    38.25
    """
    return _TWO_SIDED_95 * math.sqrt(2.0) * cv_percent


@lru_cache(maxsize=16)
def quality_notes(table: ResultsTable) -> tuple[Note, ...]:
    """Results of a sheet that a careful reader would query.

    Parameters
    ----------
    table : ResultsTable
        One laboratory sheet.

    Returns
    -------
    tuple of Note
        Each with file, row, column, value and reason: Colwell P below Olsen P, pH in
        water and in calcium chloride too far apart or too close, and replicates that
        differ by more than laboratories do.

    References
    ----------
    .. [1] program-choice. Which pairs are queried, and the limits of the pH gap.
    .. [2] rayment-lyons-2011. Table App. 2.1, robust spread between laboratories.
    """
    return (*_phosphorus_notes(table), *_ph_notes(table), *_replicate_notes(table))


def _phosphorus_notes(table: ResultsTable) -> Iterator[Note]:
    """Colwell takes out more than Olsen, so it is never the smaller one."""
    colwell, olsen = column_of(table, "colwell_p"), column_of(table, "olsen_p")
    if colwell is None or olsen is None:
        return
    # a limit counts only where it leaves no doubt which of the two is smaller
    most = np.where(colwell.limits == Limit.ABOVE, math.inf, colwell.values)
    least = np.where(olsen.limits == Limit.BELOW, 0.0, olsen.values)
    for row in np.flatnonzero(most < least):
        yield Note(
            f"{colwell.analyte.name} of sample {table.sample_ids[row]!r} is lower than its "
            f"{olsen.analyte.name} ({_shown(olsen, row)}), but the Colwell extract is the "
            "stronger one",
            mend="Check that the two columns are not swapped",
            file=table.file,
            row=int(table.file_rows[row]),
            column=colwell.analyte.name,
            value=_shown(colwell, row),
        )


def _ph_notes(table: ResultsTable) -> Iterator[Note]:
    """Water gives a somewhat higher pH than calcium chloride."""
    water, chloride = column_of(table, "ph_water"), column_of(table, "ph_cacl2")
    if water is None or chloride is None:
        return
    gap = np.round(_numbers(water) - _numbers(chloride), 6)
    for row in np.flatnonzero((gap < LEAST_PH_GAP) | (gap > WIDEST_PH_GAP)):
        yield Note(
            f"pH of sample {table.sample_ids[row]!r} in water is {gap[row]:g} above that in "
            f"calcium chloride ({_shown(chloride, row)}); {LEAST_PH_GAP:g} to "
            f"{WIDEST_PH_GAP:g} is plausible",
            mend=_ASK_THE_LABORATORY,
            file=table.file,
            row=int(table.file_rows[row]),
            column=water.analyte.name,
            value=_shown(water, row),
        )


def _replicate_notes(table: ResultsTable) -> Iterator[Note]:
    """Rows of one sample and layer that differ by more than laboratories do."""
    pairs = zip(table.sample_ids, table.depths_cm, strict=True)
    keys = [f"{comparable(sample)}\n{depth}" for sample, depth in pairs]
    names, group = np.unique(np.array(keys, dtype=str), return_inverse=True)
    if len(names) == len(keys):
        return
    for cv in laboratory_cvs():
        column = column_of(table, cv.key)
        if column is not None:
            yield from _spread_notes(table, column, group=group, cv=cv)


def _spread_notes(
    table: ResultsTable, column: AnalyteColumn, *, group: NDArray[np.intp], cv: LaboratoryCv
) -> Iterator[Note]:
    """Groups whose lowest and highest result lie too far apart for one analyte."""
    values = _numbers(column)
    told = np.flatnonzero(np.isfinite(values))
    ordered = told[np.lexsort((values[told], group[told]))]
    _, first, count = np.unique(group[ordered], return_index=True, return_counts=True)
    lowest, highest = ordered[first], ordered[first + count - 1]
    middle = np.add.reduceat(values[ordered], first) / count if len(first) else values[:0]
    spread = np.zeros(len(first))
    np.divide(values[highest] - values[lowest], middle, out=spread, where=middle > 0)
    allowed = least_difference_percent(cv.cv_percent)
    for low, high, apart in zip(lowest, highest, PERCENT * spread, strict=True):
        if apart > allowed:
            yield Note(
                f"replicates of sample {table.sample_ids[high]!r} differ by {apart:.0f} % of "
                f"their mean: {_shown(column, low)} in row {table.file_rows[low]} and "
                f"{_shown(column, high)} in row {table.file_rows[high]}; laboratories agree "
                f"within {allowed:.0f} % ({cv.source}, {cv.where})",
                mend="Check for a mixed-up sample or a mistyped value",
                file=table.file,
                row=int(table.file_rows[high]),
                column=column.analyte.name,
                value=_shown(column, high),
            )


def _numbers(column: AnalyteColumn) -> NDArray[np.float64]:
    """Results that are numbers; NaN where only a limit is known."""
    return np.where(column.limits == Limit.NONE, column.values, math.nan)


def _shown(column: AnalyteColumn, row: int | np.integer) -> str:
    """A result as people read it."""
    return f"{column.limits[row]}{column.values[row]:g}"
