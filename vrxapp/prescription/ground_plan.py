"""What happens on each part of the paddock: spread, left as a check strip, or excluded."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import GroundError, Note
from vrxapp.ground.geodesic_area import lon_lat_area_ha
from vrxapp.ground.paddock import Paddock, excluded_ground
from vrxapp.ground.partition import Partition, on_grid, partition
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.ground.zone_faces import is_thin
from vrxapp.ground.zone_repair import do_tile
from vrxapp.ground.zones import Zones
from vrxapp.spreading.rate_map import GroundUse
from vrxapp.trials.strips import CheckStrip, strip_shape

_NEAR_M = 0.01
"""Zones this near to an exclusion or a strip are cut; the others cannot be. [m]"""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class GroundPlan:
    """Parts of a paddock without gap or overlap, one row each.

    Parameters
    ----------
    shapes : ndarray of shapely geometry
        Parts in longitude and latitude. [degrees]
    zone_rows : ndarray of int
        Zone of each part, -1 for none.
    uses : ndarray of str
        What happens there, see `GroundUse`.
    labels : tuple of str
        Name of the zone, or of what else it is.
    area_ha : ndarray of float
        Geodesic area. [ha]
    notes : tuple of Note
        What the user should know about the ground.
    """

    shapes: NDArray[np.object_]
    zone_rows: NDArray[np.intp]
    uses: NDArray[np.str_]
    labels: tuple[str, ...]
    area_ha: NDArray[np.float64]
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Ground:
    """Faces without gap or overlap, with the zone of each (-1 for none) and its use."""

    faces: NDArray[np.object_]
    zone_rows: NDArray[np.intp]
    uses: NDArray[np.str_]


@lru_cache(maxsize=64)
def ground_plan(paddock: Paddock, zones: Zones, strips: tuple[CheckStrip, ...]) -> GroundPlan:
    """Cut a paddock into what is spread, what is a check strip and what is left out.

    Holes of the boundary are kept as excluded parts, so that a reader that ignores
    holes still finds a rate of zero there.

    Raises
    ------
    GroundError
        If two zones overlap by more than a sliver, or no zone lies in the paddock.
    """
    ground = _ground_of_tiles(paddock, zones, strips) if do_tile(zones, paddock) else None
    ground = ground or _ground_cut_anew(paddock, zones, strips)
    return _joined(ground, paddock=paddock, zones=zones)


def _ground_of_tiles(
    paddock: Paddock, zones: Zones, strips: tuple[CheckStrip, ...]
) -> _Ground | None:
    """The ground of zones that tile the paddock: only those near a cutter are cut.

    None where corners on the grid do not fit each other; then all must be cut anew.
    """
    excluded = _as_layer([excluded_ground(paddock)])
    strip_shapes = _as_layer([strip_shape(strip) for strip in strips])
    is_near = np.zeros(len(zones.shapes), dtype=bool)
    cutters = np.concatenate([shapely.get_parts(excluded), strip_shapes])
    tree = shapely.STRtree(zones.shapes)
    is_near[tree.query(cutters, predicate="dwithin", distance=_NEAR_M)[1]] = True
    near, far = np.flatnonzero(is_near), np.flatnonzero(~is_near)
    cut = partition(zones.shapes[near], excluded, strip_shapes)
    within, in_excluded, in_strip = cut.members
    inside = within >= 0
    whole = on_grid(zones.shapes[far])
    faces = np.concatenate([cut.faces[inside], whole])
    if not (np.all(shapely.is_valid(whole)) and shapely.coverage_is_valid(faces)):
        return None
    uses = np.select(
        [in_excluded[inside] >= 0, in_strip[inside] >= 0],
        [GroundUse.EXCLUDED, GroundUse.CHECK_STRIP],
        default=GroundUse.SPREAD,
    )
    rows = np.where(uses == GroundUse.EXCLUDED, -1, near[within[inside]])
    holes = _holes(shapely.coverage_union_all(faces)) if _has_holes(paddock) else _as_layer([])
    return _Ground(
        np.concatenate([faces, holes]),
        np.concatenate([rows, far, np.full(len(holes), -1)]),
        np.concatenate(
            [
                uses,
                np.full(len(far), GroundUse.SPREAD),
                np.full(len(holes), GroundUse.EXCLUDED),
            ]
        ),
    )


def _ground_cut_anew(paddock: Paddock, zones: Zones, strips: tuple[CheckStrip, ...]) -> _Ground:
    """The ground cut along all lines at once, however the zones were drawn."""
    cut = partition(
        np.array([paddock.boundary], dtype=object),
        zones.shapes,
        _as_layer([excluded_ground(paddock)]),
        _as_layer([strip_shape(strip) for strip in strips]),
        _holes(paddock.boundary),
    )
    inside, zone_rows, excluded, strip_rows, holes = cut.members
    _refuse_overlaps(cut, zones, paddock)
    uses = np.select(
        [(inside < 0) & (holes >= 0), excluded >= 0, strip_rows >= 0, zone_rows < 0],
        [GroundUse.EXCLUDED, GroundUse.EXCLUDED, GroundUse.CHECK_STRIP, GroundUse.NO_RATE],
        default=GroundUse.SPREAD,
    )
    kept = (inside >= 0) | (holes >= 0)
    zone_rows = _slivers_given_away(cut.faces, zone_rows, kept & (uses == GroundUse.NO_RATE))
    uses = np.where((uses == GroundUse.NO_RATE) & (zone_rows >= 0), GroundUse.SPREAD, uses)
    zone_rows = np.where(uses == GroundUse.EXCLUDED, -1, zone_rows)
    return _Ground(cut.faces[kept], zone_rows[kept], uses[kept])


def _as_layer(shapes: list[shapely.Geometry]) -> NDArray[np.object_]:
    """Non-empty shapes as one layer of a partition."""
    return np.array([shape for shape in shapes if not shape.is_empty], dtype=object)


def _has_holes(paddock: Paddock) -> bool:
    parts = shapely.get_parts(paddock.boundary)
    return bool(np.any(shapely.get_num_interior_rings(parts) > 0))


def _holes(ground: BaseGeometry) -> NDArray[np.object_]:
    """Holes of the ground as polygons of their own."""
    parts = shapely.get_parts(ground)
    return _as_layer([shapely.Polygon(ring) for part in parts for ring in part.interiors])


def _refuse_overlaps(cut: Partition, zones: Zones, paddock: Paddock) -> None:
    """Raise for the largest piece of ground that two zones claim."""
    claimed = cut.crowded[1] & (cut.members[0] >= 0) & ~is_thin(cut.faces)
    if not np.any(claimed):
        return
    areas = np.where(claimed, shapely.area(cut.faces), 0.0)
    face = cut.faces[int(np.argmax(areas))]
    point = face.representative_point()
    owners = [n for n, s in zip(zones.names, zones.shapes, strict=True) if s.contains(point)]
    spot = transformed(np.array([point]), from_crs=paddock.crs, to_crs=LON_LAT)[0]
    raise GroundError(
        f"the zones {' and '.join(repr(name) for name in owners[:2])} overlap by "
        f"{float(np.sum(areas)) / 1e4:.2f} ha, near longitude {spot.x:.5f}, "
        f"latitude {spot.y:.5f}",
        mend="Draw the zones so that each piece of ground belongs to one of them",
    )


def _slivers_given_away(
    faces: NDArray[np.object_], zone_rows: NDArray[np.intp], unclaimed: NDArray[np.bool_]
) -> NDArray[np.intp]:
    """Zones with the slivers between them given to the neighbour of the longest shared edge."""
    zone_rows = zone_rows.copy()
    slivers = np.flatnonzero(unclaimed & is_thin(faces))
    if slivers.size == 0:
        return zone_rows
    own, other = shapely.STRtree(faces).query(faces[slivers], predicate="touches")
    shared_m = shapely.length(shapely.intersection(faces[slivers[own]], faces[other]))
    fitting = (zone_rows[other] >= 0) & (shared_m > 0)
    for row in np.flatnonzero(fitting)[np.argsort(shared_m[fitting], kind="stable")]:
        zone_rows[slivers[own[row]]] = zone_rows[other[row]]
    return zone_rows


def _joined(ground: _Ground, *, paddock: Paddock, zones: Zones) -> GroundPlan:
    """Faces of the same zone and use joined into one part each."""
    faces, uses = ground.faces, ground.uses
    order = {use: rank for rank, use in enumerate(GroundUse)}
    ranks = np.array([order[GroundUse(use)] for use in uses])
    keys, group = np.unique(np.column_stack([ranks, ground.zone_rows]), axis=0, return_inverse=True)
    shapes = np.array(
        [shapely.coverage_union_all(faces[group == k]) for k in range(len(keys))], dtype=object
    )
    lon_lat = transformed(shapes, from_crs=paddock.crs, to_crs=LON_LAT)
    joined_uses = np.array([list(GroundUse)[rank] for rank in keys[:, 0]])
    labels = tuple(
        zones.names[zone] if zone >= 0 else str(use)
        for use, zone in zip(joined_uses, keys[:, 1], strict=True)
    )
    area_ha = lon_lat_area_ha(lon_lat)
    return GroundPlan(
        lon_lat,
        keys[:, 1].astype(np.intp),
        joined_uses,
        labels,
        area_ha,
        _ground_notes(joined_uses, keys[:, 1], area_ha, zones),
    )


def _ground_notes(
    uses: NDArray[np.str_], zone_rows: NDArray[np.intp], area_ha: NDArray[np.float64], zones: Zones
) -> tuple[Note, ...]:
    """Say which ground lies in no zone, and which zone has no ground to spread on."""
    notes = []
    bare_ha = float(np.sum(area_ha[(uses == GroundUse.NO_RATE) & (zone_rows < 0)]))
    if bare_ha > 0:
        notes.append(
            Note(
                f"{bare_ha:.2f} ha of the paddock lie in no zone and get nothing",
                mend="Extend a zone over them if they are to be spread",
            )
        )
    with_ground = set(zone_rows[uses == GroundUse.SPREAD].tolist())
    notes += [
        Note(
            f"the zone {name!r} has no ground to spread on inside the paddock",
            mend="Check that boundary and zones belong to the same paddock",
        )
        for row, name in enumerate(zones.names)
        if row not in with_ground
    ]
    return tuple(notes)
