"""Results of a long sheet: one row a result, its analyte and unit beside it."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note
from vrxapp.files.lab_sheets.decimals import Cells, doubtful_point_notes, number_cells
from vrxapp.files.lab_sheets.header import no_known_analyte
from vrxapp.files.lab_sheets.lines import Lines, column_cells, lines_by_name
from vrxapp.files.lab_sheets.mass_basis import SampledLines
from vrxapp.files.lab_sheets.names import Role, heading
from vrxapp.files.lab_sheets.notes import unused_analyte_notes
from vrxapp.files.lab_sheets.sample_textures import is_texture
from vrxapp.files.lab_sheets.units import UnitCell
from vrxapp.files.lab_sheets.values import Measured, measured, untold_limit_note


def long_results(lines: Lines) -> tuple[tuple[Measured, ...], tuple[Note, ...]]:
    """Results of a long sheet, and what was doubtful about them.

    Parameters
    ----------
    lines : Lines
        The lines of the sheet.

    Raises
    ------
    InputFileError
        If no analyte is known, or a cell or a unit cannot be right.
    """
    parts = lines_by_name(lines)
    known = [part for part in parts if heading(part.name, part.method).analyte is not None]
    if not known:
        raise no_known_analyte([p.name for p in parts], lines.sheet.file, row=lines.header.row)
    values = column_cells(lines, lines.header.roles.index(Role.VALUE))
    used = np.sort(np.concatenate([part.lines for part in known]))
    # decided for the column as it is used: what nobody reads may be written as it likes
    sheet = lines.sheet
    readable, decimal_comma = number_cells(
        _some(values, used), sheet.delimiter, decimal_comma=sheet.decimal_comma
    )
    notes: list[Note] = []
    if sheet.decimal_comma and not decimal_comma:
        notes += doubtful_point_notes([readable], is_workbook=bool(sheet.tab))
    texts = np.array(values.texts, dtype=object)
    texts[used] = readable.texts
    values = replace(values, texts=tuple(texts))
    found: list[Measured] = []
    others = [part for part in parts if part not in known and not is_texture(part.name)]
    notes += unused_analyte_notes(lines, others)
    for part in known:
        cells = _some(values, part.lines)
        result, told = measured(
            cells,
            heading(part.name, part.method),
            beside=UnitCell(part.unit, cells.file, int(cells.rows[0]), part.name),
            decimal_comma=decimal_comma,
            sampled=SampledLines(
                part.lines,
                tuple(lines.depths_cm[line] for line in part.lines),
                lines.sheet.mass_basis,
            ),
        )
        found.append(result)
        notes.extend(told)
    return tuple(found), (*notes, *untold_limit_note(readable))


def _some(cells: Cells, lines: NDArray[np.intp]) -> Cells:
    """Some lines of a column."""
    return Cells(
        cells.file, cells.column, cells.rows[lines], tuple(cells.texts[line] for line in lines)
    )
