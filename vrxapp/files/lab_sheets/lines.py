"""What each line of a lab sheet belongs to: sample, replicate, zone, layer and position."""

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, Note
from vrxapp.files.lab_sheets.decimals import Cells, refused
from vrxapp.files.lab_sheets.header import Header, index_of, is_inches
from vrxapp.files.lab_sheets.kept_lines import kept_lines, left_out_notes
from vrxapp.files.lab_sheets.names import Role, without_bracket
from vrxapp.files.lab_sheets.positions import positions
from vrxapp.files.lab_sheets.sheet_text import Sheet
from vrxapp.units import MILLIMETRES_PER_INCH

_LAYER = re.compile(
    r"([0-9]+(?:[.,][0-9]+)?) ?(?:-|–|—|to) ?([0-9]+(?:[.,][0-9]+)?) ?(?:cm)?", re.I
)
_CM_PER_INCH = MILLIMETRES_PER_INCH / 10.0
_UNEVEN = re.compile(r"\s\s|[^\S ]")
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
    columns : tuple of tuple of str
        Cells of each column of the header, one a line.
    rows : ndarray of int
        Row of each line in the file, counted from 1.
    samples, replicates, zones, depths_cm : tuple of str
        What each line says; empty where it does not. [cm]
    paddocks, growers : tuple of str
        Paddock and grower of each line; empty where it does not say.
    longitude_degree, latitude_degree : ndarray of float
        Position; NaN where not told. [degrees]
    notes : tuple of Note
        Lines that were left out.
    """

    sheet: Sheet
    header: Header
    columns: tuple[tuple[str, ...], ...]
    rows: NDArray[np.int64]
    samples: tuple[str, ...]
    replicates: tuple[str, ...]
    zones: tuple[str, ...]
    depths_cm: tuple[str, ...]
    paddocks: tuple[str, ...]
    growers: tuple[str, ...]
    longitude_degree: NDArray[np.float64]
    latitude_degree: NDArray[np.float64]
    notes: tuple[Note, ...] = ()


def column_cells(lines: Lines, index: int) -> Cells:
    """One column of the lines."""
    return _cells(_Body(lines.sheet, lines.header, lines.columns, lines.rows), index)


@dataclass(frozen=True, slots=True, eq=False)
class NamedLines:
    """Lines of a long sheet that measure the same thing, as it is called there."""

    name: str
    method: str
    unit: str
    lines: NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class _Body:
    """Columns and rows of the lines that hold anything at all, with sheet and header."""

    sheet: Sheet
    header: Header
    columns: tuple[tuple[str, ...], ...]
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
    _refuse_flaws(sheet, header)
    body, notes = _body(sheet, header, first=header.row + skipped)
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
        columns=body.columns,
        rows=body.rows,
        samples=samples,
        replicates=_texts(body, Role.REPLICATE),
        zones=_texts(body, Role.ZONE),
        depths_cm=_layers(body),
        paddocks=_texts(body, Role.PADDOCK),
        growers=_texts(body, Role.GROWER),
        longitude_degree=longitude,
        latitude_degree=latitude,
        notes=(*notes, *_inch_notes(body)),
    )


def _refuse_flaws(sheet: Sheet, header: Header) -> None:
    """Refuse a workbook's dates and valueless formulas in the columns that are read."""
    for flaw in sorted(sheet.flaws, key=lambda one: (one.row, one.index)):
        inside = flaw.index < len(header.names) and flaw.row > header.row
        if inside and (header.roles[flaw.index] or header.headings[flaw.index]):
            raise InputFileError(
                flaw.message,
                mend=flaw.mend,
                file=sheet.file,
                row=flaw.row,
                column=header.names[flaw.index],
                value=flaw.shown,
            )


def _body(sheet: Sheet, header: Header, *, first: int) -> tuple[_Body, tuple[Note, ...]]:
    """The lines from a row on that are not blank, each as long as the header."""
    found = kept_lines(sheet, header, first=first)
    if not found.cells:
        raise InputFileError(
            "there are no results under the header",
            mend="Check that the whole sheet was saved",
            file=sheet.file,
            row=header.row,
        )
    rows = np.array(found.rows, dtype=np.int64)
    columns = tuple(zip(*found.cells, strict=True))
    return _Body(sheet, header, columns, rows), left_out_notes(found, sheet.file)


def _cells(body: _Body, index: int) -> Cells:
    """One column of the body, with its name."""
    return Cells(body.sheet.file, body.header.names[index], body.rows, body.columns[index])


def _texts(body: _Body, role: Role) -> tuple[str, ...]:
    """The column with a role, blanks put right; empty where the sheet has none."""
    index = index_of(body.header, role)
    if index is None:
        return ("",) * len(body.rows)
    texts = body.columns[index]
    if not _UNEVEN.search("|".join(texts)):
        return texts
    return tuple(" ".join(text.split()) for text in texts)


def _layers(body: _Body) -> tuple[str, ...]:
    """The layer of each line, all in one way of writing. [cm]"""
    cells = _layer_cells(body)
    if cells is None:
        return ("",) * len(body.rows)
    seen: dict[str, str] = {}
    for index, text in enumerate(cells.texts):
        if text not in seen:
            seen[text] = _layer(cells, index)
    return tuple(map(seen.__getitem__, cells.texts))


def _inch_notes(body: _Body) -> tuple[Note, ...]:
    """That layers in inches were turned into whole centimetres, as layers are named here."""
    cells = _layer_cells(body)
    if cells is None or not _is_in_inches(cells):
        return ()
    return (
        Note(
            "its layers are in inches, and were turned into whole centimetres: 0-6 inches are "
            "0-15 cm",
            mend="Nothing needs doing",
            file=cells.file,
            row=body.header.row,
            column=cells.column,
        ),
    )


def _is_in_inches(cells: Cells) -> bool:
    """Whether the name of the column says so."""
    return is_inches(without_bracket(cells.column)[1])


def _layer_cells(body: _Body) -> Cells | None:
    """The column of layers, or its upper and lower ends put together; None without any."""
    column = index_of(body.header, Role.DEPTH)
    if column is not None:
        return _cells(body, column)
    ends = [index_of(body.header, role) for role in (Role.DEPTH_FROM, Role.DEPTH_TO)]
    if ends == [None, None]:
        return None
    if None in ends:
        raise InputFileError(
            "there is only one end of the layers",
            mend="Give the upper and the lower end, or one column of layers such as 0-10",
            file=body.sheet.file,
            row=body.header.row,
            column=body.header.names[next(end for end in ends if end is not None)],
        )
    upper, lower = (_cells(body, end) for end in ends if end is not None)
    if _is_in_inches(upper) is not _is_in_inches(lower):
        raise InputFileError(
            "the ends of the layers are in two units",
            mend="Give both ends in cm, or both in inches",
            file=upper.file,
            row=body.header.row,
            column=lower.column,
        )
    pairs = zip(upper.texts, lower.texts, strict=True)
    texts = tuple("" if pair == ("", "") else "-".join(pair) for pair in pairs)
    return Cells(upper.file, upper.column, upper.rows, texts)


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
    if _is_in_inches(cells):
        if text.casefold().endswith("cm"):
            raise refused(
                cells,
                index,
                message=f"{text!r} is in cm, under a name that says inches",
                mend="Put the name of the column right, or the layer",
            )
        upper, lower = (round(end * _CM_PER_INCH) for end in (upper, lower))
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
            sheet=body.sheet,
        )
    if east is not None or north is not None:
        raise InputFileError(
            "there is only one of longitude and latitude",
            mend="Give longitude and latitude in degrees (WGS 84), or neither",
            file=body.sheet.file,
            row=header.row,
            column=header.names[east if east is not None else north or 0],
        )
    return np.full(len(body.rows), math.nan), np.full(len(body.rows), math.nan)


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
    return _texts(_Body(lines.sheet, lines.header, lines.columns, lines.rows), role)
