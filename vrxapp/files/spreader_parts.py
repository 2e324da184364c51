"""A rate map in the shapes that a plain spreader controller takes.

Such a reader may use only the first part of a record, ignore holes, or stop at too many
corners; so each record is one plain polygon without holes. What happens where stays.
"""

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError, Note
from vrxapp.files.straight_cuts import pieces
from vrxapp.ground.geodesic_area import lon_lat_area_ha
from vrxapp.ground.projected_crs import LON_LAT, projected_crs, transformed
from vrxapp.spreading.rate_map import RateMap, total_kg
from vrxapp.units import SQUARE_METRES_PER_HECTARE

MOST_POINTS = 1000
"""Points of one record, the first counted again as the last: an engineering default."""
SLIVER_M2 = 1.0
"""Parts below this go to a neighbour. [m²]"""


def spreader_parts(rate_map: RateMap) -> RateMap:
    """The same map in single polygons without holes, two-dimensional, with few points each.

    Parameters
    ----------
    rate_map : RateMap
        Polygons and multipolygons without overlap, corners shared between neighbours.

    Returns
    -------
    RateMap
        One row a polygon, in the order of the rows that they come from. A sliver joins the
        neighbour with the longest shared edge, but never one with another use: ground that
        gets nothing stays ground that gets nothing. Without such a neighbour it stays.

    Raises
    ------
    GroundError
        If a part is no valid polygon; the message names the part.
    """
    _refuse_misfit(rate_map)
    _refuse_bad_shapes(rate_map)
    flat = shapely.remove_repeated_points(shapely.force_2d(rate_map.shapes))
    singles, rows = shapely.get_parts(flat, return_index=True)
    singles, rows = _without_slivers(singles, rows, rate_map.uses[rows])
    cut = [_cut(shape, rate_map, int(row)) for shape, row in zip(singles, rows, strict=True)]
    counts = [len(parts) for parts in cut]
    return _from_rows(rate_map, [part for parts in cut for part in parts], np.repeat(rows, counts))


def parts_notes(plan: RateMap, parts: RateMap) -> tuple[Note, ...]:
    """What the making of parts changed, for the user: their number, and kilograms if any."""
    notes = []
    if len(parts.rates) != len(plan.rates):
        notes.append(
            Note(
                f"the {len(plan.rates)} parts of the map are written as {len(parts.rates)} plain "
                "polygons without holes; the ground and its rates are the same"
            )
        )
    moved_kg = total_kg(parts) - total_kg(plan)
    if abs(moved_kg) >= 0.0005:
        notes.append(
            Note(
                f"slivers under {SLIVER_M2:g} m² were joined to a neighbour, which changes the "
                f"product by {moved_kg:+.3f} kg"
            )
        )
    return tuple(notes)


def _from_rows(rate_map: RateMap, shapes: list[shapely.Polygon], rows: NDArray[np.intp]) -> RateMap:
    """A map of these shapes, each with the columns of the row it comes from."""
    column = np.empty(len(shapes), dtype=object)
    column[:] = shapes
    return RateMap(
        product=rate_map.product,
        unit=rate_map.unit,
        shapes=column,
        labels=tuple(rate_map.labels[row] for row in rows),
        uses=rate_map.uses[rows],
        rates=rate_map.rates[rows],
    )


def _refuse_misfit(rate_map: RateMap) -> None:
    lengths = {len(c) for c in (rate_map.shapes, rate_map.labels, rate_map.uses, rate_map.rates)}
    if len(lengths) != 1 or lengths == {0}:
        raise GroundError("the map holds no parts, or its columns differ in length")


def _refuse_bad_shapes(rate_map: RateMap) -> None:
    """Refuse what encloses no ground, crosses itself, or is no polygon."""
    for row, shape in enumerate(rate_map.shapes):
        problem = ""
        if shape is None or shape.geom_type not in ("Polygon", "MultiPolygon"):
            problem = "is no polygon"
        elif not shape.is_valid:
            problem = f"is not valid: {shapely.is_valid_reason(shape)}"
        elif shape.area <= 0.0:
            problem = "encloses no ground"
        if problem:
            raise GroundError(
                f"part {row + 1} ({rate_map.labels[row]!r}) {problem}",
                mend="Draw the zone or exclusion that it comes from again",
                row=row + 1,
            )


def _cut(shape: shapely.Polygon, rate_map: RateMap, row: int) -> tuple[shapely.Polygon, ...]:
    """A polygon as simple pieces, with its name in the message if that fails."""
    try:
        return pieces(shape, most_points=MOST_POINTS)
    except GroundError as error:
        raise GroundError(
            f"part {row + 1} ({rate_map.labels[row]!r}): {error.note.message}",
            mend=error.note.mend,
            row=row + 1,
        ) from error


def _without_slivers(
    shapes: NDArray[np.object_], rows: NDArray[np.intp], uses: NDArray[np.str_]
) -> tuple[NDArray[np.object_], NDArray[np.intp]]:
    """Polygons with each sliver joined to its neighbour of the same use, where it has one."""
    shapes = shapes.copy()
    kept = np.ones(len(shapes), dtype=bool)
    area_m2 = lon_lat_area_ha(shapes) * SQUARE_METRES_PER_HECTARE
    slivers = np.flatnonzero(area_m2 < SLIVER_M2)
    if slivers.size == 0:
        return shapes, rows
    tree = shapely.STRtree(shapes)
    given_to = np.arange(len(shapes))
    for sliver in slivers[np.argsort(area_m2[slivers], kind="stable")]:
        if area_m2[sliver] >= SLIVER_M2:  # others have joined it meanwhile
            continue
        near = tree.query(shapes[sliver], predicate="intersects")
        near = np.unique(_holders(given_to, near))
        near = near[(near != sliver) & (uses[near] == uses[sliver])]
        host, joined = _best_host(shapes, int(sliver), near)
        if joined is not None:
            shapes[host], kept[sliver], given_to[sliver] = joined, False, host
            area_m2[host] += area_m2[sliver]
    return shapes[kept], rows[kept]


def _holders(given_to: NDArray[np.intp], found: NDArray[np.intp]) -> NDArray[np.intp]:
    """The polygons that hold the found ones by now."""
    while np.any(given_to[found] != found):
        found = given_to[found]
    return found


def _best_host(
    shapes: NDArray[np.object_], sliver: int, near: NDArray[np.intp]
) -> tuple[int, shapely.Polygon | None]:
    """The neighbour with the longest shared edge, and both as one polygon; -1 and None if none."""
    point = shapely.point_on_surface(shapes[sliver])
    metric = projected_crs(point.x, point.y)
    shared = shapely.intersection(shapes[near], shapes[sliver])
    shared_m = shapely.length(transformed(shared, from_crs=LON_LAT, to_crs=metric))
    for host in near[np.argsort(-shared_m, kind="stable")][: int(np.sum(shared_m > 0))]:
        joined = shapely.union(shapes[host], shapes[sliver])
        if joined.geom_type == "Polygon" and joined.is_valid:
            return int(host), joined
    return -1, None
