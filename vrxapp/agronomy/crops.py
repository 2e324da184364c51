"""Crops and what their harvest carries away."""

from dataclasses import dataclass

from vrxapp.errors import UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


@dataclass(frozen=True, slots=True)
class Crop:
    """A crop with its removal of phosphorus per tonne of product. [kg P/t]"""

    key: str
    name: str
    product: str
    removal_p_kg_t: float
    removal_p_low_kg_t: float
    removal_p_high_kg_t: float
    source: str
    where: str
    grade: Grade
    range_source: str


def crops() -> tuple[Crop, ...]:
    """Every crop the program has a published removal for."""
    return read_table("crops.csv", Crop)


def crop(key: str) -> Crop:
    """The crop with this key.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    for known in crops():
        if known.key == key:
            return known
    raise UnknownChoiceError(
        f"no crop has the key {key!r}",
        mend=f"Choose one of: {', '.join(known.key for known in crops())}",
    )
