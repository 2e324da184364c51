"""The layout of a lab sheet: what each column is for, guessed and then corrected."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from vrxapp.errors import InputFileError
from vrxapp.files.lab_sheets.header import Header, refuse_unusable
from vrxapp.files.lab_sheets.mass_basis import MassBasis
from vrxapp.files.lab_sheets.names import LONG_ROLES, Heading, Role, heading, role_of
from vrxapp.files.lab_sheets.sheet_text import HEADER_SEARCHED_ROWS, Sheet, names_in
from vrxapp.ground.zones import comparable
from vrxapp.soil.analytes import analyte
from vrxapp.units import known_unit

_KEY_LETTERS = 16


@dataclass(frozen=True, slots=True)
class LayoutColumn:
    """What one column of a sheet is for.

    Parameters
    ----------
    name : str
        Its name as it stands in the header.
    role : Role or None, optional
        What it is for, where it holds no analyte.
    analyte : str, optional
        Key of the analyte that it holds; empty where it holds none.
    unit : str, optional
        Unit of its results; empty where the sheet tells it, or the usual one is meant.
    doubt : str, optional
        Why the guess may be wrong; empty where it is certain.
    """

    name: str
    role: Role | None = None
    analyte: str = ""
    unit: str = ""
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class LabLayout:
    """How a laboratory lays out its sheets.

    Parameters
    ----------
    key : str
        Fingerprint of the header, as `layout_of` gives it.
    header_row : int
        Row of the header, counted from 1.
    columns : tuple of LayoutColumn
        Every column in its order, those that nothing reads too.
    decimal_comma : bool or None, optional
        Whether commas are decimal (True) or part thousands (False); None decides it for
        each column by its own numbers.
    tab : str, optional
        Tab of the workbook; empty for a text file.
    mass_basis : MassBasis, optional
        What turns results by area or volume into concentrations.
    """

    key: str
    header_row: int
    columns: tuple[LayoutColumn, ...]
    decimal_comma: bool | None = None
    tab: str = ""
    mass_basis: MassBasis = field(default_factory=MassBasis)

    def __post_init__(self) -> None:
        """Refuse a role or an analyte that two columns have, and a column that has both."""
        taken: set[str] = set()
        for column in self.columns:
            uses = [use for use in (str(column.role or ""), column.analyte) if use]
            if len(uses) > 1 or taken.intersection(uses):
                raise InputFileError(
                    f"the column is to be {' and '.join(uses)}, and only one column can be each",
                    mend="Choose one use for each column",
                    column=column.name,
                    value=uses[0],
                )
            taken.update(uses)


def layout_of(sheet: Sheet) -> LabLayout:
    """What the names of a sheet's columns say about them, with a doubt where they leave one."""
    names = names_in(sheet, sheet.header_index + 1) if sheet.rows else ()
    long = {Role.ANALYTE, Role.VALUE} <= {found[0] for found in map(role_of, names) if found}
    columns: list[LayoutColumn] = []
    for name in names:
        column = _guess(name, is_long=long)
        columns.append(_unless_taken(column, columns))
    return LabLayout(
        _fingerprint(names), sheet.header_index + 1, tuple(columns), sheet.decimal_comma, sheet.tab
    )


def _fingerprint(names: Sequence[str]) -> str:
    """The header's names as one short text, without regard to case, spaces and blank ends."""
    text = "\n".join(map(comparable, names)).rstrip("\n")
    return hashlib.sha256(text.encode()).hexdigest()[:_KEY_LETTERS]


def _guess(name: str, *, is_long: bool) -> LayoutColumn:
    """What one column's name says about it."""
    found = role_of(name)
    if found is not None and (is_long or found[0] not in LONG_ROLES):
        return LayoutColumn(name, found[0])
    known = heading(name)
    if is_long or known.analyte is None:
        doubt = f"the method is not told ({known.methods})" if known.methods else ""
        return LayoutColumn(name, doubt=doubt or ("" if not name else "nothing is known by it"))
    unit = known_unit(known.unit) if known.unit else ""
    if unit is None:
        return LayoutColumn(
            name, analyte=known.analyte.key, doubt=f"the unit {known.unit!r} is not known"
        )
    return LayoutColumn(name, analyte=known.analyte.key, unit=unit)


def _unless_taken(column: LayoutColumn, before: Sequence[LayoutColumn]) -> LayoutColumn:
    """A column, without its use where an earlier one has it."""
    for other in before:
        same_role = column.role is not None and column.role is other.role
        if same_role or (column.analyte and column.analyte == other.analyte):
            return LayoutColumn(column.name, doubt=f"the column {other.name!r} holds the same")
    return column


def laid_out(sheet: Sheet, layout: LabLayout) -> tuple[Sheet, Header]:
    """A sheet and its header as a layout has it.

    Parameters
    ----------
    sheet : Sheet
        The sheet.
    layout : LabLayout
        The layout; its header may stand in another row than it did when it was made.

    Raises
    ------
    InputFileError
        If the sheet has no such header, or the layout lacks what is needed.
    """
    row = _row_of(sheet, layout)
    names = names_in(sheet, row)
    told = replace(
        sheet,
        header_index=row - 1,
        decimal_comma=layout.decimal_comma,
        mass_basis=layout.mass_basis,
        names=sheet.names if names is sheet.names else (),
    )
    # a row of the file may end in blanks that the layout did not have
    columns = (*layout.columns, *map(LayoutColumn, names[len(layout.columns) :]))
    header = Header(
        row,
        names,
        tuple(column.role for column in columns)[: len(names)],
        tuple(map(_heading, columns))[: len(names)],
    )
    refuse_unusable(header, sheet.file)
    return told, header


def _heading(column: LayoutColumn) -> Heading | None:
    """What a column of results holds."""
    return Heading(analyte(column.analyte), column.unit, "") if column.analyte else None


def _row_of(sheet: Sheet, layout: LabLayout) -> int:
    """The row whose names are those of a layout, its own row first. Counted from 1."""
    wanted = _fingerprint([column.name for column in layout.columns])
    own = layout.header_row
    rows: list[int] = [own, *range(1, HEADER_SEARCHED_ROWS + 1)]
    for row in rows:
        if 0 < row <= len(sheet.rows) and _fingerprint(names_in(sheet, row)) == wanted:
            return row
    raise InputFileError(
        "the sheet has no such header as the layout is for",
        mend="Let the layout be guessed from this sheet, and correct that",
        file=sheet.file,
        row=own,
        column=next((column.name for column in layout.columns if column.name), ""),
    )
