"""Draws invented ground: rounded lines, uneven ovals, zones cut along lines, and its place."""

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from vrxapp.ground.projected_crs import LON_LAT, transformed

Bends = Sequence[tuple[int, int]]


def placer(
    lon_degree: float, lat_degree: float, *, crs: str
) -> Callable[[BaseGeometry], BaseGeometry]:
    """A function that moves shapes drawn around (0, 0) to a place, in whole metres."""
    place = np.array([Point(lon_degree, lat_degree)], dtype=object)
    origin = transformed(place, from_crs=LON_LAT, to_crs=crs)[0]
    east_north_m = np.round([origin.x, origin.y])

    def placed(shape: BaseGeometry) -> BaseGeometry:
        return shapely.transform(shape, lambda xy: xy + east_north_m)

    return placed


def cut_zones(
    boundary: Polygon | MultiPolygon, lines: Sequence[Bends], spots: Sequence[Sequence[Point]]
) -> list[BaseGeometry]:
    """The boundary cut along rounded lines; each zone is the pieces that its spots lie in."""
    cuts = [LineString(rounded(line)) for line in lines]
    noded = shapely.union_all([boundary.boundary, *cuts])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    faces = faces[shapely.contains(boundary, shapely.point_on_surface(faces))]
    return [_zone([faces[_only(shapely.contains(faces, spot))] for spot in own]) for own in spots]


def _zone(pieces: list[Polygon]) -> BaseGeometry:
    return pieces[0] if len(pieces) == 1 else MultiPolygon(pieces)


def _only(chosen: NDArray[np.bool_]) -> int:
    """The one row that is chosen."""
    (row,) = np.flatnonzero(chosen)
    return int(row)


def patch(center: tuple[int, int], *, radii_m: tuple[int, int], turn: float) -> Polygon:
    """An uneven oval of 24 corners, turned by an angle in radians."""
    angle = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    uneven = 1.0 + 0.08 * np.cos(2 * angle + 1.0) + 0.06 * np.sin(3 * angle)
    along, across = radii_m[0] * uneven * np.cos(angle), radii_m[1] * uneven * np.sin(angle)
    east = center[0] + along * np.cos(turn) - across * np.sin(turn)
    north = center[1] + along * np.sin(turn) + across * np.cos(turn)
    return Polygon(np.column_stack([east, north]))


def rounded(bends: Bends) -> NDArray[np.float64]:
    """A line with its bends rounded by cutting the corners twice."""
    line = np.asarray(bends, dtype=float)
    for _ in range(2):
        start, end = line[:-1], line[1:]
        cut = np.stack([0.75 * start + 0.25 * end, 0.25 * start + 0.75 * end], axis=1)
        line = np.concatenate([line[:1], cut.reshape(-1, 2), line[-1:]])
    return line
