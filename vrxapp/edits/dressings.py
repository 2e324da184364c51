"""Edits of the compost, manure and litter that a paddock got."""

from dataclasses import replace

from vrxapp.agronomy.organic_dressing import OrganicDressing
from vrxapp.errors import UnknownChoiceError
from vrxapp.season import Season


def add_dressing(season: Season, dressing: OrganicDressing) -> Season:
    """Note a dressing on the paddock.

    Raises
    ------
    UnknownChoiceError
        If one of this name is there already.
    """
    name = dressing.analysis.name
    if _row_of(season, name) is not None:
        raise UnknownChoiceError(
            f"a dressing is called {name!r} already", mend="Give it another name"
        )
    return replace(season, dressings=(*season.dressings, dressing))


def remove_dressing(season: Season, name: str) -> Season:
    """Take a dressing out again.

    Raises
    ------
    UnknownChoiceError
        If none has this name; the mend lists what there is.
    """
    row = _row_of(season, name)
    if row is None:
        names = ", ".join(d.analysis.name for d in season.dressings) or "none yet"
        raise UnknownChoiceError(f"no dressing is called {name!r}", mend=f"Choose one of: {names}")
    return replace(season, dressings=season.dressings[:row] + season.dressings[row + 1 :])


def _row_of(season: Season, name: str) -> int | None:
    """Where a dressing of this name stands."""
    wanted = name.strip().casefold()
    names = [d.analysis.name.casefold() for d in season.dressings]
    return names.index(wanted) if wanted in names else None
