"""A change of some zones put into the whole: shared corners first, then every check.

Only the zones near a change are looked at; those far from it are the same objects as before.
Ground that belonged to a zone before an edit belongs to one after it.
"""

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import GroundError
from vrxapp.ground.paddock import Paddock, excluded_ground
from vrxapp.ground.zone_linework import linework, shapes_of, with_points
from vrxapp.ground.zones import Zones, free_ids

SMALLEST_ZONE_M2 = 1.0
"""A zone has at least this much ground to spread on. [m²]"""

LARGEST_LOSS_M2 = 0.01
"""Ground that an edit may lose or win by rounding. [m²]"""


@dataclass(frozen=True, slots=True, eq=False)
class Change:
    """What an edit does to the ground of some zones.

    Parameters
    ----------
    rows : ndarray of int
        Rows of the zones that change.
    shapes : ndarray of shapely geometry or None
        What each of them becomes; None for a zone that vanishes. [m]
    new_names : tuple of str
        Names of new zones.
    new_shapes : ndarray of shapely geometry
        Their ground. [m]
    """

    rows: NDArray[np.intp]
    shapes: NDArray[np.object_]
    new_names: tuple[str, ...] = ()
    new_shapes: NDArray[np.object_] = field(default_factory=lambda: np.array([], dtype=object))


def rows_near(zones: Zones, *shapes: BaseGeometry) -> NDArray[np.intp]:
    """Rows of the zones whose bounding boxes meet that of any of these shapes."""
    west, south, east, north = shapely.bounds(zones.shapes).T
    is_near = np.zeros(len(zones.ids), dtype=bool)
    for min_x, min_y, max_x, max_y in shapely.bounds(np.array(shapes, dtype=object)):
        is_near |= (west <= max_x) & (east >= min_x) & (south <= max_y) & (north >= min_y)
    return np.flatnonzero(is_near)


def with_change(zones: Zones, paddock: Paddock, change: Change) -> Zones:
    """The zones after a change, checked.

    Parameters
    ----------
    zones : Zones
        The zones before.
    paddock : Paddock
        Its exclusions are ground where nothing is spread.
    change : Change
        Which zones become what; together they keep the ground that they had.

    Returns
    -------
    Zones
        New zones get ids of their own. A neighbour only gets corners where the changed
        zones have one on the shared edge; its ground stays as it was, locked or not.

    Raises
    ------
    GroundError
        If a zone is locked, would cross itself or another, or has no ground to spread on.
    """
    require_unlocked(zones, change.rows)
    after = np.concatenate([change.shapes, change.new_shapes])
    kept = ~shapely.is_missing(after)
    near = rows_near(zones, *zones.shapes[change.rows], *after[kept])
    others = np.setdiff1d(near, change.rows)
    require_coverage(zones.shapes[near], [zones.names[row] for row in near])
    _require_zones(after[kept], _names_after(zones, change, kept), paddock)
    settled = _with_shared_corners(
        np.concatenate([after[kept], zones.shapes[others]]), before=zones.shapes[near]
    )
    names = [*_names_after(zones, change, kept), *(zones.names[row] for row in others)]
    require_coverage(settled, names)
    changed = settled[: int(np.sum(kept))]
    _require_same_ground(zones.shapes[change.rows], changed)
    after[kept] = changed
    return _assembled(zones, change, after, others, settled[len(changed) :])


def require_unlocked(zones: Zones, rows: NDArray[np.intp]) -> None:
    """Refuse to change a locked zone.

    Raises
    ------
    GroundError
        If one of the rows is locked.
    """
    for row in rows:
        if zones.ids[row] in zones.locked_ids:
            raise GroundError(
                f"the zone {zones.names[row]!r} is locked, and this would change it",
                mend="Unlock it first, or keep away from it",
            )


def require_coverage(shapes: NDArray[np.object_], names: list[str]) -> None:
    """Refuse zones that overlap, or that do not share the corners where they meet.

    Raises
    ------
    GroundError
        If they do; the message names the zones.
    """
    if shapely.coverage_is_valid(shapes):
        return
    faulty = ~shapely.is_empty(shapely.coverage_invalid_edges(shapes))
    told = " and ".join(repr(name) for name, bad in zip(names, faulty, strict=True) if bad)
    raise GroundError(
        f"the zones {told} overlap, or do not share one line where they meet",
        mend="Keep each line within the zones beside it; mend zones that were drawn elsewhere",
    )


def spreadable_m2(shapes: NDArray[np.object_], paddock: Paddock) -> NDArray[np.float64]:
    """Ground of each shape outside all exclusions and their setbacks, on the grid. [m²]"""
    left_out = _left_out(paddock)
    if left_out.is_empty:
        return np.asarray(shapely.area(shapes), dtype=float)
    return np.asarray(shapely.area(shapely.difference(shapes, left_out)), dtype=float)


@lru_cache(maxsize=16)
def _left_out(paddock: Paddock) -> BaseGeometry:
    """The ground that exclusions take out, worked out once for a paddock."""
    return excluded_ground(paddock)


def _names_after(zones: Zones, change: Change, kept: NDArray[np.bool_]) -> list[str]:
    """Names of the changed zones that stay and of the new ones."""
    names = [*(zones.names[row] for row in change.rows), *change.new_names]
    return [name for name, stays in zip(names, kept, strict=True) if stays]


def _require_zones(shapes: NDArray[np.object_], names: list[str], paddock: Paddock) -> None:
    """Refuse a shape that is no polygon, crosses itself, or has nothing to spread on."""
    for shape, name in zip(shapes, names, strict=True):
        if shape.geom_type not in ("Polygon", "MultiPolygon") or not shape.is_valid:
            raise GroundError(
                f"the outline of {name!r} would cross or touch itself: "
                f"{shapely.is_valid_reason(shape)}",
                mend="Keep its corners apart, and its edges from crossing",
            )
    for m2, name in zip(spreadable_m2(shapes, paddock), names, strict=True):
        if m2 < SMALLEST_ZONE_M2:
            raise GroundError(
                f"the zone {name!r} would have no ground to spread on "
                "outside exclusions and setbacks",
                mend="Draw it larger, or merge it with a neighbour",
            )


def _with_shared_corners(
    shapes: NDArray[np.object_], *, before: NDArray[np.object_]
) -> NDArray[np.object_]:
    """Shapes with the new corners of each on the edges of its neighbours too."""
    lines = linework(shapes)
    old = shapely.get_coordinates(before).view(np.complex128).ravel()
    is_new = ~np.isin(np.ascontiguousarray(lines.points).view(np.complex128).ravel(), old)
    shared = with_points(lines, lines.points[is_new])
    if shared is lines:
        return shapes
    corners = np.diff(shared.ring_starts[shared.polygon_starts[shared.zone_starts]])
    touched = corners != shapely.get_num_coordinates(shapes)
    return np.where(touched, shapes_of(shared), shapes)


def _require_same_ground(before: NDArray[np.object_], after: NDArray[np.object_]) -> None:
    """Refuse a change by which ground is lost or won."""
    difference = shapely.symmetric_difference(
        shapely.coverage_union_all(before), shapely.coverage_union_all(after)
    )
    if difference.area > LARGEST_LOSS_M2:
        raise GroundError(
            f"{difference.area:,.1f} m² would belong to no zone, or to another paddock",
            mend="Keep each line within the zones beside it",
        )


def _assembled(
    zones: Zones,
    change: Change,
    after: NDArray[np.object_],
    others: NDArray[np.intp],
    other_shapes: NDArray[np.object_],
) -> Zones:
    """The columns after a change."""
    shapes = zones.shapes.copy()
    shapes[others] = other_shapes
    shapes[change.rows] = after[: len(change.rows)]
    stays = np.flatnonzero(~shapely.is_missing(shapes))
    return Zones(
        (*(zones.ids[row] for row in stays), *free_ids(zones.ids, len(change.new_names))),
        (*(zones.names[row] for row in stays), *change.new_names),
        np.concatenate([shapes[stays], after[len(change.rows) :]]),
        zones.locked_ids,
    )
