"""Lists to choose from, made of the rows of the tables."""

from collections.abc import Callable, Iterable
from typing import Any

from vrxapp.agronomy.soil_mass import typical_bulk_densities
from vrxapp.workflows.worked_figures.figure import Choice, Choices


def listed(
    table: Callable[[], Iterable[Any]],
    *,
    key: str = "key",
    name: str = "name",
    gives: str = "",
    find: Callable[[str], object] | None = None,
) -> Choices:
    """The rows of a table as choices.

    Parameters
    ----------
    table : callable
        Gives the rows.
    key, name : str, optional
        Columns of what is typed and of what people read.
    gives : str, optional
        Column of what the function is given; the key where it is empty.
    find : callable, optional
        Gives what the function is given for a key, where that is no column.
    """

    def choices() -> tuple[Choice, ...]:
        return tuple(_choice(row, key=key, name=name, gives=gives, find=find) for row in table())

    return choices


def _choice(
    row: Any, *, key: str, name: str, gives: str, find: Callable[[str], object] | None
) -> Choice:
    """One row as a choice, with its source where it has one."""
    typed = str(getattr(row, key))
    column = getattr(row, gives) if gives else typed
    return Choice(
        key=typed,
        name=str(getattr(row, name, typed)),
        value=column if find is None else find(typed),
        source=str(getattr(row, "source", "")),
        where=str(getattr(row, "where", "")),
        grade=getattr(row, "grade", None),
    )


def bulk_densities() -> tuple[Choice, ...]:
    """Both ends of what each texture often weighs: no middle is made up."""
    return tuple(
        Choice(
            f"{row.texture} {end}",
            f"{row.texture.capitalize()}, {end} end",
            weight,
            row.source,
            row.where,
            row.grade,
        )
        for row in typical_bulk_densities()
        for end, weight in (("low", row.low_t_m3), ("high", row.high_t_m3))
    )


def words(*kinds: str) -> Choices:
    """Plain words to choose from."""
    return lambda: tuple(Choice(kind, kind, kind) for kind in kinds)
