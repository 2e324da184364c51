"""Zones: the parts of a paddock that are treated alike, as columns."""

import itertools
from collections import Counter
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import GroundError, UnknownChoiceError


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Zones:
    """Zones of a paddock, one row each.

    Parameters
    ----------
    ids : tuple of str
        Lasting names for the program; they survive renaming.
    names : tuple of str
        What people call the zones; unique without regard to case.
    shapes : ndarray of shapely geometry
        Polygons in the paddock's projected coordinates. [m]
    locked_ids : frozenset of str
        Zones that no edit may change.
    """

    ids: tuple[str, ...]
    names: tuple[str, ...]
    shapes: NDArray[np.object_]
    locked_ids: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        """Refuse columns that do not match and names that stand for two zones."""
        if not len(self.ids) == len(self.names) == len(self.shapes):
            raise GroundError("zone ids, names and shapes differ in number")
        for label, names in (("id", self.ids), ("name", self.names)):
            twice = [n for n, k in Counter(comparable(n) for n in names).items() if k > 1]
            if twice:
                raise GroundError(
                    f"the zone {label} {twice[0]!r} stands for more than one zone",
                    mend="Give each zone a name of its own",
                )
        if not self.locked_ids <= set(self.ids):
            raise GroundError("a zone is locked that is not there")
        self.shapes.setflags(write=False)


def row_called(zones: Zones, name: str) -> int:
    """The row of the zone with this name, else with this id.

    A file may call one zone as the program calls another, so whoever knows both gives
    the name.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    wanted = comparable(name)
    for known in (zones.names, zones.ids):
        rows = [row for row, text in enumerate(known) if comparable(text) == wanted]
        if rows:
            return rows[0]
    raise UnknownChoiceError(
        f"no zone is called {name!r}",
        mend=f"Choose one of: {', '.join(zones.names) or 'none yet'}",
    )


def free_ids(taken: tuple[str, ...], count: int) -> list[str]:
    """Ids that no zone has yet."""
    known = set(taken)
    numbered = (f"zone-{number}" for number in itertools.count(1))
    return list(itertools.islice((name for name in numbered if name not in known), count))


def comparable(name: str) -> str:
    """A name as it is compared: without regard to case and spaces."""
    return " ".join(name.split()).casefold()
