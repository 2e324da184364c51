"""What each line of a lab sheet belongs to: sample, replicate, zone, layer and position."""

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import InputFileError
from vrxapp.files.lab_header import Header, index_of
from vrxapp.files.lab_names import Role
from vrxapp.files.lab_positions import positions
from vrxapp.files.lab_text import Sheet
from vrxapp.files.lab_values import Cells, refused

_LAYER = re.compile(
    r"([0-9]+(?:[.,][0-9]+)?) ?(?:-|–|—|to) ?([0-9]+(?:[.,][0-9]+)?) ?(?:cm)?", re.I
)
_DATE = re.compile(r"[a-z]{3}|[0-9]{4}|/", re.I)
_NOT_TOLD = ("", "-", "–", "n/a")


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """The lines of a sheet under its header, one row each.

    Parameters
    ----------
    sheet : Sheet
        The sheet.
    header : Header
        Its header.
    cells : tuple of tuple of str
        Cells of each line, as many as the header has.
    rows : ndarray of int
        Row of each line in the file, counted from 1.
    samples, replicates, zones, depths_cm : tuple of str
        What each line says; empty where it does not. [cm]
    longitude_degree, latitude_degree : ndarray of float
        Position; NaN where not told. [degrees]
    """

    sheet: Sheet
    header: Header
    cells: tuple[tuple[str, ...], ...]
    rows: NDArray[np.int64]
    samples: tuple[str, ...]
    replicates: tuple[str, ...]
    zones: tuple[str, ...]
    depths_cm: tuple[str, ...]
    longitude_degree: NDArray[np.float64]
    latitude_degree: NDArray[np.float64]


def column_cells(lines: Lines, index: int) -> Cells:
    """One column of the lines."""
    return _cells(_Body(lines.sheet, lines.header, lines.cells, lines.rows), index)


@dataclass(frozen=True, slots=True, eq=False)
class NamedLines:
    """Lines of a long sheet that measure the same thing, as it is called there."""

    name: str
    method: str
    unit: str
    lines: NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class _Body:
    """Cells and rows of the lines that hold anything at all, with sheet and header."""

    sheet: Sheet
    header: Header
    cells: tuple[tuple[str, ...], ...]
    rows: NDArray[np.int64]


def lines_under(sheet: Sheet, header: Header, *, skipped: int) -> Lines:
    """The lines of a sheet, checked for what they belong to.

    Parameters
    ----------
    sheet : Sheet
        The sheet.
    header : Header
        Its header.
    skipped : int
        Rows under the header that are no results, such as one with units.

    Raises
    ------
    InputFileError
        If there is none, a line is longer than the header, or an id, a layer or a
        position is missing or impossible.
    """
    body = _body(sheet, header, first=header.row + skipped)
    samples = _texts(body, Role.SAMPLE)
    if "" in samples:
        raise InputFileError(
            "the sample id is missing",
            mend="Write the id of the sample, or empty the whole row",
            file=sheet.file,
            row=int(body.rows[samples.index("")]),
            column=header.names[header.roles.index(Role.SAMPLE)],
        )
    longitude, latitude = _positions(body)
    return Lines(
        sheet=sheet,
        header=header,
        cells=body.cells,
        rows=body.rows,
        samples=samples,
        replicates=_texts(body, Role.REPLICATE),
        zones=_texts(body, Role.ZONE),
        depths_cm=_layers(body),
        longitude_degree=longitude,
        latitude_degree=latitude,
    )


def _body(sheet: Sheet, header: Header, *, first: int) -> _Body:
    """The lines from a row on that are not blank, each as long as the header."""
    width, cells, rows = len(header.names), [], []
    for row, line in enumerate(sheet.rows[first:], start=first + 1):
        extra = next((cell for cell in line[width:] if cell), "")
        if extra:
            raise InputFileError(
                f"the row has {len(line)} cells, but the header only {width}",
                mend="Name the extra column in the header, or put text that holds "
                f"{sheet.delimiter!r} in quotation marks",
                file=sheet.file,
                row=row,
                column=f"column {width + 1}",
                value=extra,
            )
        if any(line):
            cells.append((*line, *[""] * (width - len(line)))[:width])
            rows.append(row)
    if not cells:
        raise InputFileError(
            "there are no results under the header",
            mend="Check that the whole sheet was saved",
            file=sheet.file,
            row=header.row,
        )
    return _Body(sheet, header, tuple(cells), np.array(rows, dtype=np.int64))


def _cells(body: _Body, index: int) -> Cells:
    """One column of the body, with its name."""
    texts = tuple(line[index] for line in body.cells)
    return Cells(body.sheet.file, body.header.names[index], body.rows, texts)


def _texts(body: _Body, role: Role) -> tuple[str, ...]:
    """The column with a role, blanks put right; empty where the sheet has none."""
    index = index_of(body.header, role)
    if index is None:
        return ("",) * len(body.cells)
    cells = _cells(body, index)
    return tuple(" ".join(text.split()) for text in cells.texts)


def _layers(body: _Body) -> tuple[str, ...]:
    """The layer of each line, all in one way of writing. [cm]"""
    column = index_of(body.header, Role.DEPTH)
    if column is None:
        return ("",) * len(body.cells)
    cells = _cells(body, column)
    seen: dict[str, str] = {}
    for index, text in enumerate(cells.texts):
        if text not in seen:
            seen[text] = _layer(cells, index)
    return tuple(seen[text] for text in cells.texts)


def _layer(cells: Cells, index: int) -> str:
    """One layer as ``0-10``; empty where it is not told. [cm]"""
    text = " ".join(cells.texts[index].split())
    if text.casefold() in _NOT_TOLD:
        return ""
    found = _LAYER.fullmatch(text)
    if found is None:
        hint = "A spreadsheet may have made a date of it. " if _DATE.search(text) else ""
        raise refused(
            cells,
            index,
            message=f"{text!r} is not a layer",
            mend=f"{hint}Write its upper and lower end in cm, for instance 0-10",
        )
    upper, lower = (float(part.replace(",", ".")) for part in found.groups())
    if upper >= lower:
        raise refused(
            cells,
            index,
            message=f"the layer {text!r} ends above its beginning",
            mend="Write its upper end first, in cm, for instance 0-10",
        )
    return f"{upper:g}-{lower:g}"


def _positions(body: _Body) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Longitude and latitude of each line, NaN where not told. [degrees]"""
    header = body.header
    east, north = index_of(header, Role.LONGITUDE), index_of(header, Role.LATITUDE)
    if east is not None and north is not None:
        return positions(
            _cells(body, east),
            _cells(body, north),
            delimiter=body.sheet.delimiter,
        )
    if east is not None or north is not None:
        raise InputFileError(
            "there is only one of longitude and latitude",
            mend="Give longitude and latitude in degrees (WGS 84), or neither",
            file=body.sheet.file,
            row=header.row,
            column=header.names[east if east is not None else north or 0],
        )
    return np.full(len(body.cells), math.nan), np.full(len(body.cells), math.nan)


def lines_by_name(lines: Lines) -> tuple[NamedLines, ...]:
    """The lines of a long sheet, by what their analyte, method and unit columns say."""
    names, methods, units = (
        role_texts(lines, role) for role in (Role.ANALYTE, Role.METHOD, Role.UNIT)
    )
    found: dict[tuple[str, str, str], list[int]] = {}
    for line, key in enumerate(zip(names, methods, units, strict=True)):
        found.setdefault(key, []).append(line)
    return tuple(NamedLines(*key, np.array(rows, dtype=np.intp)) for key, rows in found.items())


def role_texts(lines: Lines, role: Role) -> tuple[str, ...]:
    """The column with a role; empty texts where the sheet has none."""
    return _texts(_Body(lines.sheet, lines.header, lines.cells, lines.rows), role)
