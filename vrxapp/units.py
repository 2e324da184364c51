"""Units at the edges: laboratory units, oxides and elements, chosen by name.

Inside the program there are elements and SI with hectares; everything else is
turned into them here, once, when it comes in.
"""

import re
from dataclasses import dataclass

from vrxapp.errors import UnknownChoiceError
from vrxapp.table_reader import read_table

SQUARE_METRES_PER_HECTARE = 10_000.0
KILOGRAMS_PER_TONNE = 1_000.0
PERCENT = 100.0
MILLIMETRES_PER_INCH = 25.4
MILLIMETRES_PER_METRE = 1_000.0
KG_HA_PER_POUND_ACRE = 0.45359237 / 0.40468564224
"""One pound by the acre, from the definitions of both. [kg/ha]"""


@dataclass(frozen=True, slots=True)
class _AtomicMass:
    element: str
    mass_g_mol: float
    charge: float
    source: str


@dataclass(frozen=True, slots=True)
class LaboratoryUnit:
    """A unit of laboratory results: what it measures, its size, and how people spell it."""

    unit: str
    quantity: str
    in_base: float
    spellings: tuple[str, ...]


def laboratory_units() -> tuple[LaboratoryUnit, ...]:
    """Every unit that a lab sheet may be in."""
    return read_table("units.csv", LaboratoryUnit)


def mass_fraction(element: str, formula: str) -> float:
    """Share of an element in a compound, by mass.

    Parameters
    ----------
    element : str
        Symbol, for instance ``"P"``.
    formula : str
        Formula, for instance ``"P2O5"``; brackets and water of crystals may stand in it,
        ``"Ca(NO3)2.4H2O"``.

    Returns
    -------
    float
        Mass of the element per mass of the compound. [-]

    Raises
    ------
    UnknownChoiceError
        If the formula cannot be read or holds an element without a mass.

    References
    ----------
    .. [1] prohaska-2022. Atomic masses, abridged.

    Examples
    --------
    >>> round(mass_fraction("P", "P2O5"), 4)
    0.4364
    >>> round(mass_fraction("S", "CaSO4.2H2O"), 3)
    0.186
    """
    masses = {row.element: row.mass_g_mol for row in read_table("atomic_masses.csv", _AtomicMass)}
    plain = "".join(map(_without_brackets, formula.split(".")))
    parts = re.findall(r"([A-Z][a-z]?)(\d*)", plain)
    if "".join(name + count for name, count in parts) != plain or not plain:
        raise UnknownChoiceError(f"cannot read the formula {formula!r}", mend="Write it as P2O5")
    missing = sorted({name for name, _ in parts} - masses.keys())
    if missing:
        raise UnknownChoiceError(f"no atomic mass is known for {', '.join(missing)}")
    total = sum(masses[name] * int(count or 1) for name, count in parts)
    own = sum(masses[name] * int(count or 1) for name, count in parts if name == element)
    return own / total


def _without_brackets(part: str) -> str:
    """A part of a formula written out: ``2H2O`` as ``H2OH2O``, ``Ca(NO3)2`` as ``CaNO3NO3``."""
    count = re.match(r"\d*", part)
    number = count.group() if count else ""
    inside = part.removeprefix(number)
    if not inside:
        return "?"  # a point with nothing behind it is no formula
    while (
        opened := re.sub(r"\(([^()]+)\)(\d*)", lambda m: m[1] * int(m[2] or 1), inside)
    ) != inside:
        inside = opened
    return inside * int(number or 1)


def milligrams_per_cmol(ion: str) -> float:
    """Mass of one centimole of charge of an exchangeable ion, per kilogram of soil. [mg/kg]

    Raises
    ------
    UnknownChoiceError
        If the ion carries no charge in the table.

    Examples
    --------
    >>> round(milligrams_per_cmol("Ca"), 2)
    200.39
    """
    for row in read_table("atomic_masses.csv", _AtomicMass):
        if row.element == ion and row.charge > 0:
            return 10.0 * row.mass_g_mol / row.charge
    raise UnknownChoiceError(f"{ion!r} is not an exchangeable ion of the table")


def known_unit(text: str) -> str | None:
    """The unit that a laboratory's spelling stands for, or None where nobody knows it.

    Examples
    --------
    >>> known_unit("ppm")
    'mg/kg'
    """
    wanted = " ".join(text.split()).casefold()
    for row in laboratory_units():
        if wanted in {text.casefold() for text in (row.unit, *row.spellings)}:
            return row.unit
    return None


def conversion_factor(from_unit: str, to_unit: str, *, ion: str = "") -> float:
    """What a value in one unit is multiplied by to be in another.

    Parameters
    ----------
    from_unit, to_unit : str
        Units as `known_unit` names them.
    ion : str, optional
        The exchangeable ion, needed between charge and mass.

    Returns
    -------
    float
        Factor. [to_unit per from_unit]

    Raises
    ------
    UnknownChoiceError
        If the two units measure different things.

    Notes
    -----
    A bare percent beside a saturation is a share of the exchange capacity, not of the
    soil's mass. An amount by area is no concentration: it needs the layer's mass, and a
    result by volume needs the density of the measured sample.

    Examples
    --------
    >>> conversion_factor("%", "mg/kg")
    10000.0
    >>> round(conversion_factor("lb/ac", "kg/ha"), 4)
    1.1209
    """
    rows = {row.unit: row for row in laboratory_units()}
    start, end = rows[from_unit], rows[to_unit]
    if start.quantity == end.quantity:
        return start.in_base / end.in_base
    if from_unit == "%" and end.quantity == "share of charge":
        return 1.0 / end.in_base
    if ion and {start.quantity, end.quantity} == {"mass fraction", "charge"}:
        bridge = milligrams_per_cmol(ion)
        return start.in_base / end.in_base * (bridge if end.quantity != "charge" else 1 / bridge)
    raise UnknownChoiceError(f"{from_unit} cannot be turned into {to_unit}")
