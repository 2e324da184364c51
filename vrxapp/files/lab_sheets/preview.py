"""The first rows of a lab sheet as they stand, with the guess what they hold."""

from dataclasses import dataclass
from pathlib import Path

from vrxapp.errors import Note
from vrxapp.files.lab_sheets.header import header_likeness
from vrxapp.files.lab_sheets.layout import LabLayout, LayoutColumn, layout_of
from vrxapp.files.lab_sheets.opening import open_sheet
from vrxapp.soil.analytes import analyte


@dataclass(frozen=True, slots=True)
class SheetPreview:
    """The beginning of a sheet, to be looked at beside its layout.

    Parameters
    ----------
    file : str
        Name of the file.
    rows : tuple of tuple of str
        Cells of the first rows as text, each row as long as the longest.
    row_count : int
        How many rows the whole sheet has.
    header_row : int
        Row that looks most like the header, counted from 1.
    uses : tuple of str
        What each column seems to be for, in words; empty where it is not read.
    layout : LabLayout
        The same as values, to be corrected and read with.
    notes : tuple of Note
        What was doubtful about the file.
    """

    file: str
    rows: tuple[tuple[str, ...], ...]
    row_count: int
    header_row: int
    uses: tuple[str, ...]
    layout: LabLayout
    notes: tuple[Note, ...]


def sheet_preview(path: Path, rows: int = 20) -> SheetPreview:
    """Look at the beginning of a sheet.

    Parameters
    ----------
    path : Path
        File as `read_lab_sheet` takes it.
    rows : int, default 20
        How many rows to show; the header is always among them.

    Raises
    ------
    InputFileError
        If the file cannot be read.
    """
    sheet = open_sheet(path, header_likeness)
    shown = sheet.rows[: max(rows, sheet.header_index + 1)]
    width = max(map(len, shown), default=0)
    layout = layout_of(sheet)
    uses = tuple(map(_use, layout.columns))
    return SheetPreview(
        sheet.file,
        tuple((*row, *[""] * (width - len(row))) for row in shown),
        len(sheet.rows),
        layout.header_row,
        (*uses, *[""] * (width - len(uses))),
        layout,
        sheet.notes,
    )


def _use(column: LayoutColumn) -> str:
    """What a column is for, as people say it."""
    if not column.analyte:
        return str(column.role or "")
    name = analyte(column.analyte).name
    return f"{name}, {column.unit}" if column.unit else name
