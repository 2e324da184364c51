"""Shapes made sound for work on a map, and every change told.

A polygon that crosses itself is rebuilt from its rings; where that moves more ground than a
small loop at a corner would, nobody can know what was meant, and it is refused.
"""

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError, InputFileError, Note
from vrxapp.files.geojson_shapes import FAULTS
from vrxapp.files.raw_layer import RawLayer
from vrxapp.files.safe_reading import (
    MOST_POINTS,
    MOST_POLYGONS,
    MOST_VERTICES,
    refuse_too_many,
)
from vrxapp.files.shape_crs import lon_lat_shapes
from vrxapp.ground.features import Features
from vrxapp.ground.geodesic_area import lon_lat_area_ha

LARGEST_CHANGE = 0.005
"""Share of its area by which a mend may change a shape."""

_KINDS = ("Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon")
_POLYGON_IDS = (shapely.GeometryType.POLYGON, shapely.GeometryType.MULTIPOLYGON)
_USABLE_IDS = tuple(shapely.GeometryType[kind.upper()] for kind in _KINDS)


def lon_lat_features(raw: RawLayer) -> Features:
    """A layer as features in longitude and latitude, two-dimensional and valid.

    Parameters
    ----------
    raw : RawLayer
        The layer as it stands in its file.

    Returns
    -------
    Features
        WGS 84, with a note of everything that was done. [degrees]

    Raises
    ------
    InputFileError
        If nothing is left to use, or there is more than can be worked with.
    GroundError
        If a shape, or the place of the layer on the earth, cannot be right.
    """
    refuse_too_large(raw.shapes, file=raw.file)
    points = shapely.get_coordinates(raw.shapes)
    kept, left_out = _usable(raw, points)
    shapes, rows = raw.shapes[kept], np.flatnonzero(kept) + 1
    points = points if kept.all() else shapely.get_coordinates(shapes)
    _refuse_other_kinds(shapes, rows, raw.file)
    flat, heights = _flat(shapes, raw.file)
    placed, turned = lon_lat_shapes(flat, raw.crs, points=points, file=raw.file)
    sound, mends = mended(placed, rows, file=raw.file)
    fields = raw.fields if kept.all() else tuple(raw.fields[int(row) - 1] for row in rows)
    return Features(raw.file, sound, fields, (*raw.notes, *left_out, *heights, *turned, *mends))


def refuse_too_large(shapes: NDArray[np.object_], *, file: str) -> None:
    """Refuse more shapes or corners than can be worked with.

    Raises
    ------
    InputFileError
        If there are too many.
    """
    polygons = int(np.isin(shapely.get_type_id(shapes), _POLYGON_IDS).sum())
    refuse_too_many(polygons, MOST_POLYGONS, what="polygons", file=file)
    refuse_too_many(len(shapes), MOST_POINTS, what="points", file=file)
    corners = int(shapely.get_num_coordinates(shapes).sum())
    refuse_too_many(corners, MOST_VERTICES, what="corners", file=file)


def mended(
    shapes: NDArray[np.object_], rows: NDArray[np.intp], *, file: str
) -> tuple[NDArray[np.object_], tuple[Note, ...]]:
    """Shapes that are all valid, with a note for each that was not.

    Parameters
    ----------
    shapes : ndarray of shapely geometry
        In longitude and latitude. [degrees]
    rows : ndarray of int
        Number of each feature in the file, from 1.
    file : str
        Name of the file, for messages.

    Returns
    -------
    tuple
        The shapes, and what was mended.

    Raises
    ------
    GroundError
        If a shape is beyond mending, or mending would change its area by more than 0.5 %.
    """
    faulty = np.flatnonzero(~_are_valid(shapes))
    if not faulty.size:
        return shapes, ()
    sound, notes = shapes.copy(), []
    for index in faulty:
        sound[index], note = _mended_feature(shapes[index], int(rows[index]), file)
        notes.append(note)
    return sound, tuple(notes)


def rebuilt_polygon(shape: shapely.Geometry) -> shapely.Geometry:
    """A polygon rebuilt from its rings; what has no area is left out.

    Examples
    --------
    >>> bow_tie = shapely.Polygon([(0, 0), (2, 2), (2, 0), (0, 2)])
    >>> rebuilt_polygon(bow_tie).area
    2.0
    """
    # The other method counts ground twice where rings overlap; a buffer of zero loses half
    # of a bow-tie.
    rebuilt = shapely.make_valid(shape, method="structure", keep_collapsed=False)
    parts = shapely.get_parts(shapely.get_parts(rebuilt))
    polygons = parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON]
    return polygons[0] if len(polygons) == 1 else shapely.multipolygons(polygons)


def told_fault(shape: shapely.Geometry) -> tuple[str, str]:
    """What is wrong with an invalid shape in plain words, and where."""
    fault, _, place = shapely.is_valid_reason(shape).rstrip("]").partition("[")
    told = FAULTS.get(fault, f"the shape is not right ({fault})")
    numbers = [float(number) for number in place.split()[:2]]
    if len(numbers) < 2:
        return told, ""
    return told, f"near longitude {numbers[0]:.6f}, latitude {numbers[1]:.6f}"


def _are_valid(shapes: NDArray[np.object_]) -> NDArray[np.bool_]:
    """Which shapes are valid; the check needs no Python, so two threads halve the wait."""
    with ThreadPoolExecutor(max_workers=2) as pool:
        return np.concatenate(list(pool.map(shapely.is_valid, np.array_split(shapes, 2))))


def _mended_feature(shape: shapely.Geometry, row: int, file: str) -> tuple[shapely.Geometry, Note]:
    """One faulty shape made sound, and the note that tells it."""
    told, place = told_fault(shape)
    problem = f"feature {row}: {told} {place}".rstrip()
    if shapely.get_type_id(shape) not in _POLYGON_IDS:
        raise GroundError(problem, mend="Draw it again", file=file, row=row)
    sound = rebuilt_polygon(shape)
    before_ha, after_ha = lon_lat_area_ha([shape, sound])
    areas = f"{before_ha:.4f} ha as drawn, {after_ha:.4f} ha mended"
    if sound.is_empty or abs(after_ha - before_ha) > LARGEST_CHANGE * max(before_ha, after_ha):
        raise GroundError(
            f"{problem}, and a mend would change its area ({areas})",
            mend="Move the corners there so that no two edges meet, and save it again",
            file=file,
            row=row,
            value=place.removeprefix("near "),
        )
    mend = "Look at that place on the map"
    return sound, Note(f"{problem}, and was mended ({areas})", mend=mend, file=file, row=row)


def _usable(
    raw: RawLayer, points: NDArray[np.float64]
) -> tuple[NDArray[np.bool_], tuple[Note, ...]]:
    """Which features have a shape with real numbers, and a note of those left out."""
    finite = np.ones(len(raw.shapes), dtype=bool)
    if not np.isfinite(points).all():
        _, owners = shapely.get_coordinates(raw.shapes, return_index=True)
        finite[np.unique(owners[~np.isfinite(points).all(axis=1)])] = False
    nothing = shapely.is_missing(raw.shapes) | shapely.is_empty(raw.shapes)
    kept = finite & ~nothing
    if not kept.any():
        raise InputFileError(
            "the layer is empty" if not len(kept) else "none of its features has a shape",
            mend="Export the layer that holds the shapes",
            file=raw.file,
        )
    notes = (
        _left_out_note(nothing, "no shape", raw.file),
        _left_out_note(~finite, "a corner that is no number", raw.file),
    )
    return kept, tuple(note for note in notes if note is not None)


def _left_out_note(left_out: NDArray[np.bool_], why: str, file: str) -> Note | None:
    rows = np.flatnonzero(left_out) + 1
    if not rows.size:
        return None
    listed = ", ".join(map(str, rows[:5])) + (", and so on" if rows.size > 5 else "")
    return Note(
        f"{rows.size} of its features had {why} and were left out: feature {listed}",
        mend="Check that nothing is missing on the map",
        file=file,
        row=int(rows[0]),
    )


def _refuse_other_kinds(shapes: NDArray[np.object_], rows: NDArray[np.intp], file: str) -> None:
    """Refuse what is neither point, line nor polygon."""
    other = ~np.isin(shapely.get_type_id(shapes), _USABLE_IDS)
    if np.any(other):
        index = int(np.argmax(other))
        kind = shapes[index].geom_type
        raise GroundError(
            f"feature {rows[index]}: a geometry of type {kind!r} cannot be used",
            mend=f"Save each shape as a feature of its own: {', '.join(_KINDS)}",
            file=file,
            row=int(rows[index]),
            value=kind,
        )


def _flat(shapes: NDArray[np.object_], file: str) -> tuple[NDArray[np.object_], tuple[Note, ...]]:
    """Shapes without heights and measures, and a note of those that had them."""
    with_z, with_m = int(shapely.has_z(shapes).sum()), int(shapely.has_m(shapes).sum())
    if not with_z and not with_m:
        return shapes, ()
    notes = [
        Note(f"{what} are left out, in {count} of its features", file=file)
        for what, count in (("heights", with_z), ("measures along the line", with_m))
        if count
    ]
    return np.asarray(shapely.force_2d(shapes), dtype=object), tuple(notes)
