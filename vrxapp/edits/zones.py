"""Edits of the Zones stage: draw, split, merge, bend, rename, lock, mend.

What is joined to a zone by hand stays joined as long as the zone is there. Tests stay
whatever happens to the zones.
"""

from dataclasses import replace

import numpy as np
import shapely
from shapely import LineString, Polygon

from vrxapp.errors import Note
from vrxapp.ground.zone_corners import insert_corner, move_corner, remove_corner
from vrxapp.ground.zone_editing import cut_out, draw_zone, merge_zones, split_zone, whole_paddock
from vrxapp.ground.zone_names import lock_zone, rename_zone, unlock_zone
from vrxapp.ground.zone_repair import mended_zones
from vrxapp.ground.zone_tiling import require_unlocked
from vrxapp.ground.zones import Zones, comparable, free_ids, row_called
from vrxapp.progress import Progress
from vrxapp.season import Season
from vrxapp.soil.by_place import RowMatch


def draw(season: Season, outline: Polygon, *, name: str = "", snap_m: float = 0.0) -> Season:
    """Draw a new zone over those that are there; see `draw_zone`."""
    return _with_zones(
        season, draw_zone(season.zones, season.paddock, outline, name=name, snap_m=snap_m)
    )


def cut_from(
    season: Season, zone: str, outline: Polygon, *, name: str = "", snap_m: float = 0.0
) -> Season:
    """Cut a new zone out of one zone alone; see `cut_out`."""
    return _with_zones(
        season, cut_out(season.zones, season.paddock, zone, outline, name=name, snap_m=snap_m)
    )


def split(season: Season, zone: str, line: LineString, *, snap_m: float = 0.0) -> Season:
    """Split a zone along a line; what is joined to it stays with the largest part."""
    return _with_zones(season, split_zone(season.zones, season.paddock, zone, line, snap_m=snap_m))


def merge(season: Season, names: tuple[str, ...]) -> Season:
    """Join zones to one; what was joined to any of them is joined to that one.

    The ground that a sample was taken from is still there, so its result still counts.
    """
    zones = merge_zones(season.zones, season.paddock, names)
    if zones is season.zones:
        return season
    kept = season.zones.ids[row_called(season.zones, names[0])]
    gone = set(season.zones.ids) - set(zones.ids)
    matches = tuple(
        RowMatch(m.sample_id, kept) if m.place_id in gone else m for m in season.row_matches
    )
    return replace(season, zones=zones, row_matches=matches)


def move_vertex(
    season: Season, at: tuple[float, float], to: tuple[float, float], *, reach_m: float
) -> Season:
    """Move a corner in all zones that have it; see `move_corner`."""
    return _with_zones(season, move_corner(season.zones, season.paddock, at, to, reach_m=reach_m))


def insert_vertex(season: Season, at: tuple[float, float], *, reach_m: float) -> Season:
    """Put a corner into an edge, in the zones on both sides; see `insert_corner`."""
    return _with_zones(season, insert_corner(season.zones, season.paddock, at, reach_m=reach_m))


def remove_vertex(season: Season, at: tuple[float, float], *, reach_m: float) -> Season:
    """Take a corner out of all zones that have it; see `remove_corner`."""
    return _with_zones(season, remove_corner(season.zones, season.paddock, at, reach_m=reach_m))


def rename(season: Season, zone: str, name: str) -> Season:
    """Call a zone otherwise; what is joined to it stays joined."""
    return _with_zones(season, rename_zone(season.zones, zone, name))


def lock(season: Season, zone: str) -> Season:
    """Keep a zone from being changed."""
    return _with_zones(season, lock_zone(season.zones, zone))


def unlock(season: Season, zone: str) -> Season:
    """Let a zone be changed again."""
    return _with_zones(season, unlock_zone(season.zones, zone))


def mend(season: Season, *, progress: Progress | None = None) -> tuple[Season, tuple[Note, ...]]:
    """Make the zones tile the paddock, and tell what was mended; see `mended_zones`."""
    zones, notes = mended_zones(season.zones, season.paddock, progress=progress)
    return _with_zones(season, zones), notes


def begin_anew(season: Season) -> Season:
    """One zone over the whole paddock, to split.

    Raises
    ------
    GroundError
        If a zone is locked.
    """
    require_unlocked(season.zones, np.arange(len(season.zones.ids)))
    return use_zones(season, whole_paddock(season.paddock))[0]


def use_zones(
    season: Season, drawn: Zones, *, progress: Progress | None = None
) -> tuple[Season, tuple[Note, ...]]:
    """Use other zones, mended so that they tile the paddock.

    Parameters
    ----------
    season : Season
        The season.
    drawn : Zones
        Zones out of a file; one that is called like a zone that is there, is that zone,
        and keeps what is joined to it.
    progress : Progress, optional
        Who is told how far mending is, and may stop it.

    Returns
    -------
    tuple of Season and tuple of Note
        The season, and what was mended.

    Raises
    ------
    GroundError
        If a zone of the season is locked, or none of the drawn lies in the paddock.
    """
    require_unlocked(season.zones, np.arange(len(season.zones.ids)))
    before = {comparable(n): i for n, i in zip(season.zones.names, season.zones.ids, strict=True)}
    known = [before.get(comparable(name), "") for name in drawn.names]
    free = iter(free_ids(season.zones.ids, known.count("")))
    ids = tuple(zone_id or next(free) for zone_id in known)
    zones, notes = mended_zones(replace(drawn, ids=ids), season.paddock, progress=progress)
    return (season if _are_same(zones, season.zones) else _with_zones(season, zones)), notes


def _with_zones(season: Season, zones: Zones) -> Season:
    """The season with other zones; matches to zones that are gone are dropped."""
    if zones is season.zones:
        return season
    kept = tuple(m for m in season.row_matches if m.place_id in zones.ids)
    return replace(season, zones=zones, row_matches=kept)


def _are_same(zones: Zones, others: Zones) -> bool:
    """Whether zones are the same to the last digit."""
    if (zones.ids, zones.names) != (others.ids, others.names):
        return False
    return bool(np.all(shapely.equals_identical(zones.shapes, others.shapes)))
