"""The shape of one placemark: points, lines and polygons from KML's lists of coordinates."""

import math
from collections.abc import Iterator
from xml.etree.ElementTree import Element

import numpy as np
import pyproj
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError
from vrxapp.files.geojson_shapes import CLOSED_GAP_M, CLOSED_GAP_SHARE

Told = tuple[str, str]
"""What was done for the user, and what to look at."""

_ELLIPSOID = pyproj.Geod(ellps="GRS80")
_SHAPES = ("Point", "LineString", "LinearRing", "Polygon", "MultiGeometry", "Model")
_DRAW_AGAIN = "Draw it again, and export it again as KML"


def shapes_from_kml(placemark: Element) -> tuple[list[shapely.Geometry], list[Told]]:
    """The shapes of a placemark, one for each kind in it, and what was done for the user.

    Raises
    ------
    GroundError
        If a shape has no proper coordinates, or its outline is open.
    """
    told: list[Told] = []
    by_kind: dict[str, list[shapely.Geometry]] = {}
    for element in _plain_elements(placemark):
        shape = _shape(element, told)
        by_kind.setdefault(shape.geom_type, []).append(shape)
    if len(by_kind) > 1:
        kinds = ", ".join(sorted(by_kind))
        told.append((f"it holds several kinds of shape ({kinds}), each now a feature", ""))
    return [_together(shapes) for shapes in by_kind.values()], told


def _plain_elements(element: Element) -> Iterator[Element]:
    """The shapes in an element, with groups of shapes opened."""
    for child in element:
        if child.tag == "MultiGeometry":
            yield from _plain_elements(child)
        elif child.tag in _SHAPES or child.tag in ("Track", "MultiTrack"):
            yield child


def _shape(element: Element, told: list[Told]) -> shapely.Geometry:
    """One shape."""
    if element.tag == "Point":
        return shapely.Point(_positions(element.find("coordinates"))[0])
    if element.tag == "LineString":
        points = _positions(element.find("coordinates"))
        if len(points) < 2:
            raise GroundError("a line has only one position", mend=_DRAW_AGAIN)
        return shapely.LineString(points)
    if element.tag == "LinearRing":
        return shapely.LineString(_ring(element, told))
    if element.tag == "Polygon":
        return _polygon(element, told)
    raise GroundError(
        f"a shape of type {element.tag!r} cannot be used",
        mend="Save it as a polygon, a line or a point",
        value=element.tag,
    )


def _polygon(element: Element, told: list[Told]) -> shapely.Polygon:
    """An outline with its holes."""
    outline = element.find("outerBoundaryIs/LinearRing")
    if outline is None:
        raise GroundError("a polygon has no outline", mend=_DRAW_AGAIN)
    holes = element.findall("innerBoundaryIs/LinearRing")
    return shapely.Polygon(_ring(outline, told), [_ring(hole, told) for hole in holes])


def _ring(element: Element, told: list[Told]) -> NDArray[np.float64]:
    """A closed ring; a small gap is closed and told."""
    points = _positions(element.find("coordinates"))
    if len(np.unique(points[:, :2], axis=0)) < 3:
        raise GroundError("a ring has fewer than three corners", mend=_DRAW_AGAIN)
    if np.array_equal(points[0, :2], points[-1, :2]):
        return points
    closed = np.vstack([points, points[:1]])
    steps_m = np.asarray(_ELLIPSOID.line_lengths(closed[:, 0], closed[:, 1]))
    gap_m = float(steps_m[-1])
    if not (gap_m < CLOSED_GAP_M and gap_m < CLOSED_GAP_SHARE * float(np.sum(steps_m))):
        raise GroundError(
            f"a ring is not closed: its first and last corner lie {gap_m:.1f} m apart",
            mend="Repeat the first corner at the end, or draw the missing edge",
            value=f"{points[-1, 0]:.10g}, {points[-1, 1]:.10g}",
        )
    told.append(
        (f"a ring was open by {gap_m:.2f} m and was closed", "Look at that corner on the map")
    )
    return closed


def _positions(element: Element | None) -> NDArray[np.float64]:
    """Positions as rows of longitude, latitude and, where all have one, height."""
    words = (element.text or "").split() if element is not None else []
    if not words:
        raise GroundError("it has no coordinates", mend=_DRAW_AGAIN)
    rows = [_numbers(word) for word in words]
    width = min(len(row) for row in rows)
    return np.array([row[:width] for row in rows], dtype=float)


def _numbers(word: str) -> list[float]:
    """Two or three numbers parted by commas."""
    try:
        numbers = [float(text) for text in word.split(",")]
    except ValueError:
        numbers = []
    if len(numbers) not in (2, 3) or not all(map(math.isfinite, numbers)):
        raise GroundError(
            "a position is not longitude,latitude or longitude,latitude,height",
            mend=_DRAW_AGAIN,
            value=word[:60],
        )
    return numbers


def _together(shapes: list[shapely.Geometry]) -> shapely.Geometry:
    """Shapes of one kind as one."""
    if len(shapes) == 1:
        return shapes[0]
    together = {
        "Point": shapely.multipoints,
        "LineString": shapely.multilinestrings,
        "Polygon": shapely.multipolygons,
    }
    return together[shapes[0].geom_type](shapes)
