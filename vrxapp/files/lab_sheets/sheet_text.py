"""The text of a sheet, saved as CSV or pasted: its encoding, its delimiter and its rows."""

import codecs
import csv
import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

from vrxapp.errors import InputFileError, Note
from vrxapp.files.lab_sheets.mass_basis import MassBasis

LARGEST_FILE_BYTES = 100_000_000
_DELIMITERS = (",", ";", "\t", "|")
HEADER_SEARCHED_ROWS = 40
_SAVE_AS_CSV = "Save the sheet as CSV (UTF-8) and open that"
_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


@dataclass(frozen=True, slots=True)
class CellFlaw:
    """A cell of a workbook that shows something, but holds no text and no number to trust.

    `row` is counted from 1 and `index` from 0; `shown` is what the workbook shows.
    """

    row: int
    index: int
    message: str
    mend: str
    shown: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """The rows of a sheet, cut into cells.

    Parameters
    ----------
    file : str
        Name of the file, for messages.
    delimiter : str
        What parts the cells.
    header_index : int
        Which of the rows looks most like the header; 0 where none does.
    rows : tuple of tuple of str
        Every row of the file, blank ones too, so that row numbers stay right.
    notes : tuple of Note
        What was doubtful about the text.
    tab : str, optional
        Name of the sheet within a workbook.
    flaws : tuple of CellFlaw, optional
        Cells of a workbook that must not be read; it only matters where they are needed.
    decimal_comma : bool or None, optional
        Whether commas are decimal, where somebody said so; None leaves it to the columns.
    names : tuple of str, optional
        Names of the columns where they stand over two rows, the header's and the one above;
        empty where the header's row alone holds them.
    mass_basis : MassBasis, optional
        What turns results by area or volume into concentrations, where somebody said so.
    """

    file: str
    delimiter: str
    header_index: int
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[Note, ...]
    tab: str = ""
    flaws: tuple[CellFlaw, ...] = ()
    decimal_comma: bool | None = None
    names: tuple[str, ...] = ()
    mass_basis: MassBasis = field(default_factory=MassBasis)


def names_in(sheet: Sheet, row: int) -> tuple[str, ...]:
    """The names of the columns where the header is in this row, counted from 1."""
    return (row == sheet.header_index + 1 and sheet.names) or sheet.rows[row - 1]


def read_sheet(path: Path, likeness: Callable[[Sequence[str]], int]) -> Sheet:
    """Open a text file and find its delimiter by the row that looks most like the header.

    Parameters
    ----------
    path : Path
        File in UTF-8, in UTF-16 with a byte order mark, or else in Windows-1252.
    likeness : callable
        How much a row looks like the header wanted, 0 for not at all.

    Raises
    ------
    InputFileError
        If the file is missing, too large, empty, no text, or its quotes do not close.
    """
    text, notes = decoded(file_content(path), path.name)
    return text_sheet(text, path.name, likeness=likeness, notes=notes)


def text_sheet(
    text: str, file: str, *, likeness: Callable[[Sequence[str]], int], notes: tuple[Note, ...] = ()
) -> Sheet:
    """Cut a text into cells, by the delimiter that makes a row look most like the header.

    Parameters
    ----------
    text : str
        The whole text.
    file : str
        Name of the file, for messages.
    likeness : callable
        How much a row looks like the header wanted, 0 for not at all.
    notes : tuple of Note, optional
        What was doubtful so far.

    Raises
    ------
    InputFileError
        If the text is empty, or its quotes do not close.
    """
    if not text.strip():
        raise InputFileError(
            "the file is empty", mend="Check that the right file was saved", file=file
        )
    lines = list(io.StringIO(text, newline=""))
    # where no name is known, the first line of names has no decimals that could mislead
    first = next(line for line in lines if line.strip())
    best, delimiter, header_index = 0, max(_DELIMITERS, key=first.count), 0
    for candidate in _DELIMITERS:
        found, index = likest_row(_rows(lines, candidate), likeness)
        if found > best:
            best, delimiter, header_index = found, candidate, index
    return Sheet(file, delimiter, header_index, _all_rows(lines, delimiter, file=file), notes)


def likest_row(
    rows: Iterable[Sequence[str]], likeness: Callable[[Sequence[str]], int]
) -> tuple[int, int]:
    """How much the likest of the first rows looks like a header, and which it is."""
    best, header_index = 0, 0
    for index, row in enumerate(islice(rows, HEADER_SEARCHED_ROWS)):
        found = likeness(row)
        if found > best:
            best, header_index = found, index
    return best, header_index


def file_content(path: Path) -> bytes:
    """The bytes of a file that is there and not too large.

    Raises
    ------
    InputFileError
        If it is missing, a folder, too large, or may not be read.
    """
    if not path.is_file():
        what = "this is a folder, not a sheet" if path.is_dir() else "there is no such file"
        raise InputFileError(what, mend="Choose a CSV or XLSX file", file=path.name)
    try:
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise InputFileError(
                f"the file is larger than {LARGEST_FILE_BYTES // 1_000_000} MB",
                mend="Check that it is the right file, or split it",
                file=path.name,
            )
        return path.read_bytes()
    except OSError as error:
        raise InputFileError(
            f"the file cannot be read ({error.strerror})",
            mend="Check that it is not open elsewhere and that you may read it",
            file=path.name,
        ) from error


def decoded(content: bytes, file: str) -> tuple[str, tuple[Note, ...]]:
    """The text of a file, with a note where its encoding is a guess.

    Raises
    ------
    InputFileError
        If it is no text.
    """
    encoding = next((name for bom, name in _BOMS if content.startswith(bom)), "utf-8")
    notes: tuple[Note, ...] = ()
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        text = "" if encoding != "utf-8" else content.decode("cp1252", errors="replace")
        if not text or "\ufffd" in text:
            raise _no_text(file) from None
        notes = (
            Note(
                "the text is not UTF-8 and was read as Windows-1252",
                mend="Check names with letters beyond a to z",
                file=file,
            ),
        )
    if "\0" in text or content.startswith(b"PK\x03\x04"):
        raise _no_text(file)
    return text, notes


def _no_text(file: str) -> InputFileError:
    """The error for a workbook, a picture or a damaged file."""
    return InputFileError("this is no text file that can be read", mend=_SAVE_AS_CSV, file=file)


def _rows(lines: Sequence[str], delimiter: str) -> Iterator[list[str]]:
    """Rows while a delimiter is only being tried; it ends where they cannot be cut."""
    try:
        yield from csv.reader(lines, delimiter=delimiter)
    except csv.Error:
        return


class _Stripped(dict[str, str]):
    """Cells without blanks around them; those that are alike are kept once, for speed."""

    def __missing__(self, cell: str) -> str:
        return self.setdefault(cell, cell.strip())


def _all_rows(lines: Sequence[str], delimiter: str, *, file: str) -> tuple[tuple[str, ...], ...]:
    """Every row, cut into cells without blanks around them."""
    rows: list[tuple[str, ...]] = []
    stripped = _Stripped().__getitem__
    try:
        cut = csv.reader(lines, delimiter=delimiter, strict=True)
        rows.extend(tuple(map(stripped, row)) for row in cut)
    except csv.Error as error:
        raise InputFileError(
            f"the row cannot be cut into cells ({error})",
            mend='Check that each quotation mark (") has its partner',
            file=file,
            row=len(rows) + 1,
        ) from error
    return tuple(rows)
