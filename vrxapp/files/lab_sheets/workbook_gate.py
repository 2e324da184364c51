"""The gate before a workbook: what must never reach the library that reads it."""

import io
import re
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NoReturn
from xml.parsers import expat

from vrxapp.errors import InputFileError
from vrxapp.files.lab_sheets.sheet_text import CellFlaw

LARGEST_UNPACKED_BYTES = 400_000_000
LARGEST_RATIO = 100
_RATIO_FROM_BYTES = 50_000_000
_MOST_ENTRIES = 1_000
MOST_ROWS, MOST_COLUMNS = 99_999, 260
_AS_CSV = "Save the sheet as XLSX without them, or as CSV (UTF-8)"
SAVE_AGAIN = "Open it in a spreadsheet and save it again as XLSX, or save the sheet as CSV (UTF-8)"
_OLDER_MAGIC = b"\xd0\xcf\x11\xe0"
# one cell far away makes a table as large as the way there: columns from JA on, rows of six digits
_FAR_CELL = re.compile(
    rb"r[ \t\r\n]*+=[ \t\r\n]*+[\"']"
    rb"(?:[A-Za-z]{0,2}+[0-9]{6}|[A-Za-z]{3,}+[0-9]|[J-Zj-z][A-Za-z][0-9])"
)
# every formula but the repeats of one ends so, and every error value begins with #; a look for
# these is much faster than a parser
_FORMULA_END, _ERROR_START = re.compile(rb"f\s*>"), b"#"
_CELL = re.compile(rb"<(?:\w+:)?c(?=[\s/>])([^>]*?)(?:/>|>(.*?)</(?:\w+:)?c\s*>)", re.DOTALL)
_REFERENCE = re.compile(rb"\br\s*=\s*[\"']([A-Za-z]+)([0-9]+)")
_TYPE = re.compile(rb"\bt\s*=\s*[\"'](\w+)")
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_VALUE = re.compile(rb"<(?:\w+:)?v(?:\s[^>]*)?>([^<]+)<")
_RELATION = "http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"


def is_workbook(content: bytes) -> bool:
    """Whether these bytes are, or once were, a workbook of any kind."""
    return content.startswith(_OLDER_MAGIC) or zipfile.is_zipfile(io.BytesIO(content))


@dataclass(frozen=True, slots=True)
class CheckedWorkbook:
    """A workbook that may be read.

    Parameters
    ----------
    content : BytesIO
        The very parts that were checked, unpacked, so that they are unpacked only once and
        nothing but them is read.
    flaws : dict
        For each tab, the cells whose formula has no value or an error for one.
    """

    content: io.BytesIO
    flaws: dict[str, tuple[CellFlaw, ...]]


def checked_workbook(content: bytes, file: str) -> CheckedWorkbook:
    """Refuse a workbook that is unsafe or unreadable, and find its cells without a value.

    Parameters
    ----------
    content : bytes
        The workbook.
    file : str
        Its name, for messages.

    Returns
    -------
    CheckedWorkbook
        What was checked, for the library to read.

    Raises
    ------
    InputFileError
        If it is damaged, encrypted, of another format, too large, holds macros or takes
        values from other workbooks.
    """
    if content.startswith(_OLDER_MAGIC):
        _refuse("this is an older or a locked workbook", file, mend="Unlock it, save it as XLSX")
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            _refuse_unsafe(archive.infolist(), file)
            parts = {name: archive.read(name) for name in archive.namelist()}
        _refuse_parts(parts, file)
        flaws = {
            tab: _checked_tab(parts[name], tab, file=file) for tab, name in _tab_parts(parts, file)
        }
    except (zipfile.BadZipFile, zlib.error, expat.ExpatError, EOFError, OSError) as error:
        raise InputFileError("the workbook is damaged", mend=SAVE_AGAIN, file=file) from error
    except (KeyError, NotImplementedError, RuntimeError) as error:
        raise InputFileError(
            "a part of the workbook is missing or cannot be unpacked", mend=SAVE_AGAIN, file=file
        ) from error
    return CheckedWorkbook(_stored(parts), flaws)


def _refuse(message: str, file: str, *, mend: str) -> NoReturn:
    raise InputFileError(message, mend=mend, file=file)


def _refuse_unsafe(entries: Sequence[zipfile.ZipInfo], file: str) -> None:
    """Refuse by the list of contents alone, before anything is unpacked."""
    names = {entry.filename.casefold() for entry in entries}
    unpacked = sum(entry.file_size for entry in entries)
    packed = sum(entry.compress_size for entry in entries)
    if len(entries) > _MOST_ENTRIES or len(names) != len(entries):
        _refuse("the workbook holds too many parts, or one twice", file, mend=SAVE_AGAIN)
    swollen = unpacked > _RATIO_FROM_BYTES and unpacked > LARGEST_RATIO * max(packed, 1)
    if unpacked > LARGEST_UNPACKED_BYTES or swollen:
        _refuse(
            f"the workbook unpacks to {unpacked // 1_000_000} MB, far more than a lab sheet",
            file,
            mend="Save the sheet of results alone as CSV (UTF-8)",
        )
    if "xl/workbook.xml" not in names:
        _refuse(
            "this is no XLSX workbook",
            file,
            mend="Save the sheet as XLSX or as CSV (UTF-8) and open that",
        )
    if any(name.endswith("vbaproject.bin") for name in names):
        _refuse_macros(file)
    if any(name.startswith("xl/externallinks/") for name in names):
        _refuse("the workbook takes values from other workbooks", file, mend=_AS_CSV)


def _refuse_parts(parts: dict[str, bytes], file: str) -> None:
    """Refuse by what the parts say: macros, and entities of their own."""
    if b"macroEnabled" in parts["[Content_Types].xml"]:
        _refuse_macros(file)
    for name, part in parts.items():
        if name.casefold().endswith((".xml", ".rels")) and b"<!DOCTYPE" in part[:65_536]:
            _refuse_entities(file)


def _refuse_macros(file: str) -> NoReturn:
    _refuse("the workbook holds macros, and none is opened", file, mend=_AS_CSV)


def _stored(parts: dict[str, bytes]) -> io.BytesIO:
    """The parts as an archive again, without packing them."""
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as archive:
        for name, part in parts.items():
            archive.writestr(zipfile.ZipInfo(name), part)
    content.seek(0)
    return content


def _tab_parts(parts: dict[str, bytes], file: str) -> Iterator[tuple[str, str]]:
    """The name of each tab and the part that holds its cells."""
    links = _elements(parts["xl/_rels/workbook.xml.rels"], file)
    targets = {found.get("Id", ""): found.get("Target", "") for _, found in links}
    for tag, found in _elements(parts["xl/workbook.xml"], file):
        target = targets.get(found.get(_RELATION, ""), "")
        if tag.endswith("}sheet") and "worksheets/" in target:
            part = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
            yield found.get("name", ""), part


def _elements(xml: bytes, file: str) -> list[tuple[str, dict[str, str]]]:
    """The elements of a small part in their order, without their text."""
    found: list[tuple[str, dict[str, str]]] = []
    parser = expat.ParserCreate(namespace_separator="}")
    parser.StartElementHandler = lambda tag, attributes: found.append((tag, attributes))
    # in another encoding than UTF-8 the first look at the bytes may have missed one
    parser.StartDoctypeDeclHandler = lambda *_: _refuse_entities(file)
    parser.Parse(xml, True)  # noqa: FBT003  (expat takes no keyword)
    return found


def _refuse_entities(file: str) -> NoReturn:
    _refuse("the workbook declares entities of its own", file, mend=SAVE_AGAIN)


def _checked_tab(xml: bytes, tab: str, *, file: str) -> tuple[CellFlaw, ...]:
    """Refuse a tab with cells far away; the cells that have no value of their own."""
    if _FAR_CELL.search(xml):
        _refuse(
            f"the tab {tab!r} has cells beyond row {MOST_ROWS} or column {MOST_COLUMNS}",
            file,
            mend="Copy the results alone into a new workbook",
        )
    if _ERROR_START not in xml and not _FORMULA_END.search(xml):
        return ()
    flaws = (_flaw(*found.groups(default=b"")) for found in _CELL.finditer(xml))
    return tuple(flaw for flaw in flaws if flaw is not None)


def _flaw(attributes: bytes, inside: bytes) -> CellFlaw | None:
    """What is wrong with one cell, if anything."""
    where, kind = _REFERENCE.search(attributes), _TYPE.search(attributes)
    value = _VALUE.search(inside)
    shown = value[1].decode("utf-8", "replace") if value else ""
    if where is None:
        return None
    row, index = int(where[2]), _column_index(where[1].decode().upper())
    if kind is not None and kind[1] == b"e":
        return CellFlaw(
            row, index, f"the cell shows the error {shown}", "Correct or empty it", shown
        )
    # a formula may well give an empty text, and then says that it gives text
    if _FORMULA.search(inside) and not shown and (kind is None or kind[1] != b"str"):
        return CellFlaw(
            row,
            index,
            "the cell holds a formula without its value",
            "Open the workbook in a spreadsheet, save it again, or paste values over formulas",
            "",
        )
    return None


def _column_index(letters: str) -> int:
    """A column's letters as a number from 0."""
    index = 0
    for letter in letters:
        index = 26 * index + ord(letter) - ord("A") + 1
    return index - 1
