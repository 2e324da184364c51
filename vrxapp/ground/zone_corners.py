"""Edits of single corners of zones: move, put in, take out; every zone that has it follows."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Point

from vrxapp.errors import GroundError
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zone_faces import joined_faces
from vrxapp.ground.zone_linework import (
    OUTSIDE,
    Edges,
    ZoneLinework,
    along_segments,
    edges_of,
    linework,
    shapes_of,
    with_moved_point,
    with_points,
    without_point,
    zones_at,
)
from vrxapp.ground.zone_snapping import nearest_corner, nearest_on_edges, snapped
from vrxapp.ground.zone_tiling import Change, require_unlocked, rows_near, with_change
from vrxapp.ground.zones import Zones

STRAIGHT_M = 1e-3
"""A corner this near to the straight line past it bends nothing. [m]"""


@dataclass(frozen=True, slots=True, eq=False)
class _Corner:
    """A corner in the linework of all zones that matter to it."""

    lines: ZoneLinework
    edges: Edges
    point: int
    near: NDArray[np.intp]
    """Row of each zone of the linework."""
    local: NDArray[np.intp]
    """Rows in the linework of the zones that have the corner."""

    @property
    def rows(self) -> NDArray[np.intp]:
        """Rows of the zones that have the corner."""
        return self.near[self.local]

    @property
    def meeting(self) -> NDArray[np.bool_]:
        """Which edges end in the corner."""
        return np.asarray(np.any(self.edges.ends == self.point, axis=1))

    @property
    def outer(self) -> NDArray[np.bool_]:
        """Which edges lie on the paddock's boundary."""
        return np.asarray(np.any(self.edges.sides == OUTSIDE, axis=1))


def move_corner(
    zones: Zones,
    paddock: Paddock,
    at: tuple[float, float],
    to: tuple[float, float],
    *,
    reach_m: float = STRAIGHT_M,
) -> Zones:
    """A corner at another place; all zones that have it move with it.

    Parameters
    ----------
    zones : Zones
        The zones before.
    paddock : Paddock
        The paddock.
    at, to : tuple of float
        Where the corner is, and where it goes; easting and northing. [m]
    reach_m : float, optional
        How far from ``at`` the corner may lie. [m]

    Returns
    -------
    Zones
        A corner on the paddock's boundary, where a line between zones ends, slides along
        the boundary.

    Raises
    ------
    GroundError
        If there is no corner, if it shapes the paddock's own boundary, if a zone that
        has it is locked, or if an edge would cross another.
    """
    corner = _corner_at(zones, at, reach_m)
    require_unlocked(zones, corner.rows)
    goal = np.array([to], dtype=float)
    if np.any(corner.meeting & corner.outer):
        return _slid(zones, paddock, corner, goal)
    if np.array_equal(goal[0], corner.lines.points[corner.point]):
        return zones
    moved = shapes_of(with_moved_point(corner.lines, corner.point, goal[0]))
    return with_change(zones, paddock, Change(corner.rows, moved[corner.local]))


def insert_corner(
    zones: Zones, paddock: Paddock, at: tuple[float, float], *, reach_m: float = STRAIGHT_M
) -> Zones:
    """A new corner on the nearest edge, in the zones on both sides of it.

    Parameters
    ----------
    zones : Zones
        The zones before.
    paddock : Paddock
        The paddock.
    at : tuple of float
        Easting and northing. [m]
    reach_m : float, optional
        How far the edge may be. [m]

    Returns
    -------
    Zones
        The same object where a corner is already.

    Raises
    ------
    GroundError
        If no edge is near, or a zone beside it is locked.
    """
    near = rows_near(zones, Point(at).buffer(reach_m))
    if not near.size:
        raise _nothing_near("edge")
    lines = linework(zones.shapes[near])
    edges = edges_of(lines)
    edge, _, places = nearest_on_edges(np.array([at], dtype=float), lines, edges, reach_m=reach_m)
    if not edge.size:
        raise _nothing_near("edge")
    to_ends = lines.points[edges.ends[edge[0]]] - places[0]
    if np.min(np.hypot(*to_ends.T)) <= STRAIGHT_M:
        return zones
    sides = np.setdiff1d(edges.sides[edge[0]], [OUTSIDE])
    after = shapes_of(with_points(lines, places))
    return with_change(zones, paddock, Change(near[sides], after[sides]))


def remove_corner(
    zones: Zones, paddock: Paddock, at: tuple[float, float], *, reach_m: float = STRAIGHT_M
) -> Zones:
    """The zones without a corner; the edge runs straight past it, on both sides.

    Parameters
    ----------
    zones : Zones
        The zones before.
    paddock : Paddock
        The paddock.
    at : tuple of float
        Easting and northing. [m]
    reach_m : float, optional
        How far from there the corner may lie. [m]

    Raises
    ------
    GroundError
        If there is no corner, if three lines meet in it, if it shapes the paddock's own
        boundary, if a zone is locked, or if an edge would cross another.
    """
    corner = _corner_at(zones, at, reach_m)
    require_unlocked(zones, corner.rows)
    ends = corner.edges.ends[corner.meeting]
    if len(ends) > 2:
        raise GroundError(
            "three lines meet in this corner, so it cannot be taken out",
            mend="Move it, or merge two of the zones",
        )
    if np.any(corner.meeting & corner.outer) and not _is_straight(corner, ends):
        raise _shapes_the_paddock()
    rings = np.diff(corner.lines.ring_starts)
    if np.min(rings[_rings_with(corner.lines, corner.point)]) <= 4:
        raise GroundError(
            "a triangle has no corner to spare", mend="Merge the zone with a neighbour instead"
        )
    after = shapes_of(without_point(corner.lines, corner.point))
    return with_change(zones, paddock, Change(corner.rows, after[corner.local]))


def _corner_at(zones: Zones, at: tuple[float, float], reach_m: float) -> _Corner:
    """The corner at a place, in the linework of all zones beside those that have it."""
    place = np.array([at], dtype=float)
    around = rows_near(zones, Point(at).buffer(reach_m))
    if not around.size:
        raise _nothing_near("corner")
    first = linework(zones.shapes[around])
    (found,), (distance_m,) = nearest_corner(place, first)
    if distance_m > reach_m:
        raise _nothing_near("corner")
    owners = around[zones_at(first, int(found))]
    near = rows_near(zones, *zones.shapes[owners])
    lines = linework(zones.shapes[near])
    point = int(np.flatnonzero((lines.points == first.points[found]).all(axis=1))[0])
    return _Corner(lines, edges_of(lines), point, near, np.searchsorted(near, owners))


def _slid(zones: Zones, paddock: Paddock, corner: _Corner, goal: NDArray[np.float64]) -> Zones:
    """The end of a line between zones slid along the paddock's boundary."""
    edges, points = corner.edges, corner.lines.points
    own = np.isin(edges.sides, corner.local)
    inner = corner.meeting & ~corner.outer
    if not np.any(inner):
        raise _shapes_the_paddock()
    along = corner.outer & own.any(axis=1)
    rim = Edges(edges.ends[along], edges.sides[along])
    places = nearest_on_edges(goal, corner.lines, rim, reach_m=np.inf)[2]
    place = snapped(places, corner.lines, snap_m=STRAIGHT_M)[0]
    if np.array_equal(place, points[corner.point]):
        return zones
    lines = with_points(corner.lines, place[np.newaxis])
    before = shapes_of(lines)[corner.local]
    ground = joined_faces(before)
    between = own.all(axis=1) & ~corner.meeting
    from_ends = edges.ends[inner]
    ends = points[np.where(from_ends[:, 0] == corner.point, from_ends[:, 1], from_ends[:, 0])]
    pieces = [
        *shapely.linestrings(points[edges.ends[between]]),
        *shapely.linestrings(np.stack([ends, np.broadcast_to(place, ends.shape)], axis=1)),
    ]
    after = _shared_out(ground, np.array(pieces, dtype=object), before)
    return with_change(zones, paddock, Change(corner.rows, after))


def _shared_out(
    ground: shapely.Geometry, pieces: NDArray[np.object_], before: NDArray[np.object_]
) -> NDArray[np.object_]:
    """Ground cut along lines, each face to the zone that had most of it."""
    noded = shapely.union_all(np.array([shapely.boundary(ground), *pieces], dtype=object))
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    faces = faces[shapely.within(shapely.point_on_surface(faces), ground)]
    held_m2 = shapely.area(shapely.intersection(faces[:, np.newaxis], before))
    owners = np.argmax(held_m2, axis=1)
    if len(np.unique(owners)) < len(before):
        raise GroundError(
            "a zone would be left without ground", mend="Do not drag the corner so far"
        )
    return np.array([joined_faces(faces[owners == k]) for k in range(len(before))], dtype=object)


def _is_straight(corner: _Corner, ends: NDArray[np.intp]) -> bool:
    """Whether the two edges that meet in a corner run on in one line."""
    points = corner.lines.points
    far = points[ends[ends != corner.point]]
    _, (place,) = along_segments(points[[corner.point]], far[:1], far[1:])
    return bool(np.hypot(*(place - points[corner.point])) <= STRAIGHT_M)


def _rings_with(lines: ZoneLinework, point: int) -> NDArray[np.intp]:
    """The rings that run through a point."""
    at = np.flatnonzero(lines.corners == point)
    return np.unique(np.searchsorted(lines.ring_starts, at, side="right") - 1)


def _nothing_near(what: str) -> GroundError:
    return GroundError(f"there is no {what} of a zone here", mend=f"Point nearer to the {what}")


def _shapes_the_paddock() -> GroundError:
    return GroundError(
        "this corner belongs to the paddock's own boundary, which no edit of zones changes",
        mend="Open another boundary file if the paddock itself is different",
    )
