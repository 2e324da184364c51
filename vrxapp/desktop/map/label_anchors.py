"""Where a label belongs: the roomiest spot of an area, the middle of a line, beside a marker."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.desktop.map.layer import Layer
from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.desktop.map.zone_layer import ZoneLayer

#: Of many features only the largest are labelled.
MOST_LABELS = 3_000
AT_ONCE = 100
LINE, AREA = 1, 2
#: The centre of gravity is the calmer place; it may have this much less room.
ROOMY_ENOUGH = 0.75


@dataclass(frozen=True, slots=True, eq=False)
class Anchors:
    """Places to label, largest feature first.

    Parameters
    ----------
    layer : Layer
        The layer they belong to.
    rows : ndarray of int
        Rows of that layer.
    easting_m, northing_m : ndarray
        Where the middle of the label belongs.
    room_m : ndarray
        Radius of free ground around that place; infinite where room is no matter.
    size : ndarray
        What the largest is told by. [m²; 0 for lines and markers]
    """

    layer: Layer
    rows: NDArray[np.intp]
    easting_m: NDArray[np.float64]
    northing_m: NDArray[np.float64]
    room_m: NDArray[np.float64]
    size: NDArray[np.float64]


def find_anchors(layer: Layer, found: list[Anchors], earlier: list[Anchors]) -> Iterator[None]:
    """Add the places of a layer's labels to a list, a few at a time.

    Places found earlier for the same rows of the same geometries are taken over.
    """
    labels = getattr(layer, "labels", None)
    if labels is None:
        return
    rows = np.flatnonzero([bool(label) for label in labels])
    if isinstance(layer, MarkerLayer):
        rows = rows[np.isfinite(layer.boxes[rows, 0])][:MOST_LABELS]
        free, none = np.full(len(rows), np.inf), np.zeros(len(rows))
        found.append(
            Anchors(layer, rows, layer.easting_m[rows], layer.northing_m[rows], free, none)
        )
        return
    rows = rows[~shapely.is_empty(layer.geometries[rows])]
    size = shapely.area(layer.geometries[rows]) if isinstance(layer, ZoneLayer) else None
    size = np.zeros(len(rows)) if size is None else size
    order = np.argsort(-size, kind="stable")[:MOST_LABELS]
    rows, size = rows[order], size[order]
    for old in earlier:
        same = getattr(old.layer, "geometries", None) is layer.geometries
        if same and np.array_equal(old.rows, rows):
            found.append(replace(old, layer=layer))
            return
    spots = np.empty((len(rows), 3))
    for start in range(0, len(rows), AT_ONCE):
        batch = slice(start, start + AT_ONCE)
        spots[batch] = _spots(layer.geometries[rows[batch]])
        yield
    found.append(Anchors(layer, rows, spots[:, 0], spots[:, 1], spots[:, 2], size))


def _spots(geometries: NDArray[np.object_]) -> NDArray[np.float64]:
    """Easting, northing and free radius of the best place in each geometry. [m]"""
    spots = np.empty((len(geometries), 3))
    dimensions = shapely.get_dimensions(geometries)
    areas = (dimensions == AREA) & shapely.is_valid(geometries)
    if areas.any():
        spots[areas] = _roomy_spots(geometries[areas])
    others = geometries[~areas]
    if len(others):
        middles = np.where(
            dimensions[~areas] == LINE,
            shapely.line_interpolate_point(others, 0.5, normalized=True),
            shapely.point_on_surface(others),
        )
        spots[~areas] = np.column_stack(
            [shapely.get_x(middles), shapely.get_y(middles), np.full(len(others), np.inf)]
        )
    return spots


def _roomy_spots(areas: NDArray[np.object_]) -> NDArray[np.float64]:
    """The centre of gravity where there is room enough, else that of the largest circle."""
    near_enough_m = np.sqrt(shapely.area(areas)) / 20.0
    circles = shapely.maximum_inscribed_circle(areas, near_enough_m)
    middles, room_m = shapely.get_point(circles, 0), shapely.length(circles)
    centroids = shapely.centroid(areas)
    centroid_room_m = shapely.distance(centroids, shapely.boundary(areas))
    centroid_room_m[~shapely.contains(areas, centroids)] = 0.0
    is_central = centroid_room_m >= ROOMY_ENOUGH * room_m
    spots = np.where(is_central, centroids, middles)
    room_m = np.where(is_central, centroid_room_m, room_m)
    return np.column_stack([shapely.get_x(spots), shapely.get_y(spots), room_m])
