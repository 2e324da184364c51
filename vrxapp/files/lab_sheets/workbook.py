"""A sheet out of an XLSX workbook: the tab that holds the results, its cells as text."""

import datetime
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from vrxapp.errors import InputFileError, Note
from vrxapp.files.lab_sheets.sheet_text import CellFlaw, Sheet, likest_row
from vrxapp.files.lab_sheets.workbook_gate import SAVE_AGAIN, checked_workbook
from vrxapp.soil.place_notes import listed

if TYPE_CHECKING:
    from python_calamine import CalamineSheet, CalamineWorkbook

# what a cell can hold; a date is a kind of datetime.date, as a date with a time of day is
_Cell = str | float | bool | datetime.date | datetime.time | datetime.timedelta
_DATES = (datetime.date, datetime.time, datetime.timedelta)
_DIGITS = "%.15g"  # as many as spreadsheets keep


def workbook_sheet(
    content: bytes,
    file: str,
    *,
    likeness: Callable[[Sequence[str]], int],
    tab: str = "",
) -> Sheet:
    """Read the tab of a workbook whose rows look most like a header of results.

    Parameters
    ----------
    content : bytes
        The workbook.
    file : str
        Its name, for messages.
    likeness : callable
        How much a row looks like the header wanted, 0 for not at all.
    tab : str, optional
        The tab to read where the workbook has it; else it is chosen.

    Returns
    -------
    Sheet
        Cells as text, with the cells that must not be read as its flaws: dates,
        formulas without a value, and error values. A cell merged downwards counts in
        each of its rows, as the workbook shows it.

    Raises
    ------
    InputFileError
        If it is damaged, encrypted, of another format, too large, holds macros or takes
        values from other workbooks.
    """
    checked = checked_workbook(content, file)
    from python_calamine import CalamineError, CalamineWorkbook  # only when a workbook is read

    try:
        with CalamineWorkbook.from_filelike(checked.content) as workbook:
            tabs = _tabs(workbook)
            found = [_sheet(workbook, name, file, likeness=likeness) for name in tabs]
    except CalamineError as error:
        raise InputFileError(
            f"the workbook is damaged ({error})", mend=SAVE_AGAIN, file=file
        ) from error
    filled = [(score, sheet) for score, sheet in found if any(map(any, sheet.rows))]
    if not filled:
        raise InputFileError(
            "the workbook is empty", mend="Check that the right file was saved", file=file
        )
    chosen = next((s for _, s in filled if s.tab == tab), max(filled, key=lambda one: one[0])[1])
    others = [s.tab for score, s in filled if score > 1 and s is not chosen]
    return Sheet(
        file,
        chosen.delimiter,
        chosen.header_index,
        chosen.rows,
        (*chosen.notes, *_other_tabs(chosen, others)),
        chosen.tab,
        (*chosen.flaws, *checked.flaws.get(chosen.tab, ())),
    )


def _tabs(workbook: "CalamineWorkbook") -> list[str]:
    """The tabs that a user sees; all of them where every one is hidden."""
    from python_calamine import SheetTypeEnum, SheetVisibleEnum

    tables = [meta for meta in workbook.sheets_metadata if meta.typ == SheetTypeEnum.WorkSheet]
    seen = [meta.name for meta in tables if meta.visible == SheetVisibleEnum.Visible]
    return seen or [meta.name for meta in tables]


def _sheet(
    workbook: "CalamineWorkbook",
    name: str,
    file: str,
    *,
    likeness: Callable[[Sequence[str]], int],
) -> tuple[int, Sheet]:
    """One tab as rows of text, and how much it looks like a sheet of results."""
    tab = workbook.get_sheet_by_name(name)
    rows, flaws = _texts(tab)
    for (top, left), (bottom, right) in tab.merged_cell_ranges or ():
        if left == right and bottom < len(rows):
            for row in range(top + 1, bottom + 1):
                rows[row] = (*rows[row][:left], rows[top][left], *rows[row][left + 1 :])
    score, header_index = likest_row(rows, likeness)
    # a tab never parts its cells by a character, so a comma in a cell can only be a decimal one
    return score, Sheet(file, "\t", header_index, tuple(rows), (), name, flaws)


class _Texts(dict[_Cell, str]):
    """The text of each cell met; laboratories round, so that most numbers come again."""

    has_dates = False

    def __missing__(self, cell: _Cell) -> str:
        text = _text(cell)
        self.has_dates = self.has_dates or isinstance(cell, _DATES)
        if cell not in (0, 1):  # to Python these are the same as FALSE and TRUE, but not to us
            self[cell] = text
        return text


def _texts(tab: "CalamineSheet") -> tuple[list[tuple[str, ...]], tuple[CellFlaw, ...]]:
    """Every row as text, and the cells that hold dates."""
    texts = _Texts()
    left = ("",) * (tab.start[1] if tab.start else 0)  # rows begin at the first column in use
    rows = [(*left, *map(texts.__getitem__, row)) for row in tab.iter_rows()]
    return rows, tuple(_date_flaws(tab, len(left))) if texts.has_dates else ()


def _date_flaws(tab: "CalamineSheet", left: int) -> Iterator[CellFlaw]:
    """The cells that hold dates or times."""
    for number, row in enumerate(tab.iter_rows(), start=1):
        for index, cell in enumerate(row, start=left):
            if isinstance(cell, _DATES):
                yield _date_flaw(number, index, cell)


def _text(cell: _Cell) -> str:
    """One cell as the workbook shows it: a whole number without a point, no stray last digit."""
    if isinstance(cell, str):
        return cell.strip()
    if isinstance(cell, bool):
        return str(cell).upper()
    return _DIGITS % cell if isinstance(cell, int | float) else str(cell)


def _date_flaw(row: int, index: int, cell: _Cell) -> CellFlaw:
    """A cell that a spreadsheet keeps as a date, for instance because 10-1 looked like one."""
    return CellFlaw(
        row,
        index,
        f"the cell holds the date or time {cell}, which a spreadsheet may have made of "
        "something like 10-1",
        "Format the column as text and type the cell again as the laboratory wrote it",
        str(cell),
    )


def _other_tabs(chosen: Sheet, others: Sequence[str]) -> tuple[Note, ...]:
    """A note where other tabs look like results too."""
    if not others:
        return ()
    return (
        Note(
            f"the tab {chosen.tab!r} is read; {listed(map(repr, others))} may hold results too",
            mend="Choose the other tab, or save each tab as a file of its own",
            file=chosen.file,
        ),
    )
