"""Which zone each piece of a paddock belongs to, where zones overlap or leave gaps."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.ground.paddock import Paddock
from vrxapp.ground.partition import GRID_M
from vrxapp.ground.zone_faces import NOBODY
from vrxapp.ground.zone_gaps import cuts_across
from vrxapp.ground.zones import Zones
from vrxapp.progress import Progress

MEND_STEPS = 6
"""Steps of a mend, of which cutting the paddock is the second."""


@dataclass(frozen=True, slots=True, eq=False)
class ClaimedGround:
    """A paddock cut along the outlines of all zones.

    Parameters
    ----------
    faces : ndarray of shapely Polygon
        The paddock's ground, without gap or overlap. [m]
    owners : ndarray of int
        Row of the zone that each face belongs to, `NOBODY` where none claims it.
    contested : tuple of (int, tuple of int)
        Each face that several zones claim, and their rows.
    rest : int
        Row for ground that no zone claims, next after the last zone.
    """

    faces: NDArray[np.object_]
    owners: NDArray[np.intp]
    contested: tuple[tuple[int, tuple[int, ...]], ...]
    rest: int


def claimed_ground(
    zones: Zones, paddock: Paddock, *, narrow_m: float, progress: Progress
) -> ClaimedGround:
    """Cut a paddock along all zones; a locked zone goes first, then the smaller.

    Parameters
    ----------
    zones : Zones
        Zones that may overlap, leave gaps, and reach beyond the paddock.
    paddock : Paddock
        The paddock.
    narrow_m : float
        Gaps up to twice this width are cut across at every corner. [m]
    progress : Progress
        Who is told how far it is, and may stop it.
    """
    progress.step(1, MEND_STEPS, "Looking for gaps between zones")
    outlines = shapely.boundary(np.array([paddock.boundary, *zones.shapes], dtype=object))
    cuts = cuts_across(zones.shapes, paddock.boundary, longest_m=2.0 * narrow_m)
    progress.step(2, MEND_STEPS, "Cutting the paddock along all zones")
    noded = shapely.union_all(np.concatenate([outlines, cuts]), grid_size=GRID_M)
    progress.step(3, MEND_STEPS, "Finding who claims which ground")
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    points = shapely.point_on_surface(faces)
    shapely.prepare(paddock.boundary)
    inside = shapely.contains_properly(paddock.boundary, points)
    faces, points = faces[inside], points[inside]
    face, zone = shapely.STRtree(zones.shapes).query(points, predicate="within")
    rank = _ranks(zones)
    owners = np.full(len(faces), NOBODY, dtype=np.intp)
    order = np.argsort(-rank[zone], kind="stable")  # the best claim is written last
    owners[face[order]] = zone[order]
    return ClaimedGround(faces, owners, _contested(face, zone), len(zones.ids))


def _contested(
    face: NDArray[np.intp], zone: NDArray[np.intp]
) -> tuple[tuple[int, tuple[int, ...]], ...]:
    """Each face that several zones hold, and their rows, from pairs of face and zone."""
    order = np.argsort(face, kind="stable")
    face, zone = face[order], zone[order]
    faces, first, count = np.unique(face, return_index=True, return_counts=True)
    return tuple(
        (int(faces[k]), tuple(zone[first[k] : first[k] + count[k]].tolist()))
        for k in np.flatnonzero(count > 1)
    )


def _ranks(zones: Zones) -> NDArray[np.intp]:
    """How strong the claim of each zone is, 0 for the strongest."""
    is_open = np.array([zone_id not in zones.locked_ids for zone_id in zones.ids])
    order = np.lexsort((shapely.area(zones.shapes), is_open))
    rank = np.empty(len(order), dtype=np.intp)
    rank[order] = np.arange(len(order))
    return rank
