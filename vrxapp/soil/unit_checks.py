"""Columns and results whose unit seems wrong: ten, 391 or a thousand times off.

A value within the usual range shows nothing: nitrate told for nitrate nitrogen is 4.43 times
too high and often still looks like soil. Only what soils hardly ever give is queried.
"""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note, UnknownChoiceError
from vrxapp.soil.analytes import Analyte
from vrxapp.soil.queries import query, told_numbers
from vrxapp.soil.results_table import AnalyteColumn, ResultsTable
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import conversion_factor, laboratory_units, mass_fraction

_DECIMAL_SLIP = 10.0
# a column is queried as a whole from this many results on, where at least half are odd
_ENOUGH_RESULTS = 3
_ALIKE = 1.02
_TOLD_IN_FULL_FROM = 1000.0


@dataclass(frozen=True, slots=True)
class UsualRange:
    """What soils hardly ever leave, in the analyte's unit: a guard against wrong units."""

    key: str
    low: float
    high: float
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class _Slip:
    """A mistake that makes results a number of times too large, or too small."""

    factor: float
    words: str


def usual_ranges() -> tuple[UsualRange, ...]:
    """The range of each analyte that a wrong unit is looked for in."""
    return read_table("usual_results.csv", UsualRange)


def unit_notes(table: ResultsTable) -> Iterator[Note]:
    """Columns, and single results, that look as if another unit were meant.

    References
    ----------
    .. [1] program-choice. The usual ranges.
    """
    ranges = {row.key: row for row in usual_ranges()}
    for column in table.columns:
        usual = ranges.get(column.analyte.key)
        if usual is not None:
            yield from _column_notes(table, column, usual=usual)


def _column_notes(
    table: ResultsTable, column: AnalyteColumn, *, usual: UsualRange
) -> Iterator[Note]:
    """One note where half the column is odd, else one for each odd result."""
    values = told_numbers(column)
    told = np.isfinite(values) & (values > 0)
    for is_high in (True, False):
        odd = told & ((values > usual.high) if is_high else (values < usual.low))
        rows = np.flatnonzero(odd)
        count = int(np.count_nonzero(told))
        if count >= _ENOUGH_RESULTS and len(rows) * 2 >= count:
            middle = float(np.median(values[told]))
            found = _explained(column.analyte, middle, usual=usual)
            if found:
                yield _column_query(table, column, rows=rows, middle=middle, found=found)
            continue
        for row in rows:
            found = _explained(column.analyte, float(values[row]), usual=usual)
            if found:
                yield _result_query(table, column, row=int(row), usual=usual, found=found)


def _column_query(
    table: ResultsTable,
    column: AnalyteColumn,
    *,
    rows: NDArray[np.intp],
    middle: float,
    found: list[_Slip],
) -> Note:
    """A note on a whole column, at its first odd row."""
    unit = column.analyte.unit
    return query(
        table,
        rows[0],
        column,
        message=f"{len(rows)} results of {column.analyte.name} are hardly possible as {unit} "
        f"(middle {middle:.3g}); they would be usual if they were {_listed(found)}",
        mend=f"Check the unit of the column; if it is another than {unit}, write it into the "
        "heading and read the sheet again",
    )


def _result_query(
    table: ResultsTable, column: AnalyteColumn, *, row: int, usual: UsualRange, found: list[_Slip]
) -> Note:
    """A note on a single result."""
    return query(
        table,
        row,
        column,
        message=f"{column.analyte.name} of sample {table.sample_ids[row]!r} is unusual "
        f"({usual.low:g} to {usual.high:g} {column.analyte.unit} is); it would be usual if it "
        f"were {_listed(found)}",
        mend="Check the decimal point and the unit against the laboratory's report",
    )


def _explained(measured: Analyte, value: float, *, usual: UsualRange) -> list[_Slip]:
    """The slips that would bring a value into the usual range."""
    return [slip for slip in _slips(measured) if usual.low <= value / slip.factor <= usual.high]


def _slips(measured: Analyte) -> list[_Slip]:
    """What can go wrong with the unit of an analyte, each factor once.

    A factor above 1 makes results too large, one below 1 too small.
    """
    sizes = {}
    for row in laboratory_units():
        try:
            sizes[row.unit] = conversion_factor(row.unit, measured.unit, ion=measured.ion)
        except UnknownChoiceError:
            continue
    slips = [
        _Slip(told / meant, f"in {right} but read as {wrong}")
        for (wrong, told), (right, meant) in itertools.permutations(sizes.items(), 2)
        if measured.unit in (wrong, right)
    ]
    if measured.key == "nitrate_n":
        slips.append(_Slip(1 / mass_fraction("N", "NO3"), "nitrate and not nitrate nitrogen"))
    slips += [
        _Slip(_DECIMAL_SLIP, "ten times smaller (a decimal point)"),
        _Slip(1 / _DECIMAL_SLIP, "ten times larger (a decimal point)"),
    ]
    kept: list[_Slip] = []
    for slip in sorted(slips, key=lambda s: abs(np.log(s.factor))):
        if slip.factor != 1 and not any(1 / _ALIKE < slip.factor / k.factor < _ALIKE for k in kept):
            kept.append(slip)
    return kept


def _listed(found: list[_Slip]) -> str:
    """The slips in words, the smallest first."""
    return ", or ".join(f"{slip.words} (factor {_told(slip.factor)})" for slip in found)


def _told(factor: float) -> str:
    """A factor as people say it, above 1."""
    times = max(factor, 1 / factor)
    return f"{times:.3g}" if times < _TOLD_IN_FULL_FROM else f"{times:.0f}"
