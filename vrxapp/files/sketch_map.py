"""A sketch of a paddock for paper, as inline SVG: zones, exclusions, and numbered stops."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from vrxapp.ground.exclusions import excluded_shape
from vrxapp.ground.ground_points import GroundPoint
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zones import Zones

WIDE_PX, HIGH_PX = 1000.0, 760.0
_MARGIN_PX = 40.0
_STOP_PX = 13.0
_POINT_PX = 9.0
_STYLE = """
.zone { fill: none; stroke: #666; stroke-width: 1.2; stroke-dasharray: 7 4; }
.exclusion { fill: url(#hatch); stroke: #444; stroke-width: 1; }
.boundary { fill: none; stroke: #000; stroke-width: 2.6; }
.walk { fill: none; stroke: #000; stroke-width: 1.3; stroke-dasharray: 2 3; }
.stop { fill: #fff; stroke: #000; stroke-width: 1.6; }
.point { fill: #000; }
text { font-family: sans-serif; font-size: 14px; fill: #000; text-anchor: middle; }
.zone-name { font-size: 19px; fill: #555; font-style: italic; }
.beside, .halo { text-anchor: start; font-weight: bold; }
.halo { stroke: #fff; stroke-width: 4px; stroke-linejoin: round; }
"""


@dataclass(frozen=True, slots=True)
class _Frame:
    """Turns metres into the picture's units, north upward."""

    west_m: float
    north_m: float
    per_metre: float

    def place(self, easting_m: float, northing_m: float) -> tuple[float, float]:
        return (
            _MARGIN_PX + (easting_m - self.west_m) * self.per_metre,
            _MARGIN_PX + (self.north_m - northing_m) * self.per_metre,
        )


def sketch_map(
    paddock: Paddock,
    zones: Zones,
    stops_m: NDArray[np.float64],
    points: tuple[GroundPoint, ...] = (),
) -> Element:
    """The paddock with its zones, exclusions, ground points and stops in walking order.

    Parameters
    ----------
    paddock : Paddock
        Boundary and exclusions.
    zones : Zones
        Their outlines and names are drawn.
    stops_m : ndarray of float
        Easting and northing of each stop, one row each, in walking order. [m]
    points : tuple of GroundPoint, optional
        Gates and others; those far outside are left off.

    Returns
    -------
    Element
        An ``svg`` with a scale bar and a north arrow, black on white.
    """
    near = [p for p in points if _is_near(paddock, p)]
    frame, wide, high = _framed(paddock, near)
    picture = Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {wide:.0f} {high:.0f}",
            "role": "img",
            "aria-label": f"Sketch of {paddock.name} with {len(stops_m)} numbered stops",
        },
    )
    SubElement(picture, "style").text = _STYLE
    _add_hatch(picture)
    for shape in zones.shapes:
        _add_shape(picture, shapely.intersection(shape, paddock.boundary), frame, "zone")
    for exclusion in paddock.exclusions:
        inside = shapely.intersection(excluded_shape(exclusion), paddock.boundary)
        _add_shape(picture, inside, frame, "exclusion")
    _add_shape(picture, paddock.boundary, frame, "boundary")
    _add_zone_names(picture, zones, paddock, frame)
    _add_stops(picture, stops_m, frame)
    for point in near:
        _add_point(picture, point, frame)
    _add_scale_and_north(picture, frame, wide, high)
    return picture


def _is_near(paddock: Paddock, point: GroundPoint) -> bool:
    """Whether a point lies so near that the paddock stays large in the picture."""
    west, south, east, north = paddock.boundary.bounds
    away_m = paddock.boundary.distance(shapely.Point(point.easting_m, point.northing_m))
    return bool(away_m <= 0.25 * max(east - west, north - south))


def _framed(paddock: Paddock, points: Iterable[GroundPoint]) -> tuple[_Frame, float, float]:
    """The frame around paddock and points, and the size of the picture."""
    places = np.array([(p.easting_m, p.northing_m) for p in points], dtype=float).reshape(-1, 2)
    west, south, east, north = paddock.boundary.bounds
    low = np.min(np.vstack([places, [west, south]]), axis=0)
    high = np.max(np.vstack([places, [east, north]]), axis=0)
    span = high - low
    per_metre = min(
        (WIDE_PX - 2 * _MARGIN_PX) / float(span[0]), (HIGH_PX - 2 * _MARGIN_PX) / float(span[1])
    )
    size = span * per_metre + 2 * _MARGIN_PX
    return _Frame(float(low[0]), float(high[1]), per_metre), float(size[0]), float(size[1]) + 20.0


def _add_hatch(picture: Element) -> None:
    pattern = SubElement(
        SubElement(picture, "defs"),
        "pattern",
        {"id": "hatch", "width": "8", "height": "8", "patternUnits": "userSpaceOnUse"},
    )
    SubElement(pattern, "path", {"d": "M0 8 8 0M0 0 8 8", "stroke": "#888", "fill": "none"})


def _add_shape(picture: Element, shape: BaseGeometry, frame: _Frame, kind: str) -> None:
    """Add the polygons of a shape with their holes as one path."""
    rings = [
        ring
        for part in shapely.get_parts(shape)
        if part.geom_type == "Polygon"
        for ring in (part.exterior, *part.interiors)
    ]
    text = "".join(f"M{_listed(ring, frame)}Z" for ring in rings)
    if text:
        SubElement(picture, "path", {"class": kind, "d": text, "fill-rule": "evenodd"})


def _listed(line: BaseGeometry, frame: _Frame) -> str:
    corners = shapely.get_coordinates(line)
    places = (frame.place(float(x), float(y)) for x, y in corners)
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in places)


def _add_zone_names(picture: Element, zones: Zones, paddock: Paddock, frame: _Frame) -> None:
    for name, shape in zip(zones.names, zones.shapes, strict=True):
        inside = shapely.intersection(shape, paddock.boundary)
        if not inside.is_empty:
            spot = inside.representative_point()
            _add_text(picture, name, frame.place(spot.x, spot.y), "zone-name")


def _add_stops(picture: Element, stops_m: NDArray[np.float64], frame: _Frame) -> None:
    """Add the way from stop to stop, then the stops over it."""
    places = [frame.place(float(x), float(y)) for x, y in stops_m]
    walk = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
    SubElement(picture, "polyline", {"class": "walk", "points": walk})
    for number, (x, y) in enumerate(places, start=1):
        circle = {"class": "stop", "cx": f"{x:.1f}", "cy": f"{y:.1f}", "r": f"{_STOP_PX:g}"}
        SubElement(picture, "circle", circle)
        _add_text(picture, str(number), (x, y + 5.0), "number")


def _add_point(picture: Element, point: GroundPoint, frame: _Frame) -> None:
    """Add a filled diamond with kind and name beside it."""
    x, y = frame.place(point.easting_m, point.northing_m)
    r = _POINT_PX
    corners = f"{x:.1f},{y - r:.1f} {x + r:.1f},{y:.1f} {x:.1f},{y + r:.1f} {x - r:.1f},{y:.1f}"
    SubElement(picture, "polygon", {"class": "point", "points": corners})
    same = point.name.casefold() == str(point.kind)
    told = point.name if same else f"{point.name} ({point.kind})"
    for kind in ("halo", "beside"):
        _add_text(picture, told, (x + r + 4, y + 5), kind)


def _add_text(picture: Element, text: str, place: tuple[float, float], kind: str) -> None:
    at = {"class": kind, "x": f"{place[0]:.1f}", "y": f"{place[1]:.1f}"}
    SubElement(picture, "text", at).text = text


def _add_scale_and_north(picture: Element, frame: _Frame, wide: float, high: float) -> None:
    """Add a bar of a round length, and an arrow to grid north."""
    longest_m = 0.25 * wide / frame.per_metre
    power = 10.0 ** math.floor(math.log10(longest_m))
    bar_m = power * max(step for step in (1, 2, 5) if step * power <= longest_m)
    left, base, right = 20.0, high - 12.0, 20.0 + bar_m * frame.per_metre
    bar = f"M{left:.1f} {base - 6:.1f}V{base:.1f}H{right:.1f}V{base - 6:.1f}"
    SubElement(picture, "path", {"d": bar, "fill": "none", "stroke": "#000", "stroke-width": "2"})
    _add_text(picture, f"{bar_m:g} m", ((left + right) / 2, base - 8), "number")
    x = wide - 24.0
    arrow = f"M{x:.1f} 10 {x + 9:.1f} 40 {x:.1f} 33 {x - 9:.1f} 40Z"
    SubElement(picture, "path", {"d": arrow, "fill": "#000"})
    _add_text(picture, "N", (x, 56.0), "number")
