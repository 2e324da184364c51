"""What a person says a column is for, and the layout corrected so."""

from dataclasses import dataclass, replace

from vrxapp.errors import UnknownChoiceError
from vrxapp.files.lab_sheets.layout import LabLayout, LayoutColumn
from vrxapp.files.lab_sheets.names import Role
from vrxapp.files.lab_sheets.units import units_of
from vrxapp.ground.zones import comparable
from vrxapp.soil.analytes import analyte_called, analytes
from vrxapp.units import known_unit


@dataclass(frozen=True, slots=True)
class ColumnUse:
    """What a column is for: a role, or an analyte with its unit, or nothing.

    Parameters
    ----------
    role : Role or None, optional
        What it is for, where it holds no analyte.
    analyte : str, optional
        Key of the analyte that it holds; empty where it holds none.
    unit : str, optional
        Unit of its results; empty where the sheet tells it, or the usual one is meant.
    """

    role: Role | None = None
    analyte: str = ""
    unit: str = ""


def column_use(text: str) -> ColumnUse:
    """What a column is for, out of what a person wrote.

    Parameters
    ----------
    text : str
        A role such as ``sample``, or an analyte by key or name, with its unit in square
        brackets where the sheet does not tell it; ``-`` for nothing.

    Raises
    ------
    UnknownChoiceError
        If there is no such role, analyte or unit, or the analyte has no such unit.

    Examples
    --------
    >>> column_use("colwell_p [ppm]")
    ColumnUse(role=None, analyte='colwell_p', unit='mg/kg')
    """
    name, _, bracket = text.strip().partition("[")
    name, unit_text = name.strip(), bracket.rstrip("] ").strip()
    if name in ("", "-"):
        return ColumnUse()
    role = next((role for role in Role if comparable(name) == str(role)), None)
    if role is not None and not unit_text:
        return ColumnUse(role)
    known = next((a for a in analytes() if a.key == comparable(name)), None)
    known = known or analyte_called(name)
    if known is None:
        raise UnknownChoiceError(
            f"a column cannot hold {name!r}",
            mend="Choose a role ("
            + ", ".join(map(str, Role))
            + ") or an analyte ("
            + ", ".join(a.key for a in analytes())
            + "), or - for nothing",
        )
    unit = ""
    if unit_text:
        unit = known_unit(unit_text) or ""
        if unit not in units_of(known):
            raise UnknownChoiceError(
                f"{known.name} is not given in {unit_text!r}",
                mend=f"Choose one of: {', '.join(units_of(known))}",
            )
    return ColumnUse(analyte=known.key, unit=unit)


def with_use(layout: LabLayout, index: int, use: ColumnUse) -> LabLayout:
    """A layout in which a column has another use; another column with that use loses it.

    Parameters
    ----------
    layout : LabLayout
        The layout as it was.
    index : int
        The column, counted from 0.
    use : ColumnUse
        What it is for from now on.
    """
    columns = [
        LayoutColumn(column.name) if at != index and _is_same(column, use) else column
        for at, column in enumerate(layout.columns)
    ]
    columns[index] = LayoutColumn(columns[index].name, use.role, use.analyte, use.unit)
    return replace(layout, columns=tuple(columns))


def _is_same(column: LayoutColumn, use: ColumnUse) -> bool:
    """Whether a column holds what only one column can."""
    return (use.role is not None and column.role is use.role) or (
        use.analyte != "" and column.analyte == use.analyte
    )
