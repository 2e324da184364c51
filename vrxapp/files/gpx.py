"""GPX 1.1: waypoints and a route for a phone, and points, routes and tracks from one.

The coordinates of GPX are always longitude and latitude on WGS 84.
"""

from dataclasses import dataclass
from pathlib import Path
from xml.etree.ElementTree import Element, ElementTree, SubElement, indent

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, ReadBackError
from vrxapp.files.plain_xml import plain_xml
from vrxapp.files.raw_layer import RawLayer, chosen_layer
from vrxapp.files.safe_reading import told_failures
from vrxapp.files.write_aside import new_file
from vrxapp.ground.projected_crs import LON_LAT

_NAMESPACE = "http://www.topografix.com/GPX/1/1"
_DECIMALS = 8
"""Of a degree: a millimetre."""
_LAYERS = {"waypoints": "wpt", "routes": "rte", "tracks": "trk"}
_TEXTS = ("name", "desc", "type", "cmt")


@dataclass(frozen=True, slots=True, eq=False)
class Waypoints:
    """Points for a phone, one row each.

    Parameters
    ----------
    names, kinds, notes : tuple of str
        What each is called, what it is, and what else to know.
    longitude_degree, latitude_degree : ndarray of float
        Where, WGS 84. [degrees]
    on_route : ndarray of bool
        Whether the route leads past it, in the order of the rows.
    """

    names: tuple[str, ...]
    kinds: tuple[str, ...]
    notes: tuple[str, ...]
    longitude_degree: NDArray[np.float64]
    latitude_degree: NDArray[np.float64]
    on_route: NDArray[np.bool_]


def write_gpx(points: Waypoints, path: Path, *, title: str) -> None:
    """Write waypoints and the route past them, and read them back.

    Parameters
    ----------
    points : Waypoints
        What to write.
    path : Path
        File to write; an older one is replaced.
    title : str
        Name of the file's content and of the route.

    Raises
    ------
    ReadBackError
        If what was written is not what was to be; then nothing is put in place.
    WriteError
        If it cannot be written.
    """
    root = Element("gpx", {"version": "1.1", "creator": "vrxapp", "xmlns": _NAMESPACE})
    SubElement(SubElement(root, "metadata"), "name").text = _plain(title)
    rows = range(len(points.names))
    for row in rows:
        _add_point(root, "wpt", points, row)
    if np.any(points.on_route):
        route = SubElement(root, "rte")
        SubElement(route, "name").text = _plain(title)
        for row in rows:
            if points.on_route[row]:
                _add_point(route, "rtept", points, row)
    indent(root)
    with new_file(path) as aside:
        ElementTree(root).write(aside, encoding="utf-8", xml_declaration=True)
        _check(points, aside, file=path.name)


def read_gpx(path: Path, *, layer: str = "") -> RawLayer:
    """Waypoints, routes or tracks of a GPX file.

    Parameters
    ----------
    path : Path
        A ``.gpx``.
    layer : str, optional
        ``waypoints``, ``routes`` or ``tracks``, where it holds several kinds.

    Returns
    -------
    RawLayer
        Points, or one line for each route and each segment of a track.

    Raises
    ------
    InputFileError
        If it is no GPX, is damaged, holds nothing, or a position cannot be one.
    UnknownChoiceError
        If it holds several kinds and none was chosen.
    """
    root = _root(path)
    chosen = chosen_layer(_layers(root), layer, file=path.name)
    shapes: list[shapely.Geometry] = []
    fields: list[dict[str, object]] = []
    for number, element in enumerate(root.findall(_LAYERS[chosen]), start=1):
        for own in _shapes(element, path, number):
            shapes.append(own)
            fields.append({tag: (element.findtext(tag) or "").strip() or None for tag in _TEXTS})
    column: NDArray[np.object_] = np.empty(len(shapes), dtype=object)
    column[:] = shapes
    return RawLayer(path.name, LON_LAT, column, tuple(fields))


def gpx_layers(path: Path) -> tuple[str, ...]:
    """The kinds of shape that a GPX file holds."""
    return _layers(_root(path))


def gpx_crs(path: Path, layer: str) -> str:
    """The coordinate system of all GPX."""
    del path, layer
    return LON_LAT


def _root(path: Path) -> Element:
    with told_failures(path, "GPX"):
        content = path.read_bytes()
    return plain_xml(content, file=path.name, kind="GPX", roots=("gpx",))


def _layers(root: Element) -> tuple[str, ...]:
    return tuple(name for name, tag in _LAYERS.items() if root.find(tag) is not None)


def _shapes(element: Element, path: Path, number: int) -> list[shapely.Geometry]:
    """A point, or the lines of a route or track that have two points or more."""
    if element.tag == "wpt":
        return [shapely.points(*_position(element, path, number))]
    runs = (
        [element.findall("rtept")]
        if element.tag == "rte"
        else [segment.findall("trkpt") for segment in element.findall("trkseg")]
    )
    return [
        shapely.linestrings([_position(point, path, number) for point in run])
        for run in runs
        if len(run) > 1
    ]


def _position(element: Element, path: Path, number: int) -> tuple[float, float]:
    """Longitude and latitude of a point."""
    told = element.get("lon", ""), element.get("lat", "")
    try:
        longitude, latitude = float(told[0]), float(told[1])
    except ValueError:
        longitude = latitude = np.nan
    if not (abs(longitude) <= 180.0 and abs(latitude) <= 90.0):
        raise InputFileError(
            f"point {number}: longitude {told[0]!r}, latitude {told[1]!r} is no place",
            mend="Export it again as GPX",
            file=path.name,
            row=number,
            value=", ".join(told),
        )
    return longitude, latitude


def _add_point(parent: Element, tag: str, points: Waypoints, row: int) -> None:
    position = {
        "lat": f"{points.latitude_degree[row]:.{_DECIMALS}f}",
        "lon": f"{points.longitude_degree[row]:.{_DECIMALS}f}",
    }
    element = SubElement(parent, tag, position)
    for name, text in (
        ("name", points.names[row]),
        ("desc", points.notes[row]),
        ("type", points.kinds[row]),
    ):
        if text:
            SubElement(element, name).text = _plain(text)


def _plain(text: str) -> str:
    """Text without characters that XML cannot hold, blanks at its ends, and line breaks."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def _check(points: Waypoints, aside: Path, *, file: str) -> None:
    """Refuse a file that, read back, differs in number, name or place of its points."""
    read = read_gpx(aside, layer="waypoints")
    wanted = np.column_stack([points.longitude_degree, points.latitude_degree])
    found = shapely.get_coordinates(read.shapes)
    names = tuple(str(row["name"] or "") for row in read.fields)
    if names != tuple(map(_plain, points.names)) or not _same_places(wanted, found):
        raise _differs(file, "points")
    if np.any(points.on_route):
        (route,) = read_gpx(aside, layer="routes").shapes if np.sum(points.on_route) > 1 else [None]
        if route is not None and not _same_places(
            wanted[points.on_route], shapely.get_coordinates(route)
        ):
            raise _differs(file, "route")


def _same_places(wanted: NDArray[np.float64], found: NDArray[np.float64]) -> bool:
    """Whether places are the same to half the last written digit."""
    return wanted.shape == found.shape and bool(
        np.all(np.abs(wanted - found) <= 0.5001 * 10.0**-_DECIMALS)
    )


def _differs(file: str, what: str) -> ReadBackError:
    return ReadBackError(
        f"the {what} in the written file are not those of the plan",
        mend="Nothing was put in place. Write it again; if it happens again, report it",
        file=file,
    )
