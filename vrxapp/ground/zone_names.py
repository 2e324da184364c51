"""Names of zones: given, numbered, and locked against edits."""

import itertools
import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from vrxapp.errors import MissingInputError
from vrxapp.ground.zone_tiling import require_unlocked
from vrxapp.ground.zones import Zones, comparable, row_called

WHOLE_PADDOCK = "Whole paddock"
"""Name of the one zone that a paddock begins with."""


def rename_zone(zones: Zones, zone: str, name: str) -> Zones:
    """A zone called otherwise; its id, and what is joined to it, stays.

    Raises
    ------
    GroundError
        If the zone is locked, or another has the name.
    MissingInputError
        If the name is empty.
    """
    row = row_called(zones, zone)
    told = " ".join(name.split())
    if not told:
        raise MissingInputError("a zone needs a name", mend="Give it one")
    if told == zones.names[row]:
        return zones
    require_unlocked(zones, np.array([row]))
    return renamed(zones, row, told)


def renamed(zones: Zones, row: int, name: str) -> Zones:
    """The zones with another name in one row."""
    return replace(zones, names=(*zones.names[:row], name, *zones.names[row + 1 :]))


def lock_zone(zones: Zones, zone: str) -> Zones:
    """A zone that no edit may change; the same object if it is locked already."""
    zone_id = zones.ids[row_called(zones, zone)]
    if zone_id in zones.locked_ids:
        return zones
    return replace(zones, locked_ids=zones.locked_ids | {zone_id})


def unlock_zone(zones: Zones, zone: str) -> Zones:
    """A zone open to edits again; the same object if it was not locked."""
    zone_id = zones.ids[row_called(zones, zone)]
    if zone_id not in zones.locked_ids:
        return zones
    return replace(zones, locked_ids=zones.locked_ids - {zone_id})


def free_names(taken: tuple[str, ...], like: str, count: int) -> tuple[str, ...]:
    """Names that no zone has yet: one like this, with the next free numbers.

    Examples
    --------
    >>> free_names(("Zone 1", "Zone 3"), "Zone", 2)
    ('Zone 2', 'Zone 4')
    >>> free_names(("Creek flat", "Red rise"), "Creek flat", 1)
    ('Creek flat 2',)
    """
    known = {comparable(name) for name in taken}
    stem = re.sub(r"\s+\d+$", "", like)
    first = 2 if comparable(stem) in known else 1
    numbered = (f"{stem} {number}" for number in itertools.count(first))
    free = (name for name in numbered if comparable(name) not in known)
    return tuple(itertools.islice(free, count))


def free_name(taken: Sequence[str], wanted: str, *, usual: str) -> str:
    """The wanted name, numbered where it is taken; the usual one where none is wanted.

    Examples
    --------
    >>> free_name(("Gate",), " gate ", usual="Point")
    'gate 2'
    >>> free_name((), "", usual="Point")
    'Point'
    """
    name = " ".join(wanted.split()) or usual
    is_taken = comparable(name) in {comparable(known) for known in taken}
    return free_names(tuple(taken), name, 1)[0] if is_taken else name
