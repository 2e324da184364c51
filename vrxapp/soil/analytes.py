"""What a laboratory can measure, by method, with its unit and the values that can be."""

from dataclasses import dataclass

from vrxapp.errors import UnknownChoiceError
from vrxapp.ground.zones import comparable
from vrxapp.table_reader import read_table


@dataclass(frozen=True, slots=True)
class Analyte:
    """One analyte by one method; two methods are two analytes."""

    key: str
    name: str
    method: str
    unit: str
    ion: str
    lowest: float
    highest: float
    default_unit: str
    spellings: tuple[str, ...]


def analytes() -> tuple[Analyte, ...]:
    """Every analyte the program knows."""
    return read_table("analytes.csv", Analyte)


def analyte(key: str) -> Analyte:
    """The analyte with this key."""
    for known in analytes():
        if known.key == key:
            return known
    raise UnknownChoiceError(f"no analyte has the key {key!r}")


def analyte_called(name: str) -> Analyte | None:
    """The analyte that a laboratory's name stands for, or None.

    Examples
    --------
    >>> analyte_called("Phosphorus (Colwell)").key
    'colwell_p'
    >>> analyte_called("Phosphorus") is None  # which test?
    True
    """
    wanted = comparable(name)
    for known in analytes():
        if wanted in (comparable(known.name), known.key) or wanted in known.spellings:
            return known
    return None
