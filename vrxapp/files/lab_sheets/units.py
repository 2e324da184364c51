"""Units of a lab sheet: told in a name, told beside it, or assumed."""

from dataclasses import dataclass

from vrxapp.errors import InputFileError, Note, UnknownChoiceError
from vrxapp.files.lab_sheets.names import Heading
from vrxapp.soil.analytes import Analyte
from vrxapp.units import conversion_factor, known_unit, laboratory_units

_NOT_BY_MASS = ("mass per area", "mass per volume")
_OF_PLANTS = "in dry matter"
"""Method of a leaf test in leaf_nutrients.csv: a leaf has no layer that an area could mean."""


@dataclass(frozen=True, slots=True)
class UnitCell:
    """A unit that stands beside or under a name, empty where none does, and where."""

    text: str
    file: str
    row: int
    column: str


def told_unit(known: Heading, beside: UnitCell) -> str:
    """The unit told in a name or beside it; empty where neither tells it.

    Raises
    ------
    InputFileError
        If the two disagree, or the unit is not one of the analyte's.
    """
    assert known.analyte is not None
    if known.unit and beside.text and not _are_same(known.unit, beside.text):
        raise InputFileError(
            f"two units are told for one result: {known.unit!r} and {beside.text!r}",
            mend="Take out the wrong one",
            file=beside.file,
            row=beside.row,
            column=beside.column,
            value=beside.text,
        )
    unit = known.unit or beside.text
    if unit and known_unit(unit) not in units_of(known.analyte):
        raise InputFileError(
            f"{unit!r} is not a unit known for {known.analyte.name}",
            mend=f"Write one of: {', '.join(units_of(known.analyte))}",
            file=beside.file,
            row=beside.row,
            column=beside.column,
            value=unit,
        )
    return unit


def _are_same(in_name: str, beside: str) -> bool:
    """Whether two tell one unit; a name may say of what a per cent beside it is."""
    named, other = known_unit(in_name), known_unit(beside)
    return named == other or (named, other) == ("% of CEC", "%")


def units_of(analyte: Analyte) -> tuple[str, ...]:
    """The units that an analyte's results can come in, its own first."""
    others = [row.unit for row in laboratory_units() if row.unit != analyte.unit]
    return (
        analyte.unit,
        *(unit for unit in others if _turns_into(unit, analyte)),
        *(unit for unit in others if needs_mass(unit, analyte)),
    )


def needs_mass(unit: str, analyte: Analyte) -> bool:
    """Whether results in a unit are by area or by volume, and the analyte's are by mass.

    Examples
    --------
    >>> from vrxapp.soil.analytes import analyte
    >>> needs_mass("lb/ac", analyte("colwell_p"))
    True
    >>> needs_mass("mg/L", analyte("dgt_p"))  # a solution: nothing else is meant
    False
    """
    if analyte.method == _OF_PLANTS:
        return False
    by_other = {row.unit for row in laboratory_units() if row.quantity in _NOT_BY_MASS}
    return unit in by_other and not _turns_into(unit, analyte) and _turns_into("mg/kg", analyte)


def _turns_into(unit: str, analyte: Analyte) -> bool:
    """Whether results in a unit can be turned into the analyte's own."""
    try:
        conversion_factor(unit, analyte.unit, ion=analyte.ion)
    except UnknownChoiceError:
        return False
    return True


def is_unit_certain(analyte: Analyte) -> bool:
    """Whether only one unit is possible, so that a sheet need not tell it: pH, an index."""
    return len(units_of(analyte)) == 1


def assumed_unit_note(analyte: Analyte, beside: UnitCell) -> tuple[Note, ...]:
    """A note that no unit is told, where more than one is possible."""
    if is_unit_certain(analyte):
        return ()
    return (
        Note(
            f"no unit is told for {analyte.name}; {analyte.default_unit} is assumed",
            mend=f"Write the unit beside the name: {analyte.name} ({analyte.default_unit})",
            file=beside.file,
            row=beside.row,
            column=beside.column,
        ),
    )
