"""GeoJSON as RFC 7946 has it: longitude and latitude on WGS 84.

Reading and writing use the plain JSON reader of Python, so that every fault can be told
with its feature; what was written is read back with GDAL.
"""

import json
import math
import warnings
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError, Note, ReadBackError, WriteError
from vrxapp.files.file_checks import WrittenRates
from vrxapp.files.geojson_crs import DeclaredCrs, declared_crs
from vrxapp.files.geojson_shapes import JsonShape, shape_from_json
from vrxapp.files.geojson_text import geojson_text, json_layer
from vrxapp.files.write_aside import new_file
from vrxapp.ground.features import Features
from vrxapp.spreading.rate_map import RateMap

GEOJSON_UNIT = "kg/ha"
"""The unit that the name of the rate's field says."""
DECIMALS = 11
"""Decimals of a written coordinate, about a thousandth of a millimetre.

A corner that neighbours share is the same number in both, so it is rounded to the same
number and stays shared. The map's lines are drawn on a grid of one millimetre: a thousandth
of that moves no corner across an edge, and no sliver's area by 0.01 %.
"""

_AGAIN = "Write it again; if it happens again, report it"


def read_geojson(path: Path) -> Features:
    """The features of a GeoJSON file, each checked.

    Parameters
    ----------
    path : Path
        A FeatureCollection, a Feature or a bare geometry, in UTF-8, of 500 MB at most.

    Returns
    -------
    Features
        Shapes in longitude and latitude, two-dimensional and valid, with their fields. Notes
        tell of heights left out, rings closed, and another coordinate system turned into
        longitude and latitude.

    Raises
    ------
    InputFileError
        If there is no such file, or it is no GeoJSON in UTF-8, too large, or empty.
    GroundError
        If a shape cannot be right: no geometry, no numbers, metres, swapped longitude and
        latitude, an open ring, an outline that crosses itself. The row is the feature.
    """
    return _features_from(geojson_text(path), path.name)


def write_geojson(rate_map: RateMap, path: Path) -> None:
    """Write a map as a FeatureCollection, one feature a part.

    Fields are ``id``, ``zone``, ``use``, ``rate_kg_ha``, ``unit`` and ``product``; none is
    ever missing. Outlines run counter-clockwise.

    Parameters
    ----------
    rate_map : RateMap
        The map, rates in kg/ha.
    path : Path
        File to write; an older one is replaced once the new one is whole.

    Raises
    ------
    WriteError
        If a rate or a shape cannot stand in such a file, or the disk refuses.
    """
    _refuse_map(rate_map, path.name)
    content = _content(rate_map).encode()
    with new_file(path) as aside:
        aside.write_bytes(content)


def read_geojson_rates(path: Path) -> WrittenRates:
    """Read a written map back with GDAL.

    Parameters
    ----------
    path : Path
        A file of `write_geojson`.

    Returns
    -------
    WrittenRates
        Shapes, rates, labels and uses, in the order of the features.

    Raises
    ------
    ReadBackError
        If GDAL cannot read the file or warns of it, or a field is missing.
    """
    import pyogrio  # brings pandas, so only when a file is read back
    import pyogrio.raw

    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        try:  # a zone that is called like a date stays a text
            meta, _, shapes, columns = pyogrio.raw.read(path, DATE_AS_STRING="YES")
        except (RuntimeError, ValueError, OSError) as error:
            raise ReadBackError(
                f"it cannot be read back: {error}", mend=_AGAIN, file=path.name
            ) from error
    if said:
        raise ReadBackError(f"the reader warns: {said[0].message}", mend=_AGAIN, file=path.name)
    fields = {str(name): column for name, column in zip(meta["fields"], columns, strict=True)}
    units, products = _column(fields, "unit", path), _column(fields, "product", path)
    return WrittenRates(
        reader=f"GDAL {'.'.join(map(str, pyogrio.__gdal_version__))}",
        unit=_only(units, "unit", path),
        shapes=np.asarray(shapely.from_wkb(shapes), dtype=object),
        labels=tuple(map(str, _column(fields, "zone", path))),
        rates=_numbers(_column(fields, "rate_kg_ha", path)),
        uses=tuple(map(str, _column(fields, "use", path))),
        product=_only(products, "product", path),
    )


def _features_from(text: str, file: str) -> Features:
    """The features in the text of a file."""
    layer = json_layer(text, file=file)
    try:
        crs = declared_crs(layer.root)
    except GroundError as error:
        raise _placed(error, file, None) from error
    read = []
    for row, feature in enumerate(layer.features, start=1):
        try:
            read.append(shape_from_json(feature.geometry, crs))
        except GroundError as error:
            raise _placed(error, file, row) from error
    shapes = np.empty(len(read), dtype=object)
    shapes[:] = [one.shape for one in read]
    fields = tuple(feature.fields for feature in layer.features)
    return Features(file, shapes, fields, _notes(read, crs, file))


def _placed(error: GroundError, file: str, row: int | None) -> GroundError:
    """The same error with its file and feature."""
    note = error.note
    message = note.message if row is None else f"feature {row}: {note.message}"
    return GroundError(
        message, mend=note.mend, file=file, row=row, column=note.column, value=note.value
    )


def _notes(read: list[JsonShape], crs: DeclaredCrs | None, file: str) -> tuple[Note, ...]:
    """What was done for the user."""
    notes = []
    if crs is not None:
        notes.append(
            Note(
                f"its coordinates were turned from {crs.code} ({crs.name}) into longitude and "
                "latitude",
                file=file,
            )
        )
    with_heights = sum(one.has_heights for one in read)
    if with_heights:
        notes.append(Note(f"heights are left out, in {with_heights} of its features", file=file))
    notes += [
        Note(
            f"feature {row}: a ring was open by {gap_m:.2f} m and was closed",
            mend="Look at that corner on the map",
            file=file,
            row=row,
        )
        for row, one in enumerate(read, start=1)
        for gap_m in one.closed_gaps_m
    ]
    return tuple(notes)


def _refuse_map(rate_map: RateMap, file: str) -> None:
    """Refuse what cannot stand in such a file."""
    if rate_map.unit != GEOJSON_UNIT:
        raise WriteError(
            f"the rates are in {rate_map.unit}",
            mend=f"This file holds rates in {GEOJSON_UNIT}",
            file=file,
        )
    if len(rate_map.shapes) == 0:
        raise WriteError("there is no part to write", mend="Give a zone a rate", file=file)
    bad_rate = ~(np.isfinite(rate_map.rates) & (rate_map.rates >= 0))
    bad_shape = np.array([not _is_sound(shape) for shape in rate_map.shapes])
    for wrong, what, field in (
        (bad_rate, "a rate that is no number from 0 up", "rate_kg_ha"),
        (bad_shape, "no valid polygon in longitude and latitude", "geometry"),
    ):
        if np.any(wrong):
            row = int(np.argmax(wrong))
            raise WriteError(
                f"part {row + 1} ({rate_map.labels[row]!r}) has {what}",
                mend="Give the zone a rate, or draw it again",
                file=file,
                row=row + 1,
                column=field,
                value=str(rate_map.rates[row]) if field == "rate_kg_ha" else "",
            )


def _is_sound(shape: shapely.Geometry) -> bool:
    if shape.geom_type not in ("Polygon", "MultiPolygon") or shape.is_empty or not shape.is_valid:
        return False
    west, south, east, north = shape.bounds
    return bool(-180 <= west <= east <= 180 and -90 <= south <= north <= 90)


def _content(rate_map: RateMap) -> str:
    """The text of the file, one feature a line."""
    plain = shapely.force_2d(shapely.orient_polygons(rate_map.shapes, exterior_cw=False))
    rounded = shapely.transform(plain, lambda points: np.round(points, DECIMALS))
    lines = [
        json.dumps(
            {
                "type": "Feature",
                "geometry": shapely.geometry.mapping(shape),
                "properties": {
                    "id": row + 1,
                    "zone": rate_map.labels[row],
                    "use": str(rate_map.uses[row]),
                    "rate_kg_ha": float(rate_map.rates[row]),
                    "unit": rate_map.unit,
                    "product": rate_map.product,
                },
            },
            ensure_ascii=False,
            allow_nan=False,
            separators=(",", ":"),
        )
        for row, shape in enumerate(rounded)
    ]
    return '{"type":"FeatureCollection","features":[\n' + ",\n".join(lines) + "\n]}\n"


def _column(
    fields: Mapping[str, NDArray[np.object_]], name: str, path: Path
) -> NDArray[np.object_]:
    if name not in fields:
        raise ReadBackError("a field is missing", mend=_AGAIN, file=path.name, column=name)
    return fields[name]


def _only(values: NDArray[np.object_], name: str, path: Path) -> str:
    """The one value that all features share."""
    found = {str(value) for value in values}
    if len(found) != 1:
        raise ReadBackError(
            f"it holds {len(found)} values instead of one",
            mend=_AGAIN,
            file=path.name,
            column=name,
        )
    return found.pop()


def _numbers(column: NDArray[np.object_]) -> NDArray[np.float64]:
    """A column as numbers; NaN for what is none."""
    if column.dtype.kind in "iuf":
        return column.astype(np.float64)
    return np.full(len(column), math.nan)
