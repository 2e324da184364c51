"""Edits of the ground of zones: draw, split, merge, cut out.

Zones tile the whole paddock, exclusions included: what an exclusion and its setback take
out is cut away when rates are laid on the ground, so that a setback changed later leaves
no gap. A zone that would be left with nothing to spread on is refused.

Each edit gives new zones, or the same object where nothing changes.
"""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import GroundError
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zone_faces import (
    NOBODY,
    Faces,
    cut_faces,
    given_to_neighbours,
    is_thin,
    joined_faces,
)
from vrxapp.ground.zone_linework import linework, shapes_of, with_points
from vrxapp.ground.zone_names import WHOLE_PADDOCK, free_names, renamed
from vrxapp.ground.zone_snapping import snapped
from vrxapp.ground.zone_tiling import (
    SMALLEST_ZONE_M2,
    Change,
    require_coverage,
    require_unlocked,
    rows_near,
    with_change,
)
from vrxapp.ground.zones import Zones, comparable, row_called

NEW = -2
"""Stands for the new zone among the owners of ground."""


def whole_paddock(paddock: Paddock) -> Zones:
    """One zone over the whole paddock, to begin from."""
    return Zones(("zone-1",), (WHOLE_PADDOCK,), np.array([paddock.boundary], dtype=object))


def draw_zone(
    zones: Zones, paddock: Paddock, outline: Polygon, *, name: str = "", snap_m: float = 0.0
) -> Zones:
    """A new zone inside an outline; its ground is taken from the zones that lie there.

    Parameters
    ----------
    zones : Zones
        The zones before.
    paddock : Paddock
        The paddock; what is drawn beyond it is left away.
    outline : shapely Polygon
        What was drawn. [m]
    name : str, optional
        Name of the new zone; numbered if empty.
    snap_m : float, optional
        Corners this near to a corner or an edge are moved onto it, and slivers narrower
        than this, that the outline leaves or takes by the way, go where they belong. [m]

    Returns
    -------
    Zones
        A zone that is covered wholly vanishes. If exactly one zone is covered, and
        nothing else, there is nothing to do, and the same object comes back.

    Raises
    ------
    GroundError
        If the outline crosses itself, lies outside, or takes ground of a locked zone.
    """
    _require_outline(outline)
    rows = rows_near(zones, outline.buffer(snap_m))
    if not rows.size:
        raise _takes_nothing(snap_m)
    return _taken_out(zones, paddock, outline, rows=rows, name=name, snap_m=snap_m)


def cut_out(
    zones: Zones,
    paddock: Paddock,
    zone: str,
    outline: Polygon,
    *,
    name: str = "",
    snap_m: float = 0.0,
) -> Zones:
    """A new zone out of the ground of one zone alone; its neighbours keep theirs.

    Parameters
    ----------
    zones : Zones
        The zones before.
    paddock : Paddock
        The paddock.
    zone : str
        Name or id of the zone that gives the ground.
    outline : shapely Polygon
        What was drawn; only what lies in the zone counts. [m]
    name : str, optional
        Name of the new zone; numbered if empty.
    snap_m : float, optional
        As in `draw_zone`. [m]

    Raises
    ------
    GroundError
        If the outline crosses itself, misses the zone, or the zone is locked.
    """
    _require_outline(outline)
    rows = np.array([row_called(zones, zone)], dtype=np.intp)
    require_unlocked(zones, rows)
    return _taken_out(zones, paddock, outline, rows=rows, name=name, snap_m=snap_m)


def split_zone(
    zones: Zones, paddock: Paddock, zone: str, line: LineString, *, snap_m: float = 0.0
) -> Zones:
    """A zone split along a line; the largest part keeps name and id.

    Parameters
    ----------
    zones : Zones
        The zones before.
    paddock : Paddock
        The paddock.
    zone : str
        Name or id of the zone.
    line : shapely LineString
        From edge to edge of the zone; its ends may lie beyond. [m]
    snap_m : float, optional
        Corners of the line this near to a corner or an edge are moved onto it. [m]

    Returns
    -------
    Zones
        The other parts come last and are numbered. Parts of the zone that the line does
        not reach stay with the largest.

    Raises
    ------
    GroundError
        If the zone is locked, or the line does not divide it.
    """
    row = row_called(zones, zone)
    require_unlocked(zones, np.array([row]))
    shapes, places = _prepared(zones, np.array([row]), shapely.get_coordinates(line), snap_m)
    faces = cut_faces(shapes, shapely.LineString(places))
    parts = _parts_of_split(shapes[0], faces)
    if len(parts) < 2:
        raise GroundError(
            f"the line does not divide the zone {zones.names[row]!r}",
            mend="Draw it from one edge of the zone to another, or beyond",
        )
    name = zones.names[row]
    if comparable(name) == comparable(WHOLE_PADDOCK):
        zones = renamed(zones, row, free_names(zones.names, "Zone", 1)[0])
        name = zones.names[row]
    names = free_names(zones.names, name, len(parts) - 1)
    return with_change(zones, paddock, Change(np.array([row]), parts[:1], names, parts[1:]))


def merge_zones(zones: Zones, paddock: Paddock, names: tuple[str, ...]) -> Zones:
    """Zones joined to one, which keeps the name and the id of the first.

    Parameters
    ----------
    zones : Zones
        The zones before.
    paddock : Paddock
        The paddock.
    names : tuple of str
        Names or ids; they need not touch, for what is treated alike is one zone.

    Raises
    ------
    GroundError
        If one of them is locked.
    """
    rows = np.array(list(dict.fromkeys(row_called(zones, name) for name in names)), dtype=np.intp)
    if len(rows) < 2:
        return zones
    require_unlocked(zones, rows)
    require_coverage(zones.shapes[rows], [zones.names[row] for row in rows])
    shapes = np.full(len(rows), None, dtype=object)
    shapes[0] = joined_faces(zones.shapes[rows])
    return with_change(zones, paddock, Change(rows, shapes))


def _require_outline(outline: Polygon) -> None:
    """Refuse an outline that encloses nothing or crosses itself."""
    if outline.is_empty or not outline.is_valid or outline.area < SMALLEST_ZONE_M2:
        raise GroundError(
            "the outline crosses itself, or encloses no ground: "
            f"{shapely.is_valid_reason(outline)}",
            mend="Draw it again without a crossing",
        )


def _takes_nothing(snap_m: float) -> GroundError:
    snapping = f", or none wider than the {snap_m:.2g} m of snapping" if snap_m else ""
    return GroundError(
        f"the outline takes no ground from a zone{snapping}",
        mend="Draw it inside the paddock; zoom in to draw a narrow one",
    )


def _prepared(
    zones: Zones, rows: NDArray[np.intp], drawn: NDArray[np.float64], snap_m: float
) -> tuple[NDArray[np.object_], NDArray[np.float64]]:
    """The zones with a corner wherever the drawn line was snapped to an edge; and that line."""
    lines = linework(zones.shapes[rows])
    places = snapped(drawn, lines, snap_m=snap_m)
    once = np.ones(len(places), dtype=bool)
    once[1:] = np.any(places[1:] != places[:-1], axis=1)
    if np.sum(once) < 2:
        raise GroundError("what was drawn is no longer than a point", mend="Draw it longer")
    return shapes_of(with_points(lines, places)), places[once]


def _parts_of_split(shape: BaseGeometry, faces: Faces) -> NDArray[np.object_]:
    """The parts that a line makes of a zone, largest first; crumbs and what it misses stay."""
    outlines = faces.shapes
    if shape.geom_type == "MultiPolygon":
        reached = ~shapely.equals(outlines[:, np.newaxis], shapely.get_parts(shape)).any(axis=1)
    else:
        reached = np.ones(len(outlines), dtype=bool)
    own = reached & ~is_thin(outlines)
    order = np.flatnonzero(own)[np.argsort(-shapely.area(outlines[own]), kind="stable")]
    if len(order) < 2:
        return np.array([shape], dtype=object)
    owners = np.full(len(outlines), 0)
    owners[order] = np.arange(len(order))
    owners[reached & ~own] = NOBODY
    owners = given_to_neighbours(faces, owners)
    return np.array([joined_faces(outlines[owners == k]) for k in range(len(order))], dtype=object)


def _taken_out(
    zones: Zones,
    paddock: Paddock,
    outline: Polygon,
    *,
    rows: NDArray[np.intp],
    name: str,
    snap_m: float,
) -> Zones:
    """The zones after a new one has taken its ground from some of them."""
    shapes, ring = _prepared(zones, rows, shapely.get_coordinates(outline.exterior), snap_m)
    if len(ring) < 4:
        raise _takes_nothing(snap_m)
    drawn = shapely.Polygon(ring)
    _require_outline(drawn)
    faces = cut_faces(shapes, drawn.exterior)
    owners = _owners(faces, drawn, thin_m=snap_m)
    if not np.any(owners == NEW):
        raise _takes_nothing(snap_m)
    changed = owners != faces.owners
    takes = np.setdiff1d([*faces.owners[changed], *owners[changed]], [NEW])
    if len(takes) == 1 and not np.any(owners == takes[0]):
        return zones
    after = np.array([_ground_or_none(faces.shapes[owners == k]) for k in takes], dtype=object)
    new = np.array([joined_faces(faces.shapes[owners == NEW])], dtype=object)
    names = (name.strip(),) if name.strip() else free_names(zones.names, "Zone", 1)
    return with_change(zones, paddock, Change(rows[takes], after, names, new))


def _owners(faces: Faces, drawn: Polygon, *, thin_m: float) -> NDArray[np.intp]:
    """The zone of each face after drawing, `NEW` for the new one; slivers go where they belong."""
    inside = shapely.contains_properly(drawn, shapely.point_on_surface(faces.shapes))
    thin = is_thin(faces.shapes, width_m=thin_m)
    owners = np.where(inside, NEW, faces.owners)
    if not np.any(inside & ~thin):
        return faces.owners
    for zone in np.unique(faces.owners):
        rest = (faces.owners == zone) & ~inside
        taken = (faces.owners == zone) & inside
        if np.any(rest & ~thin):  # the zone goes on beside the new one
            owners[taken & thin] = zone
            owners[rest & thin] = NOBODY
        elif np.any(taken & ~thin):
            owners[rest] = NEW
    return given_to_neighbours(faces, owners)


def _ground_or_none(faces: NDArray[np.object_]) -> BaseGeometry | None:
    """Faces as one shape, or None where nothing worth the name is left."""
    shape = joined_faces(faces) if len(faces) else None
    return shape if shape is not None and shape.area >= SMALLEST_ZONE_M2 else None
