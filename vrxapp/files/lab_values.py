"""Cells of a lab sheet as numbers: decimal commas, units, and what cannot be."""

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, Note, SoilInputError
from vrxapp.files.lab_names import Heading
from vrxapp.files.lab_units import UnitCell, assumed_unit_note, is_unit_certain, told_unit
from vrxapp.soil.analytes import Analyte
from vrxapp.soil.detection_limits import is_untold_limit, parsed_result
from vrxapp.soil.results_table import Limit
from vrxapp.units import conversion_factor, known_unit

_WITH_COMMA = re.compile(r"[<>]?\s*[+-]?([0-9]+),([0-9]+)")
_WITH_POINT = re.compile(r"[<>]?\s*[+-]?[0-9]*\.[0-9]+")


@dataclass(frozen=True, slots=True)
class Cells:
    """Cells of one column of a sheet, with the row of each in the file."""

    file: str
    column: str
    rows: NDArray[np.int64]
    texts: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """Results of one analyte in its own unit, with the line of the sheet each stands in."""

    analyte: Analyte
    column: str
    lines: NDArray[np.intp]
    values: NDArray[np.float64]
    limits: NDArray[np.str_]


def refused(cells: Cells, index: int, *, message: str, mend: str) -> InputFileError:
    """The error for one cell, saying where it stands."""
    return InputFileError(
        message,
        mend=mend,
        file=cells.file,
        row=int(cells.rows[index]),
        column=cells.column,
        value=cells.texts[index],
    )


def has_decimal_commas(cells: Cells, delimiter: str) -> bool:
    """Whether a column writes 12,5 for twelve and a half, decided for the whole column.

    Raises
    ------
    InputFileError
        If the comma can also be read as a thousands separator, the column mixes points
        and commas, or the delimiter is a comma itself.
    """
    found = [(index, _WITH_COMMA.fullmatch(text)) for index, text in enumerate(cells.texts)]
    commas = [(index, match) for index, match in found if match is not None]
    if not commas:
        return False
    first = commas[0][0]
    if delimiter == ",":
        raise refused(
            cells,
            first,
            message=f"{cells.texts[first]!r} holds a comma, which also parts the columns",
            mend="Write decimal points, or save the sheet with semicolons between the columns",
        )
    points = [i for i, text in enumerate(cells.texts) if _WITH_POINT.fullmatch(text)]
    if points:
        raise refused(
            cells,
            points[0],
            message=f"the column mixes decimal points and commas: {cells.texts[points[0]]!r} here, "
            f"{cells.texts[first]!r} in row {cells.rows[first]}",
            mend="Write all numbers of the column in one way",
        )
    # 1,234 may be 1.234 or 1234; 0,123 and 12,5 can only be decimals
    if all(len(match[2]) == 3 and not match[1].startswith("0") for _, match in commas):
        raise refused(
            cells,
            first,
            message=f"{cells.texts[first]!r} may be a decimal comma or a thousands separator",
            mend="Write decimal points and no thousands separators",
        )
    return True


def parsed_cells(
    cells: Cells, *, decimal_comma: bool
) -> tuple[NDArray[np.float64], NDArray[np.str_]]:
    """Results and limits of a column; NaN where there is no result.

    Raises
    ------
    InputFileError
        If a cell is no result; the message names it.
    """
    values = np.full(len(cells.texts), math.nan)
    limits = np.full(len(cells.texts), "", dtype="<U1")
    for index, text in enumerate(cells.texts):
        try:
            values[index], limits[index] = parsed_result(text, decimal_comma=decimal_comma)
        except SoilInputError as error:
            raise refused(cells, index, message=error.note.message, mend=error.note.mend) from None
    return values, limits


def plain_numbers(cells: Cells, delimiter: str) -> NDArray[np.float64]:
    """A column of numbers without limits; NaN where a cell is empty.

    Raises
    ------
    InputFileError
        If a cell is no plain number; the message names it.
    """
    comma = has_decimal_commas(cells, delimiter)
    values, limits = parsed_cells(cells, decimal_comma=comma)
    if np.any(limits != Limit.NONE):
        index = int(np.flatnonzero(limits != Limit.NONE)[0])
        raise refused(
            cells,
            index,
            message=f"{cells.texts[index]!r} is not a number",
            mend="Write a plain number",
        )
    return values


def measured(
    cells: Cells,
    known: Heading,
    *,
    beside: UnitCell,
    decimal_comma: bool,
    lines: NDArray[np.intp],
) -> tuple[Measured, tuple[Note, ...]]:
    """Results of one analyte in the program's unit, and a note where theirs is assumed.

    Raises
    ------
    InputFileError
        If a cell is no result, a value is not possible, or the unit is wrong.
    """
    analyte = known.analyte
    assert analyte is not None
    unit = told_unit(known, beside)
    factor = conversion_factor(
        known_unit(unit or analyte.default_unit) or "", analyte.unit, ion=analyte.ion
    )
    values, limits = parsed_cells(cells, decimal_comma=decimal_comma)
    _refuse_impossible(cells, values, analyte=analyte, factor=factor)
    notes = () if unit else assumed_unit_note(analyte, beside)
    return Measured(analyte, cells.column, lines, values * factor, limits), notes


def _refuse_impossible(
    cells: Cells, values: NDArray[np.float64], *, analyte: Analyte, factor: float
) -> None:
    """Refuse the first value that is negative or outside what the analyte can be."""
    converted = values * factor
    wrong = (converted < analyte.lowest) | (converted > analyte.highest)
    if not np.any(wrong):
        return
    index = int(np.flatnonzero(wrong)[0])
    if values[index] < 0:
        raise refused(
            cells,
            index,
            message=f"{cells.texts[index]} is negative, and no result can be",
            mend="Write < and the detection limit, or leave the cell empty",
        )
    raise _impossible(cells, index, analyte=analyte, factor=factor, value=float(values[index]))


def _impossible(
    cells: Cells, index: int, *, analyte: Analyte, factor: float, value: float
) -> InputFileError:
    """The error for a value outside the analyte's possible range, in the sheet's unit."""
    slipped = analyte.lowest <= value / 10 * factor <= analyte.highest
    unit = "" if is_unit_certain(analyte) else f" {analyte.unit}"
    given = "" if factor == 1.0 else f" ({value * factor:g}{unit})"
    return refused(
        cells,
        index,
        message=f"{cells.texts[index]}{given} is not possible for {analyte.name} "
        f"({analyte.lowest:g} to {analyte.highest:g}{unit})",
        mend=f"Was it {value / 10:g}?" if slipped else "Check the value and its unit",
    )


def untold_limit_note(cells: Cells) -> tuple[Note, ...]:
    """A note on cells such as ND, which tell neither a result nor a limit."""
    untold = [index for index, text in enumerate(cells.texts) if is_untold_limit(text)]
    if not untold:
        return ()
    return (
        Note(
            f"{cells.texts[untold[0]]!r} tells no detection limit and counts as no result "
            f"({len(untold)} such in the column)",
            mend="Write < and the laboratory's detection limit, if it is known",
            file=cells.file,
            row=int(cells.rows[untold[0]]),
            column=cells.column,
            value=cells.texts[untold[0]],
        ),
    )
