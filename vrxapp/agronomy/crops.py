"""Crops that a season can be planned for; `crop_removal` tells what their harvest carries away."""

from dataclasses import dataclass

from vrxapp.errors import UnknownChoiceError
from vrxapp.table_reader import read_table


@dataclass(frozen=True, slots=True)
class Crop:
    """A crop, and what is harvested of it.

    Parameters
    ----------
    key, name : str
        Lasting name for the program, and what people read.
    product : str
        What a tonne of its yield is a tonne of.
    harvest : str
        Key of the harvest, see `crop_removal.harvests`.
    fixes_nitrogen : str
        ``"yes"`` for a legume, which nodules feed with nitrogen from the air.
    """

    key: str
    name: str
    product: str
    harvest: str
    fixes_nitrogen: str


def crops() -> tuple[Crop, ...]:
    """Every crop that can be planned for; some await a critical value or removal of one's own."""
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
