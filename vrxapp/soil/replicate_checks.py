"""Replicates of one sample that differ by more than laboratories do."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note
from vrxapp.soil.laboratory_spread import (
    horwitz_cv_percent,
    laboratory_cv,
    least_difference_percent,
)
from vrxapp.soil.queries import query, shown, told_numbers
from vrxapp.soil.replicates import replicate_groups
from vrxapp.soil.results_table import AnalyteColumn, ResultsTable
from vrxapp.units import PERCENT

_PER_MILLION = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class _Spread:
    """Lowest and highest row of each group, how far they lie apart, and how far they may."""

    lowest: NDArray[np.intp]
    highest: NDArray[np.intp]
    apart_percent: NDArray[np.float64]
    allowed_percent: NDArray[np.float64]
    reference: str


def replicate_notes(table: ResultsTable) -> Iterator[Note]:
    """Rows of one sample and layer that differ by more than laboratories do.

    References
    ----------
    .. [1] rayment-lyons-2011. Table App. 2.1, robust spread between laboratories; where it
       tells none for a test in mg/kg, the general curve of Horwitz 1982 stands in. For
       results in percent it does not: soil laboratories differ two to four times as much.
    """
    group = replicate_groups(table)
    if group is None:
        return
    for column in table.columns:
        spread = _spread(column, group=group)
        if spread is not None:
            yield from _spread_notes(table, column, spread=spread)


def _spread(column: AnalyteColumn, *, group: NDArray[np.intp]) -> _Spread | None:
    """The spread within each group; None where no reference tells what is usual."""
    values = told_numbers(column)
    told = np.flatnonzero(np.isfinite(values))
    ordered = told[np.lexsort((values[told], group[told]))]
    _, first, count = np.unique(group[ordered], return_index=True, return_counts=True)
    lowest, highest = ordered[first], ordered[first + count - 1]
    middle = np.add.reduceat(values[ordered], first) / count if len(first) else values[:0]
    apart = np.zeros(len(first))
    np.divide(values[highest] - values[lowest], middle, out=apart, where=middle > 0)
    usual = _usual_percent(column, middle)
    if usual is None:
        return None
    allowed, reference = usual
    return _Spread(lowest, highest, PERCENT * apart, allowed, reference)


def _usual_percent(
    column: AnalyteColumn, middle: NDArray[np.float64]
) -> tuple[NDArray[np.float64], str] | None:
    """How far results may lie apart at each mean, and who says so."""
    cv = laboratory_cv(column.analyte.key)
    if cv is not None:
        allowed = np.full(middle.shape, least_difference_percent(cv.cv_percent))
        return allowed, f"{cv.source}, {cv.where}"
    if column.analyte.unit != "mg/kg":
        return None
    fraction = middle * _PER_MILLION
    is_some = (fraction > 0) & (fraction <= 1)
    usual = horwitz_cv_percent(np.where(is_some, fraction, 1.0))
    allowed = np.where(is_some, usual * least_difference_percent(1.0), np.inf)
    return allowed, "rayment-lyons-2011, appendix 2, the general curve of Horwitz"


def _spread_notes(table: ResultsTable, column: AnalyteColumn, *, spread: _Spread) -> Iterator[Note]:
    """Groups whose lowest and highest result lie too far apart."""
    for index in np.flatnonzero(spread.apart_percent > spread.allowed_percent):
        low, high = spread.lowest[index], spread.highest[index]
        yield query(
            table,
            high,
            column,
            message=f"replicates of sample {table.sample_ids[high]!r} differ by "
            f"{spread.apart_percent[index]:.0f} % of their mean: {shown(column, low)} in row "
            f"{table.file_rows[low]} and {shown(column, high)} in row {table.file_rows[high]}; "
            f"laboratories agree within {spread.allowed_percent[index]:.0f} % "
            f"({spread.reference})",
            mend="Check for a mixed-up sample or a mistyped value",
        )
