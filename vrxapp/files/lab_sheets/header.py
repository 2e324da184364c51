"""The header of a lab sheet: which column holds what."""

from collections.abc import Sequence
from dataclasses import dataclass

from vrxapp.errors import InputFileError
from vrxapp.files.lab_sheets.names import (
    DEPTH_ROLES,
    LONG_ROLES,
    Heading,
    Role,
    heading,
    role_of,
    without_bracket,
)
from vrxapp.files.lab_sheets.sheet_text import HEADER_SEARCHED_ROWS, Sheet, names_in
from vrxapp.ground.zones import comparable
from vrxapp.soil.analytes import analytes
from vrxapp.soil.place_notes import listed

MEND_METHOD = (
    "Say in the sheet's layout what the column holds and in which unit, or write both into its name"
)


@dataclass(frozen=True, slots=True)
class Header:
    """Which column of a sheet holds what.

    Parameters
    ----------
    row : int
        Row of the header, counted from 1.
    names : tuple of str
        Names of the columns as they stand.
    roles : tuple of Role or None
        What each column is for, where it says which sample, where, or in a long sheet
        what was measured.
    headings : tuple of Heading or None
        What each column of results in a wide sheet holds; none in a long one.
    """

    row: int
    names: tuple[str, ...]
    roles: tuple[Role | None, ...]
    headings: tuple[Heading | None, ...]


def index_of(header: Header, role: Role) -> int | None:
    """The column with a role, or None."""
    return header.roles.index(role) if role in header.roles else None


def is_wide(header: Header) -> bool:
    """Whether each analyte has a column of its own."""
    return any(known is not None for known in header.headings)


def header_likeness(row: Sequence[str]) -> int:
    """How many cells of a row are names that a lab sheet's header would hold."""
    roles = [found[0] for found in map(role_of, row) if found is not None]
    analyte_count = sum(heading(cell).analyte is not None for cell in row)
    # a sheet that lacks a known analyte is told so at the row that names the samples
    names_samples = len(row) > 1 and Role.SAMPLE in roles
    return len(roles) + analyte_count + names_samples


def lab_header(sheet: Sheet) -> Header:
    """What the columns of a lab sheet hold.

    Raises
    ------
    InputFileError
        If no column names the samples, none holds a known analyte, or two hold the same.
    """
    row = sheet.header_index + 1
    names = names_in(sheet, row)
    roles = _roles(names, sheet.file, row=row)
    long = Role.ANALYTE in roles and Role.VALUE in roles
    if not long:
        roles = tuple(None if role in LONG_ROLES else role for role in roles)
    headings = (None,) * len(names) if long else _headings(names, roles, file=sheet.file, row=row)
    header = Header(row, names, roles, headings)
    if not long and not (is_wide(header) and Role.SAMPLE in roles):
        _refuse_turned(sheet)
    refuse_unusable(header, sheet.file)
    return header


def is_long(header: Header) -> bool:
    """Whether each result has a row of its own, its analyte beside it."""
    return Role.ANALYTE in header.roles and Role.VALUE in header.roles


def refuse_unusable(header: Header, file: str) -> None:
    """Refuse a header without results or samples, or with depths in neither cm nor inches.

    Raises
    ------
    InputFileError
        If no column names the samples, none holds a known analyte, or depths have
        another unit.
    """
    names, row = header.names, header.row
    if not is_long(header) and not is_wide(header):
        raise no_known_analyte(names, file, row=row)
    if Role.SAMPLE not in header.roles:
        raise InputFileError(
            f"no column names the samples; the columns are: {listed(filter(None, names))}",
            mend="Name the column of sample ids 'Sample'",
            file=file,
            row=row,
            column="Sample",
        )
    for role in DEPTH_ROLES:
        depth = index_of(header, role)
        if depth is not None:
            unit = without_bracket(names[depth])[1]
            if not is_inches(unit):
                refuse_depth_unit(unit, file=file, row=row, column=names[depth])


def _refuse_turned(sheet: Sheet) -> None:
    """Refuse a sheet whose samples stand side by side, its analytes one below the other."""
    first = sheet.header_index
    body = sheet.rows[first : first + HEADER_SEARCHED_ROWS]
    for index in range(2):
        below = [(row, cells[index]) for row, cells in enumerate(body) if len(cells) > index]
        known = [(row, cell) for row, cell in below if heading(cell).analyte is not None]
        if len({heading(cell).analyte for _, cell in known}) > 1:
            row, cell = known[0]
            raise InputFileError(
                "the samples stand side by side, with the results of each below it",
                mend="Turn the table: copy it in a spreadsheet and paste it transposed, so that "
                "each sample has a row",
                file=sheet.file,
                row=first + 1 + row,
                column=str(index + 1),
                value=cell,
            )


def is_inches(unit: str) -> bool:
    """Whether depths are told in inches."""
    return comparable(unit) in ("in", "inch", "inches")


def refuse_depth_unit(unit: str, *, file: str, row: int, column: str) -> None:
    """Refuse depths in anything but centimetres."""
    if comparable(unit) not in ("", "cm"):
        raise InputFileError(
            f"depths in {unit!r} are not understood",
            mend="Give depths in cm and name the column 'Depth (cm)'",
            file=file,
            row=row,
            column=column,
            value=unit,
        )


def no_known_analyte(names: Sequence[str], file: str, *, row: int) -> InputFileError:
    """The error for a sheet without a single result that can be used."""
    bare = [name for name in names if heading(name).methods]
    if bare:
        message = f"{bare[0]!r} does not say by which method ({heading(bare[0]).methods})"
        mend = f"{MEND_METHOD}: {listed(a.name for a in analytes())}"
    elif len(names) == 1 and any(a.name.casefold() in names[0].casefold() for a in analytes()):
        message = "its cells are not parted, so that each row is one cell"
        mend = "Copy them from the spreadsheet itself, or save the sheet as CSV; a printed table "
        mend += "loses its columns"
    else:
        message = f"no known analyte among: {listed(filter(None, names))}"
        mend = f"Name at least one result as one of: {listed(a.name for a in analytes())}"
    return InputFileError(
        message, mend=mend, file=file, row=row, column=bare[0] if bare else "analyte"
    )


def _roles(names: Sequence[str], file: str, *, row: int) -> tuple[Role | None, ...]:
    """The role of each column; where two could have it, the preferred name has it."""
    best: dict[Role, tuple[int, int]] = {}
    for index, name in enumerate(names):
        found = role_of(name)
        if found is None:
            continue
        role, preference = found
        if role in best and best[role][0] == preference:
            raise named_twice(name, file, row=row)
        best[role] = min(best.get(role, (preference, index)), (preference, index))
    roles: list[Role | None] = [None] * len(names)
    for role, (_, index) in best.items():
        roles[index] = role
    return tuple(roles)


def _headings(
    names: Sequence[str], roles: Sequence[Role | None], *, file: str, row: int
) -> tuple[Heading | None, ...]:
    """What each column of a wide sheet holds; None where no known analyte."""
    found: list[Heading | None] = []
    for name, role in zip(names, roles, strict=True):
        known = heading(name)
        if known.analyte is None or role is not None:
            found.append(None)
            continue
        if any(other and known.analyte == other.analyte for other in found):
            raise named_twice(name, file, row=row)
        found.append(known)
    return tuple(found)


def named_twice(name: str, file: str, *, row: int) -> InputFileError:
    """The error for two columns that claim to hold the same."""
    return InputFileError(
        f"two columns hold the same as {name!r}",
        mend="Take one of them out, or give it another name",
        file=file,
        row=row,
        column=name,
        value=name,
    )
