"""Leaf tests from a sheet: one row a sample, one column a nutrient of the dry matter.

The sheet is opened, its header found and its cells read as those of a soil laboratory;
only the names of the columns stand for something else.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, Note
from vrxapp.files.lab_sheets.header import Header, named_twice, refuse_unusable
from vrxapp.files.lab_sheets.lines import lines_under
from vrxapp.files.lab_sheets.names import Heading, Role, names_and_units, role_of
from vrxapp.files.lab_sheets.opening import open_sheet
from vrxapp.files.lab_sheets.remarks import under_header
from vrxapp.files.lab_sheets.sheet_text import Sheet, names_in
from vrxapp.files.lab_sheets.values import Measured
from vrxapp.files.lab_sheets.wide_form import wide_results
from vrxapp.ground.zones import comparable
from vrxapp.soil.analytes import Analyte
from vrxapp.soil.detection_limits import substituted
from vrxapp.soil.place_notes import listed
from vrxapp.soil.results_table import Limit
from vrxapp.table_reader import read_table

_PLACES = (Role.SAMPLE, Role.ZONE, Role.PADDOCK, Role.GROWER, Role.REPLICATE)


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class LeafSheet:
    """A leaf test; rows are samples, columns nutrients.

    Parameters
    ----------
    file : str
        Name of the file.
    samples, zones, paddocks : tuple of str
        Sample id of each row, and the zone and paddock it is from; empty where not told.
    nutrients, units : tuple of str
        Symbol of each column and its unit, ``"%"`` or ``"mg/kg"`` of the dry matter.
    values : ndarray of float, samples × nutrients
        Results; half the limit for one below it, NaN where there is none. [units]
    limits : ndarray of str, samples × nutrients
        `Limit` of each result.
    notes : tuple of Note
        What was left out or assumed.
    """

    file: str
    samples: tuple[str, ...]
    zones: tuple[str, ...]
    paddocks: tuple[str, ...]
    nutrients: tuple[str, ...]
    units: tuple[str, ...]
    values: NDArray[np.float64]
    limits: NDArray[np.str_]
    notes: tuple[Note, ...]


def leaf_nutrients() -> tuple[Analyte, ...]:
    """Every nutrient that a leaf test can hold; the key is its symbol."""
    return read_table("leaf_nutrients.csv", Analyte)


def read_leaf_sheet(path: Path) -> LeafSheet:
    """Open a sheet of leaf tests.

    Parameters
    ----------
    path : Path
        XLSX workbook or CSV, as of a soil laboratory; one row a sample, one column a
        nutrient with its unit (% or mg/kg) in the header or in a row under it.

    Returns
    -------
    LeafSheet
        Results in % for N, P, K, S, Ca, Mg, Na and Cl, in mg/kg for the others.

    Raises
    ------
    InputFileError
        If the file cannot be read, no column names the samples or holds a nutrient, or
        a cell or a unit cannot be right.
    """
    sheet = open_sheet(path, _likeness)
    under = under_header(sheet, _leaf_header(sheet))
    lines = lines_under(sheet, _only_leaf(under.header), skipped=under.skipped)
    found, notes = wide_results(lines, under.units, units_row=under.units_row)
    limits = np.stack([part.limits for part in found], axis=1)
    return LeafSheet(
        file=sheet.file,
        samples=lines.samples,
        zones=lines.zones,
        paddocks=lines.paddocks,
        nutrients=tuple(part.analyte.key for part in found),
        units=tuple(part.analyte.unit for part in found),
        values=substituted(np.stack([part.values for part in found], axis=1), limits),
        limits=limits,
        notes=(
            *sheet.notes,
            *lines.notes,
            *under.notes,
            *_unused_notes(sheet, lines.header),
            *notes,
            *_limit_notes(sheet.file, found),
        ),
    )


@lru_cache(maxsize=1024)
def leaf_heading(text: str) -> Heading:
    """The nutrient, and the unit if there is one, that the name of a column stands for.

    Parameters
    ----------
    text : str
        Name of a column, for instance ``"Zn (mg/kg)"``.

    Returns
    -------
    Heading
        Without a nutrient where the name stands for none.

    Examples
    --------
    >>> leaf_heading("Total nitrogen %").analyte.key
    'N'
    >>> leaf_heading("Nitrate N (mg/kg)").analyte is None  # a part of it only
    True
    """
    if not text.strip():
        return Heading(None, "", "")
    for name, unit in names_and_units(text):
        wanted = comparable(name)
        for known in leaf_nutrients():
            if wanted in (comparable(known.name), comparable(known.key), *known.spellings):
                return Heading(known, unit, "")
    return Heading(None, "", "")


def _likeness(row: Sequence[str]) -> int:
    """How many cells of a row are names that the header of a leaf sheet would hold."""
    roles = sum(_role(cell) is not None for cell in row)
    return roles + sum(leaf_heading(cell).analyte is not None for cell in row)


def _role(name: str) -> Role | None:
    """What a column that holds no nutrient is for."""
    found = role_of(name)
    return found[0] if found is not None and found[0] in _PLACES else None


def _leaf_header(sheet: Sheet) -> Header:
    """What the columns of a leaf sheet hold."""
    row = sheet.header_index + 1
    names = names_in(sheet, row)
    roles: list[Role | None] = []
    headings: list[Heading | None] = []
    for name in names:
        role, known = _role(name), leaf_heading(name)
        # where two columns could name the samples, the first does
        roles.append(role if role not in roles else None)
        is_nutrient = role is None and known.analyte is not None
        if is_nutrient and any(other and other.analyte == known.analyte for other in headings):
            raise named_twice(name, sheet.file, row=row)
        headings.append(known if is_nutrient else None)
    header = Header(row, names, tuple(roles), tuple(headings))
    if not any(headings):
        raise InputFileError(
            f"no nutrient among the columns: {listed(filter(None, names))}",
            mend="Name each column after its nutrient, with % or mg/kg: "
            + ", ".join(known.key for known in leaf_nutrients()),
            file=sheet.file,
            row=row,
        )
    refuse_unusable(header, sheet.file)
    return header


def _only_leaf(header: Header) -> Header:
    """The header without what only a soil test could be."""
    known = leaf_nutrients()
    kept = (h if h is not None and h.analyte in known else None for h in header.headings)
    return replace(header, headings=tuple(kept))


def _unused_notes(sheet: Sheet, header: Header) -> tuple[Note, ...]:
    """One note on the columns that nothing reads."""
    read = zip(header.names, header.roles, header.headings, strict=True)
    names = [name for name, role, known in read if name and role is None and known is None]
    if not names:
        return ()
    return (
        Note(
            f"{listed(names)} left out: no nutrient of the leaf ranges",
            mend="Nothing needs doing; rename a column if it holds one",
            file=sheet.file,
            row=header.row,
            column=names[0],
        ),
    )


def _limit_notes(file: str, found: tuple[Measured, ...]) -> tuple[Note, ...]:
    """That half the limit counts for results below one."""
    below = [part.analyte.name for part in found if np.any(part.limits == Limit.BELOW)]
    if not below:
        return ()
    return (
        Note(
            f"results below a detection limit count as half of it ({', '.join(below)})",
            mend="Nothing needs doing; mind it where the limit is near a range",
            file=file,
        ),
    )
