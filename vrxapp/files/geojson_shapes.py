"""One GeoJSON geometry as a checked shape in longitude and latitude.

What cannot be right is refused with the place and the mend; nothing but a small gap at the
end of a ring is closed, and that is told.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import chain

import numpy as np
import pyproj
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError
from vrxapp.files.geojson_crs import DeclaredCrs
from vrxapp.ground.projected_crs import transformed

CLOSED_GAP_SHARE = 0.01
CLOSED_GAP_M = 5.0
"""A ring is closed for the user if its gap is below this share of its length and this many m."""

_ELLIPSOID = pyproj.Geod(ellps="GRS80")
_KINDS = ("Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon")
FAULTS = {
    "Self-intersection": "the outline crosses itself",
    "Ring Self-intersection": "the outline touches itself",
    "Hole lies outside shell": "a hole lies outside its outline",
    "Holes are nested": "a hole lies in another hole",
    "Interior is disconnected": "a hole cuts the ground in two",
    "Nested shells": "one part lies inside another",
    "Duplicate Rings": "the same ring stands twice",
    "Too few points in geometry component": "it has too few corners",
}


@dataclass(frozen=True, slots=True, eq=False)
class JsonShape:
    """A shape, and what was done for the user while reading it.

    Parameters
    ----------
    shape : shapely geometry
        Longitude first, two-dimensional, valid. [degrees]
    has_heights : bool
        Whether heights were left out.
    closed_gaps_m : tuple of float
        Gap of each ring that was closed. [m]
    """

    shape: shapely.Geometry
    has_heights: bool
    closed_gaps_m: tuple[float, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Line:
    """Positions in longitude and latitude, with what was done to them."""

    points: NDArray[np.float64]
    has_heights: bool
    gap_m: float = 0.0


def shape_from_json(geometry: Mapping[str, object], crs: DeclaredCrs | None) -> JsonShape:
    """A geometry as a checked shape.

    Parameters
    ----------
    geometry : mapping
        A GeoJSON geometry as `json` reads it.
    crs : DeclaredCrs or None
        Coordinate system of its numbers; None for longitude and latitude.

    Raises
    ------
    GroundError
        If it is no geometry, or one that cannot be right.
    """
    kind = geometry.get("type")
    if kind not in _KINDS:
        raise GroundError(
            f"a geometry of type {kind!r} cannot be used",
            mend=f"Save each shape as a feature of its own: {', '.join(_KINDS)}",
            value=str(kind),
        )
    raw = geometry.get("coordinates")
    # A plain kind is read as a multiple kind of one.
    parts = _listed(raw if str(kind).startswith("Multi") else [raw])
    if str(kind).endswith("Polygon"):
        rings = [[_ring(ring, crs) for ring in _listed(part)] for part in parts]
        shapes = [shapely.Polygon(r[0].points, [hole.points for hole in r[1:]]) for r in rings]
        lines = list(chain.from_iterable(rings))
    elif str(kind).endswith("LineString"):
        lines = [_line(part, crs) for part in parts]
        shapes = [shapely.LineString(line.points) for line in lines]
    else:
        lines = [_positions(parts, crs)]
        shapes = list(shapely.points(lines[0].points))
    shape = _multiple(shapes) if str(kind).startswith("Multi") else shapes[0]
    _refuse_faulty(shape)
    gaps_m = tuple(line.gap_m for line in lines if line.gap_m > 0)
    return JsonShape(shape, any(line.has_heights for line in lines), gaps_m)


def _multiple(shapes: list[shapely.Geometry]) -> shapely.Geometry:
    """Shapes of one kind as one multiple shape."""
    together = {
        "Point": shapely.multipoints,
        "LineString": shapely.multilinestrings,
        "Polygon": shapely.multipolygons,
    }
    return together[shapes[0].geom_type](shapes)


def _listed(raw: object) -> list[object]:
    """A list that holds something."""
    if raw is None or raw in ([], [None]):
        raise GroundError("it has no coordinates", mend="Draw it again, or delete the feature")
    if not isinstance(raw, list):
        raise GroundError(
            "its coordinates are not nested as its type asks",
            mend="Export it again as GeoJSON",
            value=repr(raw)[:60],
        )
    return raw


def _positions(raw: object, crs: DeclaredCrs | None) -> _Line:
    """Positions in longitude and latitude."""
    listed = _listed(raw)
    points = np.array([_pair(position) for position in listed], dtype=float)
    has_heights = any(len(position) > 2 for position in listed)  # type: ignore[arg-type]
    _refuse_no_numbers(points)
    if crs is None:
        _refuse_misplaced(points)
        return _Line(points, has_heights)
    if not crs.is_projected:
        _refuse_misplaced(points)
    elif np.any(np.all(np.abs(points) <= [180.0, 90.0], axis=1)):
        raise GroundError(
            f"its crs member declares {crs.code} ({crs.name}), but the coordinates look like "
            "degrees",
            mend="Take the crs member out, or export it again in longitude and latitude",
            value=_told(points[0]),
        )
    moved = transformed(shapely.points(points), from_crs=crs.code, to_crs=crs.lon_lat)
    return _Line(shapely.get_coordinates(moved), has_heights)


def _pair(position: object) -> tuple[float, float]:
    """The first two numbers of a position."""
    if isinstance(position, list) and len(position) >= 2:
        x, y = position[:2]
        if type(x) in (int, float) and type(y) in (int, float):
            try:
                return float(x), float(y)
            except OverflowError:  # a whole number with hundreds of digits
                pass
    raise GroundError(
        "a position is not made of two numbers",
        mend="Write longitude, then latitude",
        value=repr(position)[:60],
    )


def _refuse_no_numbers(points: NDArray[np.float64]) -> None:
    wrong = np.flatnonzero(~np.all(np.isfinite(points), axis=1))
    if wrong.size:
        raise GroundError(
            f"position {int(wrong[0]) + 1} is not finite",
            mend="Draw that corner again",
            value=_told(points[wrong[0]]),
        )


def _refuse_misplaced(points: NDArray[np.float64]) -> None:
    """Refuse what is no longitude and latitude, and say what it looks like instead."""
    x, y = np.abs(points[:, 0]), np.abs(points[:, 1])
    wrong = np.flatnonzero((x > 180) | (y > 90))
    if wrong.size == 0:
        return
    first = int(wrong[0])
    if np.all((x <= 90) & (y <= 180)):
        raise GroundError(
            "longitude and latitude look swapped",
            mend="Write longitude first, or export it again as GeoJSON",
            value=_told(points[first]),
        )
    raise GroundError(
        "its coordinates are no longitude and latitude; they look like metres",
        mend="Export it again in longitude and latitude (WGS 84)",
        value=_told(points[first]),
    )


def _told(point: NDArray[np.float64]) -> str:
    return f"{point[0]:.10g}, {point[1]:.10g}"


def _line(raw: object, crs: DeclaredCrs | None) -> _Line:
    """A line of two positions or more."""
    line = _positions(raw, crs)
    if len(line.points) < 2:
        raise GroundError("a line has only one position", mend="Draw it again")
    return line


def _ring(raw: object, crs: DeclaredCrs | None) -> _Line:
    """A closed ring; a small gap is closed."""
    ring = _positions(raw, crs)
    if len(np.unique(ring.points, axis=0)) < 3:
        raise GroundError("a ring has fewer than three corners", mend="Draw it again")
    if np.array_equal(ring.points[0], ring.points[-1]):
        return ring
    closed = np.vstack([ring.points, ring.points[:1]])
    steps_m = np.asarray(_ELLIPSOID.line_lengths(closed[:, 0], closed[:, 1]))
    gap_m = float(steps_m[-1])
    if gap_m >= CLOSED_GAP_M or gap_m >= CLOSED_GAP_SHARE * float(np.sum(steps_m)):
        raise GroundError(
            f"a ring is not closed: its first and last corner lie {gap_m:.1f} m apart",
            mend="Repeat the first corner at the end, or draw the missing edge",
            value=_told(ring.points[-1]),
        )
    return _Line(closed, ring.has_heights, gap_m)


def _refuse_faulty(shape: shapely.Geometry) -> None:
    """Refuse what crosses itself, with the place; it is never repaired unasked."""
    if shape.is_valid:
        return
    fault, _, place = shapely.is_valid_reason(shape).rstrip("]").partition("[")
    told = FAULTS.get(fault, f"the shape is not right ({fault})")
    longitude, latitude = (float(number) for number in place.split()[:2])
    raise GroundError(
        f"{told} near longitude {longitude:.6f}, latitude {latitude:.6f}",
        mend="Move the corners there so that no two edges meet, and save it again",
        value=f"{longitude:.6f}, {latitude:.6f}",
    )
