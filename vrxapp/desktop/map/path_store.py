"""Outlines as Qt paths: built once for each geometry, with a simplified copy per doubling."""

import numpy as np
import shapely
from numpy.typing import NDArray
from PySide6.QtGui import QPainterPath, QPolygonF
from shiboken6 import VoidPtr

#: Simplified copies stray from the outline by less than this. [device pixel]
STRAY_PX = 0.3
#: Below this stray there is nothing left to simplify. [m]
FINEST_STRAY_M = 0.01
BYTES_PER_POINT = 16


def polygon_of(coordinates: NDArray[np.float64]) -> QPolygonF:
    """Copy an array of points, one a row, into a polygon through shared memory."""
    polygon = QPolygonF()
    if len(coordinates):
        polygon.resize(len(coordinates))
        buffer = VoidPtr(polygon.data(), BYTES_PER_POINT * len(coordinates), True)  # noqa: FBT003
        np.frombuffer(buffer, dtype=np.float64)[:] = coordinates.ravel()
    return polygon


def paths_of(geometries: NDArray[np.object_], origin_m: tuple[float, float]) -> list[QPainterPath]:
    """One path for each polygon or line (or collection of them), in metres from an origin."""
    parts, part_row = shapely.get_parts(geometries, return_index=True)
    polygons = shapely.get_type_id(parts) == shapely.GeometryType.POLYGON
    rings, ring_part = shapely.get_rings(parts[polygons], return_index=True)
    outlines = np.concatenate([rings, parts[~polygons]])
    rows = np.concatenate([part_row[polygons][ring_part], part_row[~polygons]])
    coordinates, point_outline = shapely.get_coordinates(outlines, return_index=True)
    coordinates -= origin_m
    ends = np.searchsorted(point_outline, np.arange(len(outlines) + 1))
    paths = [QPainterPath() for _ in geometries]
    for row, start, end in zip(rows.tolist(), ends[:-1].tolist(), ends[1:].tolist(), strict=True):
        paths[row].addPolygon(polygon_of(coordinates[start:end]))
    return paths


class PathStore:
    """Paths that live as long as their geometry object, and a copy per power of two."""

    def __init__(self) -> None:
        self._origin_m: tuple[float, float] | None = None
        # The geometry is kept beside its path: an id alone could be given to another object.
        self._kept: dict[tuple[int, int], tuple[object, QPainterPath]] = {}

    @property
    def origin_m(self) -> tuple[float, float]:
        """Easting and northing that all paths are counted from."""
        return self._origin_m or (0.0, 0.0)

    def paths(
        self, geometries: NDArray[np.object_], rows: NDArray[np.intp], doubling: int
    ) -> list[QPainterPath]:
        """Paths of some rows, fine enough for scales up to 2**doubling pixels a metre."""
        stray_m = STRAY_PX * 2.0**-doubling
        if stray_m < FINEST_STRAY_M:
            stray_m, doubling = 0.0, 1_000
        keys = [(id(geometry), doubling) for geometry in geometries[rows]]
        missing = [i for i, key in enumerate(keys) if key not in self._kept]
        if missing:
            originals = geometries[rows[missing]]
            for i, original, path in zip(
                missing, originals, self._built(originals, stray_m), strict=True
            ):
                self._kept[keys[i]] = (original, path)
        return [self._kept[key][1] for key in keys]

    def keep_only(self, columns: list[NDArray[np.object_]]) -> None:
        """Forget the paths of all geometries that stand in none of the columns."""
        wanted = {id(geometry) for column in columns for geometry in column}
        self._kept = {key: kept for key, kept in self._kept.items() if key[0] in wanted}

    def _built(self, originals: NDArray[np.object_], stray_m: float) -> list[QPainterPath]:
        """Build paths anew, simplified where that leaves a shape."""
        if self._origin_m is None:
            west, south, east, north = shapely.total_bounds(originals)
            if not np.isfinite(west):
                return [QPainterPath() for _ in originals]
            self._origin_m = (round((west + east) / 2), round((south + north) / 2))
        shapes = originals
        if stray_m > 0.0:
            # Without keeping the topology it is several times faster; shared borders part
            # by less than a pixel, and the outline lies over that.
            simple = shapely.simplify(originals, stray_m, preserve_topology=False)
            shapes = np.where(shapely.is_empty(simple), originals, simple)
        return paths_of(shapes, self._origin_m)
