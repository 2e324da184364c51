"""The JSON of a GeoJSON file: from the file to its features, before any shape is made."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from vrxapp.errors import GroundError, InputFileError

LARGEST_BYTES = 500_000_000
_EXPORT = "Export it again as GeoJSON"


@dataclass(frozen=True, slots=True, eq=False)
class JsonFeature:
    """One feature of a file: its geometry as JSON, and its fields."""

    geometry: Mapping[str, object]
    fields: Mapping[str, object]


@dataclass(frozen=True, slots=True, eq=False)
class JsonLayer:
    """The features of a file, and the object that holds them."""

    root: Mapping[str, object]
    features: tuple[JsonFeature, ...]


def geojson_text(path: Path) -> str:
    """A file as text, once it is known to be a file of a sensible size.

    Raises
    ------
    InputFileError
        If there is no such file, or it is empty, above 500 MB, or no UTF-8.
    """
    file = path.name or str(path)
    if path.is_dir():
        raise InputFileError("this is a folder", mend="Choose a file in it", file=file)
    if not path.is_file():
        raise InputFileError("there is no such file", mend="Check the name", file=file)
    size = path.stat().st_size
    if size == 0:
        raise InputFileError("the file is empty", mend=_EXPORT, file=file)
    if size > LARGEST_BYTES:
        raise InputFileError(
            f"the file has {size / 1e6:,.0f} MB, and {LARGEST_BYTES / 1e6:,.0f} MB can be read",
            mend="Leave out what lies outside the paddock, or simplify it",
            file=file,
        )
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputFileError(
            f"it is not UTF-8 text: byte {error.start + 1} does not fit",
            mend="Save it as GeoJSON in UTF-8",
            file=file,
        ) from error
    except OSError as error:
        raise InputFileError(
            f"it cannot be read: {error.strerror}", mend="Check that you may read it", file=file
        ) from error


def json_layer(text: str, *, file: str) -> JsonLayer:
    """The features in a text: of a collection, of one feature, or of a bare geometry.

    Raises
    ------
    InputFileError
        If the text is no GeoJSON, holds no feature, or a field is no value.
    GroundError
        If a feature has no geometry.
    """
    root = _json(text, file)
    rows = enumerate(_listed_features(root, file), start=1)
    return JsonLayer(root, tuple(_feature(raw, file, row) for row, raw in rows))


def _json(text: str, file: str) -> Mapping[str, object]:
    """The object that a JSON text holds."""
    try:
        root = json.loads(text)
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise InputFileError(
            f"it is cut short or damaged: from {place} on it is no JSON",
            mend=_EXPORT,
            file=file,
        ) from error
    except (ValueError, RecursionError) as error:  # a number or a nesting without measure
        raise InputFileError(
            "it is no JSON for a map: a number has no end, or brackets lie too deep in each other",
            mend=_EXPORT,
            file=file,
        ) from error
    if not isinstance(root, dict):
        raise InputFileError("it is JSON, but no GeoJSON", mend=_EXPORT, file=file)
    return root


def _listed_features(root: Mapping[str, object], file: str) -> list[object]:
    """The features of a collection, of a single feature, or of a bare geometry."""
    kind = root.get("type")
    if kind == "Feature":
        return [root]
    if kind != "FeatureCollection" and ("coordinates" in root or kind == "GeometryCollection"):
        return [{"type": "Feature", "geometry": root, "properties": None}]
    features = root.get("features")
    if kind != "FeatureCollection" or not isinstance(features, list):
        raise InputFileError(
            "it is JSON, but no GeoJSON: it has no features", mend=_EXPORT, file=file
        )
    if not features:
        raise InputFileError(
            "the layer is empty", mend="Export the layer that holds the shapes", file=file
        )
    return features


def _feature(raw: object, file: str, row: int) -> JsonFeature:
    """A feature with a geometry and usable fields."""
    if not isinstance(raw, dict) or raw.get("type") != "Feature":
        raise InputFileError(f"feature {row} is no feature", mend=_EXPORT, file=file, row=row)
    geometry, fields = raw.get("geometry"), raw.get("properties") or {}
    if geometry is None:
        raise GroundError(
            f"feature {row} has no geometry", mend="Draw it, or delete it", file=file, row=row
        )
    if not isinstance(geometry, dict) or not isinstance(fields, dict):
        raise InputFileError(
            f"feature {row} has no proper geometry or properties", mend=_EXPORT, file=file, row=row
        )
    for name, value in fields.items():
        try:
            json.dumps(value, allow_nan=False, ensure_ascii=False).encode()
        except ValueError:  # NaN, infinity, or half a character
            raise InputFileError(
                f"feature {row}: a field holds what is neither a number nor a text",
                mend="Write a number, a text or null",
                file=file,
                row=row,
                column=name,
                value=repr(value)[:60],
            ) from None
    return JsonFeature(geometry, fields)
