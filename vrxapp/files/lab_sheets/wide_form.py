"""Results of a wide sheet: one row a sample, one column an analyte."""

import numpy as np

from vrxapp.errors import Note
from vrxapp.files.lab_sheets.decimals import Cells, doubtful_point_notes, number_cells
from vrxapp.files.lab_sheets.lines import Lines, column_cells
from vrxapp.files.lab_sheets.mass_basis import SampledLines
from vrxapp.files.lab_sheets.units import UnitCell
from vrxapp.files.lab_sheets.values import Measured, measured, untold_limit_note


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
    header, everywhere = lines.header, np.arange(len(lines.rows))
    sampled = SampledLines(everywhere, lines.depths_cm, lines.sheet.mass_basis)
    columns, doubts = _columns(lines)
    notes = list(doubts)
    for index, (cells, decimal_comma) in columns.items():
        known = header.headings[index]
        assert known is not None
        unit, row = (units[index], units_row) if units else ("", header.row)
        part, told = measured(
            cells,
            known,
            beside=UnitCell(unit, cells.file, row, cells.column),
            decimal_comma=decimal_comma,
            sampled=sampled,
        )
        found.append(part)
        notes.extend(told)
        if np.any(np.isnan(part.values)):
            notes.extend(untold_limit_note(cells))
    return tuple(found), tuple(notes)


def _columns(lines: Lines) -> tuple[dict[int, tuple[Cells, bool]], tuple[Note, ...]]:
    """Each column of results as it is to be read, whether its commas are decimal, and doubts."""
    sheet, headings = lines.sheet, lines.header.headings
    written = {i: column_cells(lines, i) for i, known in enumerate(headings) if known is not None}
    columns = {
        index: number_cells(cells, sheet.delimiter, decimal_comma=sheet.decimal_comma)
        for index, cells in written.items()
    }
    if not (sheet.decimal_comma or any(comma for _, comma in columns.values())):
        return columns, ()
    with_points = [written[index] for index, (_, comma) in columns.items() if not comma]
    return columns, doubtful_point_notes(with_points, is_workbook=bool(sheet.tab))
