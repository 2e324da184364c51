"""Edit of the Zones stage: take made zones for all that are not locked."""

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import Note
from vrxapp.ground.points_in_zones import OUTSIDE, zone_of_points
from vrxapp.ground.projected_crs import LON_LAT, transformed_xy
from vrxapp.ground.zones import Zones
from vrxapp.ground.zones_around_locked import zones_around_locked
from vrxapp.season import Season
from vrxapp.trials.strips import strip_shape
from vrxapp.units import SQUARE_METRES_PER_HECTARE


@dataclass(frozen=True, slots=True)
class ZoneChange:
    """What other zones mean for what was there.

    Parameters
    ----------
    kept : tuple of str
        Names of locked zones, which stay as they are.
    replaced : int
        How many zones are no more.
    unjoined : int
        Samples that were joined by hand to zones that are no more.
    placed : int
        Samples with a position in the paddock: they count for the zone they lie in.
    crossed : int
        Check strips that lie in more than one of the new zones.
    joined : int
        Small parts beside locked zones that went to their neighbours.
    """

    kept: tuple[str, ...]
    replaced: int
    unjoined: int
    placed: int
    crossed: int
    joined: int


def replace_zones(
    season: Season, zones: Zones, *, least_ha: float = 0.0
) -> tuple[Season, ZoneChange]:
    """The season with made zones around its locked ones, and what that means.

    A hand-made match stays where a zone of the same id and shape is still there, and with
    every locked zone. Parts under `least_ha` that locked zones leave over go to their
    neighbours.

    Raises
    ------
    GroundError
        If the made zones cannot be fitted round the locked ones.
    """
    after, joined = zones_around_locked(
        season.zones, zones, season.paddock, least_m2=least_ha * SQUARE_METRES_PER_HECTARE
    )
    locked = season.zones.locked_ids
    before = dict(zip(season.zones.ids, season.zones.shapes, strict=True))
    now = dict(zip(after.ids, after.shapes, strict=True))
    kept = tuple(
        match
        for match in season.row_matches
        if match.place_id in locked
        or (match.place_id in now and before.get(match.place_id) is now[match.place_id])
    )
    change = ZoneChange(
        kept=tuple(name for name, zone_id in zip(after.names, after.ids, strict=True)
                   if zone_id in locked),
        replaced=len(season.zones.ids) - len(locked),
        unjoined=len(season.row_matches) - len(kept),
        placed=_placed(season, after.shapes),
        crossed=_crossed(season, after.shapes),
        joined=joined,
    )  # fmt: skip
    return replace(season, zones=after, row_matches=kept), change


def change_notes(change: ZoneChange) -> tuple[Note, ...]:
    """What other zones mean, in sentences; nothing where nothing is touched."""
    notes = []
    if change.kept:
        names = ", ".join(repr(name) for name in change.kept)
        notes.append(Note(f"locked and kept as they are: {names}; the made zones take the rest"))
    if change.joined:
        notes.append(
            Note(
                f"{change.joined} small part{'s' if change.joined > 1 else ''} beside locked zones "
                f"went to {'their neighbours' if change.joined > 1 else 'its neighbour'}"
            )
        )
    if change.unjoined:
        notes.append(
            Note(
                f"{_counted(change.unjoined, 'sample')} joined by hand to zones that are no more",
                mend="Join them again to the new zones (Match rows, or vrxapp lab)",
            )
        )
    if change.placed:
        notes.append(
            Note(
                f"{change.placed} sample{'s' if change.placed > 1 else ''} with a position "
                f"count{'' if change.placed > 1 else 's'} for the zone that they lie in"
            )
        )
    if change.crossed:
        notes.append(
            Note(
                f"{change.crossed} check strip{'s lie' if change.crossed > 1 else ' lies'} in "
                "more than one of the zones; strips stay where they are"
            )
        )
    return tuple(notes)


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun} was" if count == 1 else f"{count} {noun}s were"


def _placed(season: Season, zones: NDArray[np.object_]) -> int:
    """How many samples lie in a zone by their position; replicates and layers count once."""
    if season.tests is None:
        return 0
    known = np.isfinite(season.tests.longitude_degree) & np.isfinite(season.tests.latitude_degree)
    if not np.any(known):
        return 0
    x, y = transformed_xy(
        season.tests.longitude_degree[known],
        season.tests.latitude_degree[known],
        from_crs=LON_LAT,
        to_crs=season.paddock.crs,
    )
    inside = zone_of_points(x, y, zones) != OUTSIDE
    return len(set(np.array(season.tests.sample_ids)[known][inside].tolist()))


def _crossed(season: Season, zones: NDArray[np.object_]) -> int:
    """How many check strips have ground in two zones or more."""
    if not season.strips:
        return 0
    strips = np.array([strip_shape(strip) for strip in season.strips], dtype=object)
    strip, zone = shapely.STRtree(zones).query(strips, predicate="intersects")
    has_ground = shapely.area(shapely.intersection(strips[strip], zones[zone])) > 1.0
    return int(np.sum(np.bincount(strip[has_ground], minlength=len(strips)) > 1))
