"""Results of a wide sheet: one row a sample, one column an analyte."""

import numpy as np

from vrxapp.errors import Note
from vrxapp.files.lab_sheets.lines import Lines, column_cells
from vrxapp.files.lab_sheets.units import UnitCell
from vrxapp.files.lab_sheets.values import Measured, measured, number_cells, untold_limit_note


def wide_results(
    lines: Lines, units: tuple[str, ...], *, units_row: int
) -> tuple[tuple[Measured, ...], tuple[Note, ...]]:
    """Results of a wide sheet, and what was doubtful about them.

    Parameters
    ----------
    lines : Lines
        The lines of the sheet.
    units : tuple of str
        The row of units; empty where there is none.
    units_row : int
        Which row that is, counted from 1.

    Raises
    ------
    InputFileError
        If a cell or a unit cannot be right.
    """
    found: list[Measured] = []
    notes: list[Note] = []
    header, everywhere = lines.header, np.arange(len(lines.rows))
    sheet = lines.sheet
    for index, known in enumerate(header.headings):
        if known is None:
            continue
        cells, decimal_comma = number_cells(
            column_cells(lines, index), sheet.delimiter, decimal_comma=sheet.decimal_comma
        )
        unit, row = (units[index], units_row) if units else ("", header.row)
        part, told = measured(
            cells,
            known,
            beside=UnitCell(unit, cells.file, row, cells.column),
            decimal_comma=decimal_comma,
            lines=everywhere,
        )
        found.append(part)
        notes.extend(told)
        if np.any(np.isnan(part.values)):
            notes.extend(untold_limit_note(cells))
    return tuple(found), tuple(notes)
