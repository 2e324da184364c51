"""KML and KMZ: placemarks with their names, read as plain XML and nothing else.

Links to other files, pictures and styles are never followed. The coordinates of KML are
always longitude and latitude on WGS 84.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from xml.etree.ElementTree import Element

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError, InputFileError, Note
from vrxapp.files.kml_shapes import shapes_from_kml
from vrxapp.files.plain_xml import plain_xml
from vrxapp.files.raw_layer import RawLayer, chosen_layer
from vrxapp.files.safe_reading import told_failures
from vrxapp.files.zip_guard import guarded_zip, unpacked_bytes, wanted_entries
from vrxapp.ground.projected_crs import LON_LAT

_EXPORT = "Export it again as KML"
_FOLDERS = ("Document", "Folder")


@dataclass(frozen=True, slots=True, eq=False)
class _Placemark:
    """A placemark, its number in the file from 1, and the folder it lies in."""

    layer: str
    row: int
    element: Element


def read_kml(path: Path, *, layer: str = "") -> RawLayer:
    """The placemarks of a KML file or of the KML in a KMZ archive.

    Parameters
    ----------
    path : Path
        A ``.kml`` or ``.kmz``.
    layer : str, optional
        Name of the folder, where there are several with placemarks.

    Returns
    -------
    RawLayer
        Shapes in longitude and latitude, with the name and the own data of each.

    Raises
    ------
    InputFileError
        If it is no KML, damaged, defines entities, or holds no placemark.
    GroundError
        If a shape cannot be read; the row is the placemark.
    UnknownChoiceError
        If several folders hold placemarks and none is chosen.
    """
    root = _root(path)
    placemarks = _placemarks(root, path)
    names = tuple(dict.fromkeys(placemark.layer for placemark in placemarks))
    chosen = chosen_layer(names, layer, file=path.name)
    return _raw_layer([p for p in placemarks if p.layer == chosen], _link_notes(root, path), path)


def kml_layers(path: Path) -> tuple[str, ...]:
    """The folders that hold placemarks, in the order of the file."""
    return tuple(dict.fromkeys(one.layer for one in _placemarks(_root(path), path)))


def kml_crs(path: Path, layer: str) -> str:
    """The coordinate system of all KML."""
    del path, layer
    return LON_LAT


def _root(path: Path) -> Element:
    """The XML of a file, or of the first KML in an archive."""
    if path.suffix.lower() == ".kmz":
        return _xml(_kml_in_archive(path), path.name)
    with told_failures(path, "KML"):
        return _xml(path.read_bytes(), path.name)


def _kml_in_archive(path: Path) -> bytes:
    """The main KML of a KMZ: the first in its list."""
    with guarded_zip(path) as archive:
        entries = wanted_entries(archive, ".kml")
        if not entries:
            raise InputFileError("there is no .kml in the archive", mend=_EXPORT, file=path.name)
        return unpacked_bytes(archive, entries[0], file=path.name)


def _xml(content: bytes, file: str) -> Element:
    """The root element."""
    return plain_xml(content, file=file, kind="KML", roots=("kml", *_FOLDERS, "Placemark"))


def _placemarks(root: Element, path: Path) -> tuple[_Placemark, ...]:
    """Every placemark, with the innermost folder around it."""
    found = [
        _Placemark(layer, row, element)
        for row, (layer, element) in enumerate(_walk(root, path.stem), start=1)
    ]
    if not found:
        raise InputFileError(
            "it holds no placemark",
            mend="Export the boundary or zones themselves, not a link or a picture of them",
            file=path.name,
        )
    return tuple(found)


def _walk(element: Element, layer: str) -> Iterator[tuple[str, Element]]:
    """Placemarks below an element with the name of their folder."""
    for child in element if element.tag != "Placemark" else [element]:
        if child.tag == "Placemark":
            yield layer, child
        elif child.tag in _FOLDERS:
            yield from _walk(child, (child.findtext("name") or "").strip() or layer)


def _link_notes(root: Element, path: Path) -> tuple[Note, ...]:
    """What lies elsewhere and was not fetched."""
    links = sum(1 for _ in root.iter("NetworkLink"))
    if not links:
        return ()
    return (
        Note(
            f"it links to {links} other files or addresses, and they were not opened",
            mend="If the shapes lie there, save them into the file itself",
            file=path.name,
        ),
    )


def _raw_layer(placemarks: list[_Placemark], notes: tuple[Note, ...], path: Path) -> RawLayer:
    """The shapes of placemarks; one with several kinds of shape becomes several features."""
    shapes: list[shapely.Geometry | None] = []
    fields: list[dict[str, object]] = []
    told = list(notes)
    for placemark in placemarks:
        try:
            own, own_notes = shapes_from_kml(placemark.element)
        except GroundError as error:
            raise _placed(error, placemark, path) from error
        shapes += own or [None]
        fields += [_fields(placemark.element)] * max(len(own), 1)
        told += [
            Note(f"placemark {placemark.row}: {text}", mend=mend, file=path.name, row=placemark.row)
            for text, mend in own_notes
        ]
    column: NDArray[np.object_] = np.empty(len(shapes), dtype=object)
    column[:] = shapes
    return RawLayer(path.name, LON_LAT, column, tuple(fields), tuple(told))


def _placed(error: GroundError, placemark: _Placemark, path: Path) -> GroundError:
    """The same error with its file and placemark."""
    name = (placemark.element.findtext("name") or "").strip()
    called = f"placemark {placemark.row} ({name})" if name else f"placemark {placemark.row}"
    return GroundError(
        f"{called}: {error.note.message}",
        mend=error.note.mend,
        file=path.name,
        row=placemark.row,
        value=error.note.value,
    )


def _fields(element: Element) -> dict[str, object]:
    """The name of a placemark and the data that its maker gave it."""
    own = [
        (item.get("name", ""), item.findtext("value") if item.tag == "Data" else item.text)
        for item in element.iter()
        if item.tag in ("Data", "SimpleData")
    ]
    fields: dict[str, object] = {name: (text or "").strip() or None for name, text in own if name}
    name = (element.findtext("name") or "").strip()
    return {"name": name or None, **fields}
