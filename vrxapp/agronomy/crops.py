"""Crops that a season can be planned for, and what their harvest carries away."""

from dataclasses import dataclass
from functools import cache

from vrxapp.agronomy.crop_removal import Nutrient, default_removal
from vrxapp.errors import UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


@dataclass(frozen=True, slots=True)
class _CropRow:
    key: str
    name: str
    product: str
    harvest: str


@dataclass(frozen=True, slots=True)
class Crop:
    """A crop, its harvest, and the phosphorus in one tonne of it. [kg P/t]

    The figures of phosphorus are those of `crop_removal`, where all nutrients stand.
    """

    key: str
    name: str
    product: str
    harvest: str
    removal_p_kg_t: float
    removal_p_low_kg_t: float
    removal_p_high_kg_t: float
    source: str
    where: str
    grade: Grade
    range_source: str


@cache
def crops() -> tuple[Crop, ...]:
    """Every crop the program has a published removal of phosphorus for."""
    return tuple(map(_crop, read_table("crops.csv", _CropRow)))


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


def _crop(row: _CropRow) -> Crop:
    """A crop with the phosphorus of its harvest."""
    removal = default_removal(row.harvest, Nutrient.PHOSPHORUS)
    return Crop(
        key=row.key,
        name=row.name,
        product=row.product,
        harvest=row.harvest,
        removal_p_kg_t=removal.kg_per_unit,
        removal_p_low_kg_t=removal.low_kg_per_unit,
        removal_p_high_kg_t=removal.high_kg_per_unit,
        source=removal.source,
        where=removal.where,
        grade=removal.grade,
        range_source=removal.range_source,
    )
