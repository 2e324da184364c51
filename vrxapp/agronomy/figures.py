"""Single published numbers with their range, unit and source, each found by its key.

A rule that uses one hands it on with its result, so that whoever shows the result can
show where each of its numbers is from.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


class FigureTable(StrEnum):
    """The tables that hold single numbers, by file name."""

    NITROGEN = "nitrogen_figures.csv"
    VOLATILISATION = "volatilisation.csv"
    METAL_LIMITS = "metal_limits.csv"
    SALT_INDEX = "salt_index.csv"
    BULK_DENSITY = "fertiliser_densities.csv"
    HISTORY = "history_figures.csv"


@dataclass(frozen=True, slots=True)
class Figure:
    """One number with its range, unit and source.

    Parameters
    ----------
    key, name : str
        Lasting name for the program, and what the number is.
    value : float
        The number, in `unit`.
    low, high : float
        Its range; NaN where none is printed.
    unit : str
        Unit of all three.
    source, where : str
        Key of the bibliography, and the place in it (or the agronomist's reason).
    grade : Grade
        How well it is known.
    """

    key: str
    name: str
    value: float
    low: float
    high: float
    unit: str
    source: str
    where: str
    grade: Grade


def figures(table: FigureTable) -> tuple[Figure, ...]:
    """Every number of a table."""
    return read_table(table, Figure)


def figure(table: FigureTable, key: str) -> Figure:
    """The number of a table with this key.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    for known in figures(table):
        if known.key == key:
            return known
    raise UnknownChoiceError(
        f"the table has no figure {key!r}",
        mend=f"Choose one of: {', '.join(sorted({known.key for known in figures(table)}))}",
    )


def own_figure(name: str, value: float, *, unit: str, reason: str) -> Figure:
    """A number of the agronomist's own, marked as theirs.

    Raises
    ------
    MissingInputError
        If it is no finite number or no reason is given.
    """
    if not math.isfinite(value):
        raise MissingInputError(f"{name} is no number", mend=f"Give it in {unit}")
    if not reason.strip():
        raise MissingInputError(
            f"{name} of your own needs a reason", mend="Say in a few words where it comes from"
        )
    return Figure("own", name, value, math.nan, math.nan, unit, "", reason.strip(), Grade.YOURS)
