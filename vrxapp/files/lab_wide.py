"""Results of a wide sheet: one row a sample, one column an analyte."""

import numpy as np

from vrxapp.errors import Note, SoilInputError
from vrxapp.files.lab_header import Header, index_of, refuse_depth_unit
from vrxapp.files.lab_lines import Lines, column_cells
from vrxapp.files.lab_names import Role
from vrxapp.files.lab_text import Sheet
from vrxapp.files.lab_units import UnitCell
from vrxapp.files.lab_values import (
    Measured,
    has_decimal_commas,
    measured,
    untold_limit_note,
)
from vrxapp.ground.zones import comparable
from vrxapp.soil.detection_limits import parsed_result
from vrxapp.units import known_unit

_UNIT_WORDS = ("", "unit", "units")


def units_row(sheet: Sheet, header: Header) -> tuple[str, ...]:
    """The row of units under the header; empty where that row holds results.

    Raises
    ------
    InputFileError
        If it gives the depths in anything but centimetres.
    """
    if header.row >= len(sheet.rows):
        return ()
    row = sheet.rows[header.row]
    cells = (*row, *[""] * (len(header.names) - len(row)))
    under = zip(cells, header.headings, strict=False)
    units = [cell for cell, known in under if known is not None]
    told = any(known_unit(unit) is not None and not _is_result(unit) for unit in units)
    if comparable(cells[header.roles.index(Role.SAMPLE)]) not in _UNIT_WORDS or not told:
        return ()
    depth = index_of(header, Role.DEPTH)
    if depth is not None:
        refuse_depth_unit(
            cells[depth], file=sheet.file, row=header.row + 1, column=header.names[depth]
        )
    return cells


def _is_result(text: str) -> bool:
    """Whether a cell could be a result: a dash is a unit to some, and no result to others."""
    try:
        parsed_result(text)
    except SoilInputError:
        return False
    return True


def wide_results(
    lines: Lines, units: tuple[str, ...]
) -> tuple[tuple[Measured, ...], tuple[Note, ...]]:
    """Results of a wide sheet, and what was doubtful about them.

    Parameters
    ----------
    lines : Lines
        The lines of the sheet.
    units : tuple of str
        The row of units; empty where there is none.

    Raises
    ------
    InputFileError
        If a cell or a unit cannot be right.
    """
    found: list[Measured] = []
    notes: list[Note] = []
    header, everywhere = lines.header, np.arange(len(lines.cells))
    for index, known in enumerate(header.headings):
        if known is None:
            continue
        cells = column_cells(lines, index)
        unit, row = (units[index], header.row + 1) if units else ("", header.row)
        part, told = measured(
            cells,
            known,
            beside=UnitCell(unit, cells.file, row, cells.column),
            decimal_comma=has_decimal_commas(cells, lines.sheet.delimiter),
            lines=everywhere,
        )
        found.append(part)
        notes.extend((*told, *untold_limit_note(cells)))
    return tuple(found), tuple(notes)
