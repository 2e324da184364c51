"""Zones that were drawn elsewhere made to tile the paddock, with a note of all that was mended.

Ground that two zones claim stays with the smaller one, which is as a rule the one that was
drawn on top of the other. Narrow gaps go to the zones beside them; a wide one becomes a zone
of its own, for nobody can know which rate was meant for it.
"""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import GroundError, Note
from vrxapp.ground.geodesic_area import geodesic_area_ha
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.partition import GRID_M
from vrxapp.ground.zone_claims import MEND_STEPS, ClaimedGround, claimed_ground
from vrxapp.ground.zone_faces import (
    NOBODY,
    SLIVER_AREA_M2,
    Faces,
    given_to_neighbours,
    is_thin,
    joined_faces,
)
from vrxapp.ground.zone_gaps import gap_regions, given_to_sides
from vrxapp.ground.zone_linework import OUTSIDE, edges_of, linework, shapes_of, with_points
from vrxapp.ground.zone_names import free_names
from vrxapp.ground.zone_snapping import snapped
from vrxapp.ground.zone_tiling import require_coverage
from vrxapp.ground.zones import Zones, free_ids
from vrxapp.progress import Progress, Unwatched
from vrxapp.units import SQUARE_METRES_PER_HECTARE

NARROW_M = 1.0
"""Gaps narrower than this come from drawing the same line twice. [m]"""

REST = "Rest of the paddock"
"""Name of the zone that wide gaps become."""

_MOST_OVERLAPS_TOLD = 5

_TOLD_M2 = 0.1
"""Less than this is rounding and not worth a note. [m²]"""


@lru_cache(maxsize=32)
def do_tile(zones: Zones, paddock: Paddock) -> bool:
    """Whether zones cover the paddock without gap or overlap, and share their corners."""
    if not len(zones.shapes) or not shapely.coverage_is_valid(zones.shapes):
        return False
    ground = shapely.coverage_union_all(zones.shapes)
    return bool(shapely.symmetric_difference(ground, paddock.boundary).area < SLIVER_AREA_M2)


def mended_zones(
    zones: Zones,
    paddock: Paddock,
    *,
    narrow_m: float = NARROW_M,
    progress: Progress | None = None,
) -> tuple[Zones, tuple[Note, ...]]:
    """Zones that tile the paddock, and what had to be done for it.

    Parameters
    ----------
    zones : Zones
        Zones as they were drawn: with overlaps, gaps, slivers, corners that do not match.
    paddock : Paddock
        The paddock to be tiled.
    narrow_m : float, optional
        Gaps narrower than this go to the zones beside them. [m]
    progress : Progress, optional
        Who is told how far it is, and may stop it between the steps.

    Returns
    -------
    tuple of Zones and tuple of Note
        The same object and no note where nothing was wrong. Each note tells the ground
        that it is about, in hectares on the ellipsoid or in square metres.

    Raises
    ------
    GroundError
        If no zone lies in the paddock, or a locked zone would have to change.
    """
    if do_tile(zones, paddock):
        return zones, ()
    if not len(zones.shapes) or not np.any(shapely.intersects(zones.shapes, paddock.boundary)):
        raise GroundError(
            f"not one of the {len(zones.ids)} zones lies in the paddock {paddock.name!r}",
            mend="Check that boundary and zones belong to the same paddock",
        )
    watch = progress or Unwatched()
    ground = claimed_ground(zones, paddock, narrow_m=narrow_m, progress=watch)
    watch.step(4, MEND_STEPS, "Giving gaps to the zones beside them")
    owners, gap_notes = _gaps_given(ground, paddock, narrow_m)
    watch.step(5, MEND_STEPS, "Joining the zones")
    parts = _without_crumbs(ground.faces, owners)
    mended = _as_zones(zones, paddock, parts)
    watch.step(6, MEND_STEPS, "Telling what was mended")
    _require_locked_kept(zones, mended)
    notes = (
        *_overlap_notes(zones, paddock, ground),
        *gap_notes,
        *_outside_notes(zones, paddock),
        *_vanished_notes(zones, mended),
    )
    return mended, notes or (_only_corners(),)


def told_area(shapes: NDArray[np.object_], paddock: Paddock) -> str:
    """Area of shapes together in words: square metres up to 0.1 ha, then hectares."""
    hectares = float(np.sum(geodesic_area_ha(shapes, paddock.crs)))
    if hectares < 0.1:
        return f"{hectares * SQUARE_METRES_PER_HECTARE:,.1f} m²"
    return f"{hectares:,.2f} ha"


def _gaps_given(
    ground: ClaimedGround, paddock: Paddock, narrow_m: float
) -> tuple[NDArray[np.intp], tuple[Note, ...]]:
    """Owners with narrow gaps given away and wide ones made a zone of their own; and notes."""
    regions, gap = gap_regions(ground.faces, ground.owners)
    narrow = is_thin(regions, width_m=narrow_m)
    is_wide = np.append(~narrow, False)[gap]  # the last stands for no gap
    owners = np.where(is_wide, ground.rest, ground.owners)
    owners = given_to_sides(Faces(ground.faces, owners), owners, gap)
    notes = []
    if np.sum(shapely.area(regions[narrow])) > _TOLD_M2:
        told = told_area(regions[narrow], paddock)
        notes.append(
            Note(f"{told} in gaps narrower than {narrow_m:g} m were given to the zones beside them")
        )
    if not np.all(narrow):
        notes.append(
            Note(
                f"{told_area(regions[~narrow], paddock)} of the paddock lay in no zone and are "
                f"the zone {REST!r} now; without a result it gets nothing",
                mend="Merge it with a zone that is to be treated alike",
            )
        )
    return owners, tuple(notes)


def _without_crumbs(faces: NDArray[np.object_], owners: NDArray[np.intp]) -> Faces:
    """The parts of each owner, with crumbs apart from the main part given to neighbours."""
    known = np.unique(owners)
    joined = np.array([joined_faces(faces[owners == k]) for k in known], dtype=object)
    parts, owner = shapely.get_parts(joined, return_index=True)
    area_m2 = shapely.area(parts)
    main = np.zeros(len(parts), dtype=bool)
    main[
        [np.flatnonzero(owner == k)[np.argmax(area_m2[owner == k])] for k in range(len(known))]
    ] = 1
    is_crumb = is_thin(parts) & ~(main & (area_m2 >= SLIVER_AREA_M2))
    cut = Faces(parts, known[owner])
    return Faces(parts, given_to_neighbours(cut, np.where(is_crumb, NOBODY, known[owner])))


def _as_zones(zones: Zones, paddock: Paddock, parts: Faces) -> Zones:
    """Zones out of their parts, with the corners of the boundary exactly where they were."""
    rows = np.unique(parts.owners)
    joined = np.array([joined_faces(parts.shapes[parts.owners == k]) for k in rows], dtype=object)
    shapes = _on_boundary(joined, paddock.boundary)
    has_rest = bool(rows[-1] == len(zones.ids))
    kept = rows[:-1] if has_rest else rows
    names = [zones.names[row] for row in kept]
    ids = [zones.ids[row] for row in kept]
    if has_rest:
        names.append(REST if REST not in names else free_names(tuple(names), REST, 1)[0])
        ids += free_ids(zones.ids, 1)
    require_coverage(shapes, names)
    mended = Zones(tuple(ids), tuple(names), shapes, zones.locked_ids & set(ids))
    if not do_tile(mended, paddock):
        raise GroundError(
            "the zones could not be made to tile the paddock",
            mend="Draw them on the map, beginning from the whole paddock",
        )
    return mended


def _on_boundary(shapes: NDArray[np.object_], boundary: BaseGeometry) -> NDArray[np.object_]:
    """Shapes with their outer corners moved from the grid back onto the boundary itself.

    Where two corners lie within a step of the grid that can turn an edge over; the shapes
    then stay on the grid, a millimetre from the boundary at most.
    """
    rim = linework(np.array([boundary], dtype=object))
    lines = linework(shapes)
    edges = edges_of(lines)
    outer = np.unique(edges.ends[np.any(edges.sides == OUTSIDE, axis=1)])
    points = lines.points.copy()
    points[outer] = snapped(points[outer], rim, snap_m=GRID_M)
    moved = shapes_of(with_points(replace(lines, points=points), rim.points))
    is_sound = bool(np.all(shapely.is_valid(moved))) and shapely.coverage_is_valid(moved)
    return moved if is_sound else shapes


def _require_locked_kept(zones: Zones, mended: Zones) -> None:
    """Refuse a mend that would change a locked zone."""
    for row, zone_id in enumerate(zones.ids):
        if zone_id in zones.locked_ids:
            before = zones.shapes[row]
            after: BaseGeometry = shapely.Polygon()
            if zone_id in mended.ids:
                after = mended.shapes[mended.ids.index(zone_id)]
            if shapely.symmetric_difference(before, after).area > SLIVER_AREA_M2:
                raise GroundError(
                    f"the zone {zones.names[row]!r} is locked, and a mend would change it",
                    mend="Unlock it first",
                )


def _overlap_notes(zones: Zones, paddock: Paddock, ground: ClaimedGround) -> tuple[Note, ...]:
    """Which zones claimed the same ground, how much, and who kept it; the largest first."""
    shared: dict[tuple[int, int], list[BaseGeometry]] = {}
    for face, rows in ground.contested:
        for other in rows:
            if other != ground.owners[face]:
                shared.setdefault((int(ground.owners[face]), other), []).append(ground.faces[face])
    pairs = {pair: np.array(faces, dtype=object) for pair, faces in shared.items()}
    by_size = sorted(pairs.items(), key=lambda found: -float(np.sum(shapely.area(found[1]))))
    told = [found for found in by_size if np.sum(shapely.area(found[1])) > _TOLD_M2]
    notes = [
        Note(
            f"the zones {zones.names[keeper]!r} and {zones.names[other]!r} overlapped by "
            f"{told_area(shapes, paddock)}; that stays with {zones.names[keeper]!r}",
            mend="Look at it on the map",
        )
        for (keeper, other), shapes in told[:_MOST_OVERLAPS_TOLD]
    ]
    if len(told) > _MOST_OVERLAPS_TOLD:
        rest = np.concatenate([shapes for _, shapes in told[_MOST_OVERLAPS_TOLD:]])
        count = len(told) - _MOST_OVERLAPS_TOLD
        notes.append(
            Note(
                f"{count} more pairs of zones overlapped, by {told_area(rest, paddock)} together; "
                "that stays with the smaller of each pair"
            )
        )
    return tuple(notes)


def _outside_notes(zones: Zones, paddock: Paddock) -> tuple[Note, ...]:
    """How much was drawn beyond the paddock."""
    outside = shapely.difference(zones.shapes, paddock.boundary)
    outside = outside[shapely.area(outside) > _TOLD_M2]
    if not len(outside):
        return ()
    told = told_area(outside, paddock)
    return (Note(f"{told} drawn beyond the boundary of {paddock.name!r} are left away"),)


def _vanished_notes(zones: Zones, mended: Zones) -> tuple[Note, ...]:
    """Which zones have no ground of their own."""
    return tuple(
        Note(
            f"the zone {name!r} had no ground of its own in the paddock and is gone",
            mend="Check whether it was drawn twice, or belongs to another paddock",
        )
        for name, zone_id in zip(zones.names, zones.ids, strict=True)
        if zone_id not in mended.ids
    )


def _only_corners() -> Note:
    return Note("neighbouring zones share their corners now; no ground changed hands")
