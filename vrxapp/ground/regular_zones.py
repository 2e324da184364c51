"""Zones that need no measured layer: squares of so many hectares, and ground around samples."""

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import GroundError
from vrxapp.ground.grid_layers import PointValues
from vrxapp.ground.zone_shapes import tiled_by
from vrxapp.units import SQUARE_METRES_PER_HECTARE

MOST_ZONES = 2_000
_LEAST_SHARE = 0.25
_SAME_SPOT_M = 1.0
_COUNTED = {0: "no sample lies", 1: "only one place with samples lies"}


def square_zones(
    boundary: BaseGeometry, *, hectares: float, bearing_degree: float = 0.0
) -> NDArray[np.object_]:
    """Squares over a paddock, their sides along the passes; stumps at the edge join a neighbour.

    Parameters
    ----------
    boundary : shapely geometry
        Polygon or MultiPolygon. [m]
    hectares : float
        Of a whole square, on the map grid. [ha]
    bearing_degree : float, default 0
        Direction of the passes, clockwise from grid north. [degrees]

    Returns
    -------
    ndarray of shapely geometry
        A coverage of the boundary. A piece under a quarter of a square is joined to the
        neighbour with the longest shared edge, where there is one.

    Raises
    ------
    GroundError
        If the squares are no size, or more than 2,000.
    """
    side_m = math.sqrt(hectares * SQUARE_METRES_PER_HECTARE) if hectares > 0.0 else 0.0
    if not (side_m > 0.0 and math.isfinite(side_m) and math.isfinite(bearing_degree)):
        raise GroundError(f"squares of {hectares:g} ha are none", mend="Give a size such as 2")
    middle = boundary.centroid
    turned = affinity.rotate(boundary, bearing_degree, origin=middle)
    west, south, east, north = turned.bounds
    columns = math.ceil((east - west) / side_m)
    rows = math.ceil((north - south) / side_m)
    if boundary.area / side_m**2 > MOST_ZONES:
        raise GroundError(
            f"squares of {hectares:g} ha would be more than {MOST_ZONES:,}",
            mend="Choose larger ones",
        )
    # turned as corners, so that those that squares share stay the same from all sides
    squares = _turned_squares(
        west + np.arange(columns + 1) * side_m,
        south + np.arange(rows + 1) * side_m,
        bearing_degree,
        (middle.x, middle.y),
    )
    near = squares[shapely.intersects(squares, boundary)]
    pieces = tiled_by(near, boundary)
    return _joined_stumps(pieces[~shapely.is_empty(pieces)], _LEAST_SHARE * side_m**2)


def zones_around_samples(boundary: BaseGeometry, samples: PointValues) -> NDArray[np.object_]:
    """For each sample, the ground that is nearer to it than to any other.

    Parameters
    ----------
    boundary : shapely geometry
        Polygon or MultiPolygon. [m]
    samples : PointValues
        Those inside the boundary are used; two within a metre count as one.

    Returns
    -------
    ndarray of shapely geometry
        A coverage of the boundary, in the order of the samples.

    Raises
    ------
    GroundError
        If fewer than two samples lie apart in the boundary, or more than 2,000.
    """
    shapely.prepare(boundary)
    x, y = samples.easting_m, samples.northing_m
    is_in = shapely.contains_xy(boundary, x, y)
    spots = np.column_stack([x[is_in], y[is_in]])
    _, first = np.unique(np.round(spots / _SAME_SPOT_M), axis=0, return_index=True)
    spots = spots[np.sort(first)]
    if not 2 <= len(spots) <= MOST_ZONES:
        raise GroundError(
            f"{_COUNTED.get(len(spots), f'{len(spots):,} places with samples lie')} in the paddock",
            mend=f"2 to {MOST_ZONES:,} places can be used; check that the samples belong to it",
        )
    cells = shapely.get_parts(
        shapely.voronoi_polygons(
            shapely.multipoints(spots), extend_to=boundary.buffer(10.0), ordered=True
        )
    )
    pieces = tiled_by(cells, boundary)
    return np.asarray(pieces[~shapely.is_empty(pieces)])


def _turned_squares(
    x: NDArray[np.float64], y: NDArray[np.float64], bearing: float, origin: tuple[float, float]
) -> NDArray[np.object_]:
    """Squares between rising eastings and northings, turned clockwise about a point."""
    angle = math.radians(bearing)
    east, north = np.meshgrid(x - origin[0], y - origin[1])
    turned = np.stack(
        [
            origin[0] + east * math.cos(angle) + north * math.sin(angle),
            origin[1] - east * math.sin(angle) + north * math.cos(angle),
        ],
        axis=-1,
    )
    rings = np.stack(
        [turned[:-1, :-1], turned[:-1, 1:], turned[1:, 1:], turned[1:, :-1], turned[:-1, :-1]],
        axis=2,
    )
    return np.asarray(shapely.polygons(rings.reshape(-1, 5, 2)))


def _joined_stumps(pieces: NDArray[np.object_], least_m2: float) -> NDArray[np.object_]:
    """Pieces after the smaller ones joined the neighbour with the longest shared edge."""
    shapes = list(pieces)
    alone: set[int] = set()
    while True:
        areas = np.array([s.area if k not in alone else math.inf for k, s in enumerate(shapes)])
        small = int(np.argmin(areas))
        if areas[small] >= least_m2 or len(shapes) == 1:
            return np.array(shapes, dtype=object)
        stump = shapes[small]
        shared = shapely.length(
            shapely.intersection(shapely.boundary(np.array(shapes)), stump.boundary)
        )
        shared[small] = 0.0
        best = int(np.argmax(shared))
        if shared[best] <= 0.0:
            alone.add(small)
            continue
        joined = shapely.normalize(shapely.coverage_union_all(np.array([shapes[best], stump])))
        shapes[best] = joined
        del shapes[small]
        alone = {k - (k > small) for k in alone}
