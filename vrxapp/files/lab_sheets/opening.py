"""Opens a sheet of any format: what is inside decides, not the name."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from vrxapp.errors import InputFileError, Note
from vrxapp.files.lab_sheets.sheet_text import Sheet, decoded, file_content, text_sheet
from vrxapp.files.lab_sheets.workbook import workbook_sheet
from vrxapp.files.lab_sheets.workbook_gate import is_workbook

_WORKBOOK_ENDINGS = (".xlsx", ".xlsm", ".xls", ".xlsb")


def open_sheet(path: Path, likeness: Callable[[Sequence[str]], int], *, tab: str = "") -> Sheet:
    """Open a sheet and find the row that looks most like the header.

    Parameters
    ----------
    path : Path
        XLSX workbook, or a text file in UTF-8, in UTF-16 with a byte order mark, or
        else in Windows-1252.
    likeness : callable
        How much a row looks like the header wanted, 0 for not at all.
    tab : str, optional
        The tab of a workbook to read where it has one of that name.

    Returns
    -------
    Sheet
        Its rows, with a note where the content is not what the name says.

    Raises
    ------
    InputFileError
        If the file is missing, too large, empty, damaged or neither of these.
    """
    content = file_content(path)
    named_workbook = path.suffix.casefold() in _WORKBOOK_ENDINGS
    if is_workbook(content):
        sheet = workbook_sheet(content, path.name, likeness=likeness, tab=tab)
        return sheet if named_workbook else _misnamed(sheet, "a workbook")
    if named_workbook and content[:2] == b"PK":
        raise InputFileError(
            "the workbook is damaged or was cut off",
            mend="Fetch it again, or ask for it as CSV",
            file=path.name,
        )
    text, notes = decoded(content, path.name)
    sheet = text_sheet(text, path.name, likeness=likeness, notes=notes)
    return _misnamed(sheet, "a text file") if named_workbook else sheet


def _misnamed(sheet: Sheet, kind: str) -> Sheet:
    """The sheet with a note that its file is called what it is not."""
    note = Note(
        f"the file is {kind}, whatever its name says, and was read as such",
        mend="Nothing needs doing; check that it is the right file",
        file=sheet.file,
    )
    return replace(sheet, notes=(*sheet.notes, note))
