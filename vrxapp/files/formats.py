"""Every format of shapes that can be opened, one line each, behind one door.

What comes out is the same from all of them: longitude and latitude on WGS 84, two-dimensional,
valid, and a note of everything that was done on the way.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from vrxapp.errors import InputFileError, Note
from vrxapp.files import coordinates_csv, geopackage, gpx, kml, shapefile_reading, shapefile_set
from vrxapp.files.geojson import read_geojson
from vrxapp.files.geojson_crs import declared_crs
from vrxapp.files.geojson_text import geojson_text, json_layer
from vrxapp.files.geometry_repair import lon_lat_features, refuse_too_large
from vrxapp.files.raw_layer import RawLayer, chosen_layer
from vrxapp.files.safe_reading import (
    checked_head,
    is_text,
    refuse_leading_name,
    refuse_no_file,
    starts_with,
    text_starts_with,
)
from vrxapp.files.shape_crs import told_crs
from vrxapp.ground.features import Features
from vrxapp.ground.projected_crs import LON_LAT


@dataclass(frozen=True, slots=True)
class ShapeFormat:
    """A format of shapes.

    Parameters
    ----------
    name : str
        What people call it.
    suffixes : tuple of str
        With the dot, in lower case.
    is_right : callable
        Whether the first bytes of a file are those of the format.
    read : callable
        Features of a layer from a path, a layer's name, and the coordinate system to take
        where the file names none.
    layers : callable
        Names of the layers in a file.
    crs : callable
        Coordinate system that a layer of a file names, empty for none.
    """

    name: str
    suffixes: tuple[str, ...]
    is_right: Callable[[bytes], bool]
    read: Callable[[Path, str, str], Features]
    layers: Callable[[Path], tuple[str, ...]]
    crs: Callable[[Path, str], str]


def read_features(path: Path, *, layer: str = "", crs: str = "") -> Features:
    """The features of a file in any known format.

    Parameters
    ----------
    path : Path
        GeoJSON, Shapefile (plain or zipped), GeoPackage, KML, KMZ, or a table in plain text
        with longitude and latitude; of 500 MB at most.
    layer : str, optional
        Which of its layers, where it holds several.
    crs : str, optional
        Coordinate system to take where the file names none, for instance ``"EPSG:7855"``; a
        GeoJSON that names none is in longitude and latitude.

    Returns
    -------
    Features
        Shapes in longitude and latitude on WGS 84, two-dimensional and valid, with their
        fields, and a note of everything that was done. [degrees]

    Raises
    ------
    InputFileError
        If the file is not what its name says, damaged, too large, or not harmless.
    GroundError
        If a shape or the coordinate system cannot be right.
    UnknownChoiceError
        If it holds several layers and none is chosen, or not the one chosen.
    """
    return opened_format(path).read(path, layer, crs)


def opened_format(path: Path) -> ShapeFormat:
    """The format of a file, by its suffix and its first bytes.

    Parameters
    ----------
    path : Path
        The file.

    Raises
    ------
    InputFileError
        If there is no such file, its suffix is unknown, or its first bytes are those of
        something else.
    """
    refuse_leading_name(path)
    refuse_no_file(path)
    suffix = path.suffix.lower()
    for one in _FORMATS:
        if suffix in one.suffixes:
            checked_head(path, is_right=one.is_right, kind=one.name)
            return one
    known = ", ".join(suffix for one in _FORMATS for suffix in one.suffixes)
    raise InputFileError(
        f"files of the kind {suffix!r} are not read here" if suffix else "its name has no suffix",
        mend=f"Choose one of {known}",
        file=path.name,
    )


def known_formats() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Each format's name and suffixes, for a dialog that opens files."""
    return tuple((one.name, one.suffixes) for one in _FORMATS)


def _mended(read: Callable[..., RawLayer]) -> Callable[[Path, str, str], Features]:
    """A reader of raw layers as one of finished features."""
    return lambda path, layer, crs: lon_lat_features(_told(read(path, layer=layer), crs))


def _told(raw: RawLayer, crs: str) -> RawLayer:
    """A layer with the coordinate system that was told, where its file names none."""
    if raw.crs or not crs:
        return raw
    note = Note(
        f"it names no coordinate system; {told_crs(crs)} was taken, as you said",
        mend="Look at the map whether it lies where it should",
        file=raw.file,
    )
    return replace(raw, crs=crs, notes=(*raw.notes, note))


def _geojson(path: Path, layer: str, crs: str) -> Features:
    """The features of a GeoJSON, which has one layer and is checked by its own reader."""
    del crs  # one that names none is in longitude and latitude
    chosen_layer(_one_layer(path), layer, file=path.name)
    features = read_geojson(path)
    refuse_too_large(features.shapes, file=path.name)
    return features


def _one_layer(path: Path) -> tuple[str, ...]:
    return (path.stem,)


def _geojson_crs(path: Path, layer: str) -> str:
    del layer  # there is one
    declared = declared_crs(json_layer(geojson_text(path), file=path.name).root)
    return declared.code if declared is not None else LON_LAT


_FORMATS = (
    ShapeFormat(
        "GeoJSON",
        (".geojson", ".json"),
        text_starts_with(b"{"),
        _geojson,
        _one_layer,
        _geojson_crs,
    ),
    ShapeFormat(
        shapefile_set.SHAPEFILE,
        (".shp",),
        starts_with(shapefile_set.MAGIC),
        _mended(shapefile_reading.read_shapefile),
        shapefile_reading.shapefile_layers,
        shapefile_reading.shapefile_crs,
    ),
    ShapeFormat(
        "zipped Shapefile",
        (".zip",),
        starts_with(b"PK\x03\x04", b"PK\x05\x06"),
        _mended(shapefile_reading.read_zipped_shapefile),
        shapefile_reading.zipped_shapefile_layers,
        shapefile_reading.zipped_shapefile_crs,
    ),
    ShapeFormat(
        geopackage.GEOPACKAGE,
        (".gpkg",),
        starts_with(geopackage.MAGIC),
        _mended(geopackage.read_geopackage),
        geopackage.geopackage_layers,
        geopackage.geopackage_crs,
    ),
    ShapeFormat(
        "KML",
        (".kml",),
        text_starts_with(b"<"),
        _mended(kml.read_kml),
        kml.kml_layers,
        kml.kml_crs,
    ),
    ShapeFormat(
        "KMZ",
        (".kmz",),
        starts_with(b"PK\x03\x04", b"PK\x05\x06"),
        _mended(kml.read_kml),
        kml.kml_layers,
        kml.kml_crs,
    ),
    ShapeFormat(
        "GPX",
        (".gpx",),
        text_starts_with(b"<"),
        _mended(gpx.read_gpx),
        gpx.gpx_layers,
        gpx.gpx_crs,
    ),
    ShapeFormat(
        "table with coordinates",
        (".csv", ".txt"),
        is_text,
        _mended(coordinates_csv.read_coordinates_csv),
        coordinates_csv.coordinates_csv_layers,
        coordinates_csv.coordinates_csv_crs,
    ),
)
