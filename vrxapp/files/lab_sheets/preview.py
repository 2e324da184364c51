"""A lab sheet that is open but not read yet, with the guess what its columns hold."""

from dataclasses import dataclass, replace
from pathlib import Path

from vrxapp.errors import InputFileError, Note
from vrxapp.files.lab_sheets.header import header_likeness
from vrxapp.files.lab_sheets.layout import LabLayout, LayoutColumn, layout_of
from vrxapp.files.lab_sheets.opening import open_sheet
from vrxapp.files.lab_sheets.sheet_text import Sheet, names_in, text_sheet
from vrxapp.files.lab_sheets.two_rows import with_names_of_two_rows
from vrxapp.soil.analytes import analyte

NOT_USED = ""


@dataclass(frozen=True, slots=True)
class SheetPreview:
    """A sheet to be looked at before it is read.

    Parameters
    ----------
    sheet : Sheet
        The sheet, with all its rows.
    layout : LabLayout
        What each column is for: guessed, corrected, or remembered.
    is_remembered : bool, optional
        Whether the layout is one that was kept.
    notes : tuple of Note, optional
        What was doubtful while opening.
    """

    sheet: Sheet
    layout: LabLayout
    is_remembered: bool = False
    notes: tuple[Note, ...] = ()


def sheet_preview(path: Path) -> SheetPreview:
    """Open a sheet and guess what its columns hold.

    Unlike `read_lab_sheet`, this refuses no sheet for what its columns hold, so that a
    person can put the guess right.

    Parameters
    ----------
    path : Path
        File as `read_lab_sheet` takes it.

    Raises
    ------
    InputFileError
        If the file cannot be read.
    """
    return _guessed(open_sheet(path, header_likeness))


def pasted_preview(text: str, name: str) -> SheetPreview:
    """Cells copied from a spreadsheet, with the guess what their columns hold.

    Parameters
    ----------
    text : str
        The cells with their header, parted as spreadsheets copy them.
    name : str
        What messages call them.

    Raises
    ------
    InputFileError
        If there is nothing in the text.
    """
    return _guessed(text_sheet(text, name, likeness=header_likeness))


def _guessed(sheet: Sheet) -> SheetPreview:
    sheet = with_names_of_two_rows(sheet)
    return SheetPreview(sheet, layout_of(sheet), notes=sheet.notes)


def with_header_row(preview: SheetPreview, row: int) -> SheetPreview:
    """The same sheet with the header in another row, and a new guess for that.

    Parameters
    ----------
    preview : SheetPreview
        The sheet as it was seen before.
    row : int
        Row of the header, counted from 1.

    Raises
    ------
    InputFileError
        If the sheet has no such row.
    """
    rows = len(preview.sheet.rows)
    if not 1 <= row <= rows:
        raise InputFileError(
            f"the sheet has no row {row}",
            mend=f"Choose a row from 1 to {rows}",
            file=preview.sheet.file,
        )
    sheet = replace(preview.sheet, header_index=row - 1, names=())
    # later sheets are recognised by what a guess would take for the header
    layout = replace(layout_of(sheet), key=preview.layout.key)
    return replace(preview, sheet=sheet, layout=layout, is_remembered=False)


def first_rows(sheet: Sheet, count: int = 20) -> tuple[tuple[str, ...], ...]:
    """The first rows as text, all as long as the longest; the header is always among them."""
    shown = sheet.rows[: max(count, sheet.header_index + 1)]
    width = max(map(len, shown), default=0)
    return tuple((*row, *[""] * (width - len(row))) for row in shown)


def examples(sheet: Sheet, count: int = 3) -> tuple[tuple[str, ...], ...]:
    """The first cells under the header that hold something, for each column of the header."""
    below = sheet.rows[sheet.header_index + 1 : sheet.header_index + 1 + 10 * count]
    return tuple(
        tuple(row[index] for row in below if index < len(row) and row[index])[:count]
        for index in range(len(names_in(sheet, sheet.header_index + 1)))
    )


def use_of(column: LayoutColumn) -> str:
    """What a column is for, as people say it; empty where it is not read."""
    if not column.analyte:
        return str(column.role or NOT_USED)
    name = analyte(column.analyte).name
    return f"{name}, {column.unit}" if column.unit else name
