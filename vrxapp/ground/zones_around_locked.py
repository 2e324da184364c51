"""Other zones for all ground but that of locked zones, which stay as they are.

The other zones are cut along the outlines of the locked ones. Each takes what is left of it,
so that all of them tile the paddock again; one that lies wholly in locked ground is gone.
"""

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

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
from vrxapp.ground.zone_names import free_names
from vrxapp.ground.zone_repair import do_tile
from vrxapp.ground.zone_tiling import LARGEST_LOSS_M2, SMALLEST_ZONE_M2, spreadable_m2
from vrxapp.ground.zones import Zones, comparable, free_ids

_MEND = "Unlock the locked zones, or mend the zones first and make them again"


def zones_around_locked(
    before: Zones, made: Zones, paddock: Paddock, *, least_m2: float = 0.0
) -> tuple[Zones, int]:
    """Locked zones as they were, and the made zones on the rest of the paddock.

    Parameters
    ----------
    before : Zones
        Zones that are there; only the locked of them stay.
    made : Zones
        Zones that tile the paddock.
    paddock : Paddock
        The paddock.
    least_m2 : float, optional
        Smaller parts that the cut leaves beside locked zones go to their neighbours. [m²]

    Returns
    -------
    tuple of Zones and int
        The locked zones first. They keep ids, names and every corner; where a line between
        made zones meets their edge they get a corner more. Made zones that are called like a
        locked one get the next free number. And how many small parts went to neighbours.

    Raises
    ------
    GroundError
        If nothing is left beside the locked zones, or they do not fit into the paddock.
    """
    locked = _locked(before)
    if not len(locked.ids):
        return made, 0
    faces = _cut(locked.shapes, made.shapes)
    owners = _without_crumbs(faces, len(locked.ids), least_m2)
    shapes = np.full(len(locked.ids) + len(made.ids), None, dtype=object)
    for row in np.unique(owners):
        shapes[row] = joined_faces(faces.shapes[owners == row])
    _require_kept(locked, shapes[: len(locked.ids)])
    rest = shapes[len(locked.ids) :]
    kept = _with_ground(rest, paddock)
    if not np.any(kept):
        raise GroundError(
            "the locked zones take all the ground that could be spread",
            mend="Unlock those whose ground is to be zoned anew",
        )
    zones = _together(locked, shapes[: len(locked.ids)], made, rest, kept=kept)
    if not do_tile(zones, paddock):
        raise GroundError(
            "the made zones cannot be fitted round the locked ones without a gap", mend=_MEND
        )
    return zones, int(np.sum(owners != faces.owners))


def _locked(zones: Zones) -> Zones:
    """The locked zones alone."""
    rows = [row for row, zone_id in enumerate(zones.ids) if zone_id in zones.locked_ids]
    return Zones(
        tuple(zones.ids[row] for row in rows),
        tuple(zones.names[row] for row in rows),
        zones.shapes[rows],
        zones.locked_ids,
    )


def _cut(locked: NDArray[np.object_], made: NDArray[np.object_]) -> Faces:
    """The made zones cut along the locked; owners are rows of the locked, then of the made."""
    lines = linework(np.concatenate([locked, made]))
    shared = shapes_of(with_points(lines, lines.points))
    fitted, ground = shared[: len(locked)], shared[len(locked) :]
    faces = cut_faces(ground, shapely.union_all(shapely.boundary(fitted)))
    points = shapely.point_on_surface(faces.shapes)
    face, row = shapely.STRtree(fitted).query(points, predicate="within")
    owners = faces.owners + len(locked)
    owners[face] = row
    return Faces(faces.shapes, owners)


def _without_crumbs(faces: Faces, locked_count: int, least_m2: float) -> NDArray[np.intp]:
    """Owners with small parts given to made zones beside them; locked ground is untouched.

    A made zone is cut by locked outlines alone, so each face is a part by itself.
    """
    is_open = np.flatnonzero(faces.owners >= locked_count)
    if not is_open.size:
        return faces.owners
    ground = Faces(faces.shapes[is_open], faces.owners[is_open])
    crumbs = is_thin(ground.shapes) | (shapely.area(ground.shapes) < least_m2)
    owners = faces.owners.copy()
    owners[is_open] = given_to_neighbours(ground, np.where(crumbs, NOBODY, ground.owners))
    return owners


def _require_kept(locked: Zones, after: NDArray[np.object_]) -> None:
    """Refuse to change a locked zone."""
    for name, before, shape in zip(locked.names, locked.shapes, after, strict=True):
        if shape is None or shapely.symmetric_difference(before, shape).area > LARGEST_LOSS_M2:
            raise GroundError(
                f"the locked zone {name!r} would not stay as it is: it overlaps another, or "
                "reaches beyond the paddock",
                mend=_MEND,
            )


def _with_ground(shapes: NDArray[np.object_], paddock: Paddock) -> NDArray[np.bool_]:
    """Whether each made zone still has ground; one wholly inside an exclusion stays as well."""
    kept = ~shapely.is_missing(shapes)
    if np.any(kept) and not np.any(spreadable_m2(shapes[kept], paddock) >= SMALLEST_ZONE_M2):
        return np.zeros(len(shapes), dtype=bool)
    return np.asarray(kept)


def _together(
    locked: Zones,
    locked_shapes: NDArray[np.object_],
    made: Zones,
    rest: NDArray[np.object_],
    *,
    kept: NDArray[np.bool_],
) -> Zones:
    """Locked and made zones in one, each with an id and a name of its own."""
    names = list(locked.names)
    for row in np.flatnonzero(kept):
        name = made.names[row]
        taken = {comparable(other) for other in names}
        others = (*names, *made.names)
        names.append(name if comparable(name) not in taken else free_names(others, name, 1)[0])
    ids = (*locked.ids, *free_ids(locked.ids, int(np.sum(kept))))
    shapes = np.concatenate([locked_shapes, rest[kept]])
    return replace(locked, ids=ids, names=tuple(names), shapes=shapes)
