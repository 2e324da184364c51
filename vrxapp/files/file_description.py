"""What is in a file of shapes: for somebody who wants to know before using it."""

from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely

from vrxapp.errors import Note
from vrxapp.files.formats import ShapeFormat, opened_format
from vrxapp.files.shape_crs import told_crs
from vrxapp.ground.features import Features
from vrxapp.ground.geodesic_area import lon_lat_area_ha


@dataclass(frozen=True, slots=True)
class RateField:
    """A field of rates: what stands where, and how much that is in all.

    Parameters
    ----------
    name : str
        Name of the field.
    value_ha : tuple of (float, float)
        Each rate and the ground that gets it, from the lowest up. [-, ha]
    total : float
        Sum of rate times area: for a field in kg/ha, kilograms.
    """

    name: str
    value_ha: tuple[tuple[float, float], ...]
    total: float


@dataclass(frozen=True, slots=True)
class LayerDescription:
    """One layer of a file.

    Parameters
    ----------
    name : str
        The layer.
    geometry_type : str
        For instance ``"Polygon"``; several kinds parted by commas.
    feature_count : int
        How many features can be used.
    crs : str
        The coordinate system as the file names it; empty where it names none.
    extent : tuple of float
        West, south, east, north. [degrees]
    area_ha : float
        Area of all polygons on the ellipsoid, overlaps counted as often as drawn; NaN where
        there are none. [ha]
    field_names : tuple of str
        Names of the fields.
    notes : tuple of Note
        What was done or doubtful while reading.
    rates : tuple of RateField, optional
        Fields of rates, where all shapes are polygons.
    """

    name: str
    geometry_type: str
    feature_count: int
    crs: str
    extent: tuple[float, float, float, float]
    area_ha: float
    field_names: tuple[str, ...]
    notes: tuple[Note, ...]
    rates: tuple[RateField, ...] = ()


@dataclass(frozen=True, slots=True)
class FileDescription:
    """A file of shapes: its name, its format and its layers."""

    file: str
    format: str
    layers: tuple[LayerDescription, ...]


def describe_file(path: Path, *, crs: str = "") -> FileDescription:
    """What a file of shapes holds, each layer read as it would be for use.

    Parameters
    ----------
    path : Path
        A file in any format of `formats.read_features`.
    crs : str, optional
        Coordinate system to take where it names none.

    Returns
    -------
    FileDescription
        Format and layers, in the order of the file.

    Raises
    ------
    VrxError
        If the file or one of its layers could not be used, as `formats.read_features` says.
    """
    one = opened_format(path)
    layers = tuple(_layer(one, path, name, crs) for name in one.layers(path))
    return FileDescription(path.name, one.name, layers)


def _layer(one: ShapeFormat, path: Path, name: str, crs: str) -> LayerDescription:
    """One layer, read and summed up."""
    features = one.read(path, name, crs)
    west, south, east, north = (float(edge) for edge in shapely.total_bounds(features.shapes))
    return LayerDescription(
        name=name,
        geometry_type=_kinds(features),
        feature_count=len(features.shapes),
        crs=told_crs(one.crs(path, name) or crs),
        extent=(west, south, east, north),
        area_ha=_area_ha(features),
        field_names=tuple(dict.fromkeys(key for row in features.fields for key in row)),
        notes=features.notes,
        rates=_rates(features),
    )


def _rates(features: Features) -> tuple[RateField, ...]:
    """The fields of polygons that are called a rate and hold nothing but numbers."""
    is_polygon = shapely.get_dimensions(features.shapes) == 2
    if not len(features.shapes) or not np.all(is_polygon):
        return ()
    area_ha = lon_lat_area_ha(features.shapes)
    names = dict.fromkeys(key for row in features.fields for key in row)
    found = []
    for name in names:
        if "rate" not in name.casefold():
            continue
        values = [row.get(name) for row in features.fields]
        if not all(isinstance(value, (int, float)) for value in values):
            continue
        rates = np.array(values, dtype=float)
        steps, which = np.unique(rates, return_inverse=True)
        held = np.bincount(which, weights=area_ha)
        pairs = tuple(zip(steps.tolist(), held.tolist(), strict=True))
        found.append(RateField(name, pairs, float(np.nansum(rates * area_ha))))
    return tuple(found)


def _kinds(features: Features) -> str:
    """The kinds of shape, the most frequent first."""
    return ", ".join(
        kind for kind, _ in Counter(s.geom_type for s in features.shapes).most_common()
    )


def _area_ha(features: Features) -> float:
    """Area of the polygons, NaN where there are none."""
    polygons = features.shapes[shapely.get_dimensions(features.shapes) == 2]
    return float(np.sum(lon_lat_area_ha(polygons))) if len(polygons) else float("nan")
