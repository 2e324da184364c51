"""Lab sheets as screen and terminal open them: a file or pasted cells, and layouts kept."""

from dataclasses import dataclass, replace
from pathlib import Path

from platformdirs import user_data_path

from vrxapp.errors import Note
from vrxapp.files.lab_sheets.layout import LabLayout
from vrxapp.files.lab_sheets.layout_memory import (
    forget_layout,
    remember_layout,
    remembered_layout,
)
from vrxapp.files.lab_sheets.preview import SheetPreview, pasted_preview, sheet_preview
from vrxapp.files.lab_sheets.reader import read_opened
from vrxapp.soil.results_table import ResultsTable


@dataclass(frozen=True, slots=True)
class PastedCells:
    """Cells that were copied from a spreadsheet, with their header."""

    text: str
    name: str = "pasted cells"


LabSource = Path | PastedCells


def layouts_folder() -> Path:
    """Where layouts of laboratories are kept for this user."""
    return user_data_path("vrxapp", appauthor=False) / "lab_layouts"


def open_lab_sheet(source: LabSource, *, layouts: Path | None = None) -> SheetPreview:
    """Open a lab sheet, with the layout kept for its laboratory or else a guess.

    Parameters
    ----------
    source : Path or PastedCells
        A file as `read_lab_sheet` takes it, or cells with their header.
    layouts : Path, optional
        Where layouts are kept; `layouts_folder` if left out.

    Raises
    ------
    InputFileError
        If it cannot be read.
    """
    if isinstance(source, PastedCells):
        seen = pasted_preview(source.text, source.name)
    else:
        seen = sheet_preview(source)
    layout, notes = remembered_layout(seen.layout.key, layouts or layouts_folder())
    if layout is None:
        return replace(seen, notes=(*seen.notes, *notes))
    return replace(seen, layout=layout, is_remembered=True)


def read_seen_sheet(seen: SheetPreview, layout: LabLayout | None = None) -> ResultsTable:
    """The results of an opened sheet.

    Parameters
    ----------
    seen : SheetPreview
        The sheet as it was opened.
    layout : LabLayout, optional
        The layout as it was corrected; left out, the sheet is read as it was opened.

    Raises
    ------
    InputFileError
        If it cannot be read so.
    """
    if layout is not None:
        return read_opened(seen.sheet, layout)
    if not seen.is_remembered:
        return read_opened(seen.sheet)
    table = read_opened(seen.sheet, seen.layout)
    note = Note(
        "read by the layout that was kept for such sheets",
        mend="Nothing needs doing unless the laboratory has changed its columns",
        file=table.file,
        row=seen.layout.header_row,
    )
    return replace(table, notes=(note, *table.notes))


def lab_results(source: LabSource, *, layouts: Path | None = None) -> ResultsTable:
    """The results of a lab sheet, by the layout kept for its laboratory if there is one.

    Raises
    ------
    InputFileError
        If it cannot be read.
    """
    return read_seen_sheet(open_lab_sheet(source, layouts=layouts))


def keep_layout(layout: LabLayout, *, layouts: Path | None = None) -> None:
    """Keep a corrected layout for later sheets of the same laboratory.

    Raises
    ------
    WriteError
        If it cannot be written.
    """
    remember_layout(layout, layouts or layouts_folder())


def forget_layout_of(seen: SheetPreview, *, layouts: Path | None = None) -> bool:
    """Forget the layout kept for sheets like this one; False where none was kept.

    Raises
    ------
    WriteError
        If it cannot be removed.
    """
    return forget_layout(seen.layout.key, layouts or layouts_folder())
