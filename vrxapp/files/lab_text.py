"""The text of a sheet saved as CSV: its encoding, its delimiter and its rows."""

import codecs
import csv
import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from vrxapp.errors import InputFileError, Note

LARGEST_FILE_BYTES = 100_000_000
_DELIMITERS = (",", ";", "\t", "|")
_HEADER_SEARCHED_ROWS = 40
_SAVE_AS_CSV = "Save the sheet as CSV (UTF-8) and open that"
_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


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
    """

    file: str
    delimiter: str
    header_index: int
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[Note, ...]


def read_sheet(path: Path, likeness: Callable[[Sequence[str]], int]) -> Sheet:
    """Open a sheet and find its delimiter by the row that looks most like the header.

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
    text, notes = _decoded(_content(path), path.name)
    if not text.strip():
        raise InputFileError(
            "the file is empty", mend="Check that the right file was saved", file=path.name
        )
    best, delimiter, header_index = 0, _DELIMITERS[0], 0
    for candidate in _DELIMITERS:
        for index, row in enumerate(islice(_rows(text, candidate), _HEADER_SEARCHED_ROWS)):
            if likeness(row) > best:
                best, delimiter, header_index = likeness(row), candidate, index
    return Sheet(
        path.name, delimiter, header_index, _all_rows(text, delimiter, file=path.name), notes
    )


def _content(path: Path) -> bytes:
    """The bytes of a file that is there and not too large."""
    if not path.is_file():
        what = "this is a folder, not a sheet" if path.is_dir() else "there is no such file"
        raise InputFileError(what, mend="Choose a CSV file", file=path.name)
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


def _decoded(content: bytes, file: str) -> tuple[str, tuple[Note, ...]]:
    """The text of a file, with a note where its encoding is a guess."""
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


def _rows(text: str, delimiter: str) -> Iterator[list[str]]:
    """Rows while a delimiter is only being tried; it ends where they cannot be cut."""
    try:
        yield from csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    except csv.Error:
        return


def _all_rows(text: str, delimiter: str, *, file: str) -> tuple[tuple[str, ...], ...]:
    """Every row, cut into cells without blanks around them."""
    rows: list[tuple[str, ...]] = []
    try:
        cut = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
        rows.extend(tuple(cell.strip() for cell in row) for row in cut)
    except csv.Error as error:
        raise InputFileError(
            f"the row cannot be cut into cells ({error})",
            mend='Check that each quotation mark (") has its partner',
            file=file,
            row=len(rows) + 1,
        ) from error
    return tuple(rows)
