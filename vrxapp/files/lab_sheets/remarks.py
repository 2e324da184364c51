"""Rows right under a header that are no results: units, methods, limits of a method."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from vrxapp.errors import Note, SoilInputError
from vrxapp.files.lab_sheets.header import Header, index_of, named_twice, refuse_depth_unit
from vrxapp.files.lab_sheets.names import DEPTH_ROLES, Heading, Role, heading
from vrxapp.files.lab_sheets.sheet_text import Sheet
from vrxapp.ground.zones import comparable
from vrxapp.soil.detection_limits import parsed_result
from vrxapp.soil.place_notes import listed
from vrxapp.units import known_unit

_UNIT_WORDS = ("", "unit", "units")
_METHOD_WORDS = (
    *("method", "methods", "method code", "test code", "analysis code", "test method"),
    *("lor", "limit of reporting", "limit of reporting (lor)", "reporting limit", "lod", "pql"),
    *("detection limit", "limit of detection", "mdl", "method detection limit"),
)
_MOST_ROWS = 4


@dataclass(frozen=True, slots=True)
class UnderHeader:
    """What stands between a header and its results.

    Parameters
    ----------
    header : Header
        The header, with the results that only the row of units makes clear.
    units : tuple of str
        The row of units; empty where there is none.
    units_row : int
        Which row that is, counted from 1.
    skipped : int
        How many rows under the header are no results.
    notes : tuple of Note
        Rows that were left out, other than units.
    """

    header: Header
    units: tuple[str, ...]
    units_row: int
    skipped: int
    notes: tuple[Note, ...]


def under_header(sheet: Sheet, header: Header) -> UnderHeader:
    """Part the rows of units, methods and limits from the results below them.

    Raises
    ------
    InputFileError
        If depths have a unit other than centimetres, or two columns hold the same.
    """
    units: tuple[str, ...] = ()
    units_row, skipped = header.row, 0
    notes: list[Note] = []
    for index, row in enumerate(sheet.rows[header.row : header.row + _MOST_ROWS], start=1):
        cells = _as_wide(row, header)
        if not any(cells):
            continue
        if not units and _is_units(cells, header):
            units, units_row, skipped = cells, header.row + index, index
        elif _is_method(cells, header):
            skipped = index
            notes.append(_left_out(cells, sheet.file, row=header.row + index))
        else:
            break
    _refuse_depth_units(header, units, file=sheet.file, row=units_row)
    known = _with_units(header, units, sheet.file)
    return UnderHeader(known, units, units_row, skipped, tuple(notes))


def _as_wide(row: tuple[str, ...], header: Header) -> tuple[str, ...]:
    """A row with as many cells as the header has."""
    return (*row, *[""] * (len(header.names) - len(row)))[: len(header.names)]


def _results(cells: Sequence[str], header: Header) -> list[str]:
    """The cells of a row that stand under results."""
    return [cell for cell, known in zip(cells, header.headings, strict=True) if known]


def _names_no_sample(cells: Sequence[str], header: Header, *, words: Sequence[str]) -> bool:
    """Whether a row has one of some words, or its column's own name, for the sample."""
    sample = header.roles.index(Role.SAMPLE)
    # a name merged downwards over its units is shown in both rows
    return comparable(cells[sample]) in (*words, comparable(header.names[sample]))


def _is_units(cells: Sequence[str], header: Header) -> bool:
    """Whether a row tells units."""
    told = any(known_unit(c) is not None and not _is_result(c) for c in _results(cells, header))
    return told and _names_no_sample(cells, header, words=_UNIT_WORDS)


def _is_method(cells: Sequence[str], header: Header) -> bool:
    """Whether a row says so itself, or has text but no result where results belong."""
    first = next((cell for cell in cells if cell), "")
    if comparable(first).rstrip(":") in _METHOD_WORDS:
        return True
    told = [cell for cell in _results(cells, header) if cell]
    nameless = _names_no_sample(cells, header, words=("",))
    return nameless and bool(told) and not any(map(_is_result, told))


def _is_result(text: str) -> bool:
    """Whether a cell could be a result: a dash is a unit to some, and no result to others."""
    for decimal_comma in (False, True):
        try:
            parsed_result(text, decimal_comma=decimal_comma)
        except SoilInputError:
            continue
        return True
    return False


def _left_out(cells: Sequence[str], file: str, *, row: int) -> Note:
    """A note on a row of methods or limits."""
    return Note(
        f"the row holds no results and is left out: {listed(filter(None, cells))}",
        mend="Nothing needs doing; if it is a sample, write its id",
        file=file,
        row=row,
    )


def _refuse_depth_units(header: Header, units: tuple[str, ...], *, file: str, row: int) -> None:
    """Refuse depths that the row of units gives in anything but centimetres."""
    for role in DEPTH_ROLES:
        depth = index_of(header, role)
        if depth is not None and units and units[depth] != header.names[depth]:
            refuse_depth_unit(units[depth], file=file, row=row, column=header.names[depth])


def _with_units(header: Header, units: tuple[str, ...], file: str) -> Header:
    """The header with those columns known that need their unit to be, such as calcium."""
    if not units:
        return header
    headings: list[Heading | None] = list(header.headings)
    for index, (known, name) in enumerate(zip(header.headings, header.names, strict=True)):
        again = heading(f"{name} ({units[index]})") if units[index] else Heading(None, "", "")
        if known is not None or header.roles[index] or again.analyte is None:
            continue
        if any(other and other.analyte == again.analyte for other in headings):
            raise named_twice(name, file, row=header.row)
        headings[index] = again
    return replace(header, headings=tuple(headings))
