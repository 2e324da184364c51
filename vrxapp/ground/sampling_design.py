"""Where to take soil samples: a few in every zone, spread over the ground, or on lines.

Positions come from the ground and the layers alone, with a stored seed, and not from where it
is easy to stop.
"""

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import GroundError, MissingInputError
from vrxapp.ground.paddock import Paddock, excluded_ground
from vrxapp.ground.points_in_zones import zone_of_points
from vrxapp.ground.sample_positions import SamplePositions, SamplingDesign
from vrxapp.ground.zones import Zones

MOST_STOPS = 1_000
_CANDIDATES = 4_000
_ROUNDS = 100
_STARTS = 5


def sampling_ground(paddock: Paddock, *, edge_m: float) -> BaseGeometry:
    """The paddock without exclusions, their setbacks, and a strip along every edge.

    Headlands, gateways, sheds and troughs are not what a sample should tell of.

    Parameters
    ----------
    paddock : Paddock
        The paddock.
    edge_m : float
        Distance kept from the boundary, 0 or more. [m]

    Raises
    ------
    GroundError
        If no ground is left.
    """
    if not 0.0 <= edge_m < 1_000.0:
        raise GroundError(f"an edge of {edge_m:g} m is none", mend="Give 0 to 1,000 m")
    ground = shapely.difference(shapely.buffer(paddock.boundary, -edge_m), excluded_ground(paddock))
    if ground.is_empty or ground.area <= 0.0:
        raise GroundError(
            f"{edge_m:g} m from the edge, no ground of {paddock.name!r} is left to sample",
            mend="Keep less distance",
        )
    return ground


def positions_by_zone(
    zones: Zones, ground: BaseGeometry, *, stops_per_zone: int, seed: int = 0
) -> SamplePositions:
    """The same number of positions in every zone, spread over it.

    Parameters
    ----------
    zones : Zones
        Parts that are sampled apart.
    ground : shapely geometry
        Where samples may be taken, as `sampling_ground` tells. [m]
    stops_per_zone : int
        Positions in each zone.
    seed : int, default 0
        For the random starts.

    Raises
    ------
    GroundError
        If a zone has no ground that may be sampled; the message names it.
    """
    _require_count(stops_per_zone * len(zones.names))
    found = []
    for row, (name, shape) in enumerate(zip(zones.names, zones.shapes, strict=True)):
        inside = shapely.intersection(shape, ground)
        if inside.area <= 0.0:
            raise GroundError(
                f"no ground of the zone {name!r} may be sampled",
                mend="Keep less distance from edges, or merge the zone with another",
            )
        found.append(spread_points(inside, stops_per_zone, seed=seed + row))
    spots = np.concatenate(found)
    zone_row = np.repeat(np.arange(len(zones.names)), stops_per_zone)
    return SamplePositions(spots[:, 0], spots[:, 1], zone_row, SamplingDesign.BY_ZONE, seed)


def positions_spread(
    zones: Zones, ground: BaseGeometry, *, stops: int, seed: int = 0
) -> SamplePositions:
    """Positions spread evenly over all ground, whatever the zones: best for a map of a test.

    Parameters
    ----------
    zones : Zones
        Only told beside each position.
    ground : shapely geometry
        Where samples may be taken. [m]
    stops : int
        How many.
    seed : int, default 0
        For the random starts.
    """
    _require_count(stops)
    spots = spread_points(ground, stops, seed=seed)
    return SamplePositions(
        spots[:, 0], spots[:, 1], _zone_rows(spots, zones), SamplingDesign.SPREAD, seed
    )


def positions_on_transects(
    zones: Zones, ground: BaseGeometry, *, lines: int, per_line: int, bearing_degree: float
) -> SamplePositions:
    """Positions on parallel lines; lay them across what changes, such as down a slope.

    Parameters
    ----------
    zones : Zones
        Only told beside each position.
    ground : shapely geometry
        Where samples may be taken. [m]
    lines : int
        How many lines, evenly apart.
    per_line : int
        Positions on each, evenly apart along what of it lies on the ground.
    bearing_degree : float
        Direction of the lines, clockwise from grid north. [degrees]
    """
    _require_count(lines * per_line)
    middle = ground.centroid
    turned = affinity.rotate(ground, bearing_degree, origin=middle)
    west, south, east, north = turned.bounds
    easting = west + (np.arange(lines) + 0.5) * (east - west) / lines
    spots = []
    for x in easting:
        line = shapely.intersection(shapely.LineString([(x, south), (x, north)]), turned)
        spots += _along(line, per_line)
    if not spots:
        raise GroundError("no line meets the ground", mend="Take more lines, or another bearing")
    back = affinity.rotate(shapely.MultiPoint(spots), -bearing_degree, origin=middle)
    placed = shapely.get_coordinates(back)
    return SamplePositions(
        placed[:, 0], placed[:, 1], _zone_rows(placed, zones), SamplingDesign.TRANSECTS, 0
    )


def spread_points(ground: BaseGeometry, count: int, *, seed: int = 0) -> NDArray[np.float64]:
    """Points spread over some ground: near each place lies one of them.

    The ground is cut into as many compact parts, the middles of which are as near as can be
    to all places; a point is the place nearest to the middle of its part.

    Parameters
    ----------
    ground : shapely geometry
        Polygon or MultiPolygon. [m]
    count : int
        How many points.
    seed : int, default 0
        For the random starts.

    Returns
    -------
    ndarray of float
        Easting and northing of each. [m]

    References
    ----------
    .. [1] walvoort-2010. Spatial coverage by k-means of the cells of the ground.
    """
    places = _places(ground, count)
    rng = np.random.default_rng(seed)
    best, best_left = places[:count], np.inf
    for _ in range(_STARTS):
        middles, left = _compact_middles(places, places[_spread_rows(places, count, rng)])
        if left < best_left:
            best, best_left = middles, left
    taken: list[int] = []
    for middle in best:
        order = np.argsort(np.sum((places - middle) ** 2, axis=1), kind="stable")
        taken.append(next(int(k) for k in order if int(k) not in taken))
    return places[taken]


def _require_count(stops: int) -> None:
    if not 1 <= stops <= MOST_STOPS:
        raise MissingInputError(
            f"{stops} stops cannot be planned", mend=f"Plan 1 to {MOST_STOPS:,} stops"
        )


def _places(ground: BaseGeometry, count: int) -> NDArray[np.float64]:
    """Places all over some ground on a square grid, many more than points are asked for."""
    west, south, east, north = ground.bounds
    wanted = max(_CANDIDATES, 20 * count)
    step = np.sqrt(ground.area / wanted)
    shapely.prepare(ground)
    for _ in range(6):
        x, y = np.meshgrid(
            np.arange(west + step / 2, east, step), np.arange(south + step / 2, north, step)
        )
        inside = shapely.contains_xy(ground, x, y)
        if np.sum(inside) >= 5 * count:
            return np.column_stack([x[inside], y[inside]])
        step /= 2.0  # narrow ground slips between the places
    raise GroundError(
        f"the ground is too narrow for {count} stops", mend="Plan fewer, or keep less distance"
    )


def _spread_rows(
    places: NDArray[np.float64], count: int, rng: np.random.Generator
) -> NDArray[np.intp]:
    """Rows to start from, each likelier the farther it lies from those before."""
    rows = [int(rng.integers(len(places)))]
    nearest = np.full(len(places), np.inf)
    while len(rows) < count:
        nearest = np.minimum(nearest, np.sum((places - places[rows[-1]]) ** 2, axis=1))
        reach = np.cumsum(nearest)
        rows.append(min(int(np.searchsorted(reach, rng.random() * reach[-1])), len(places) - 1))
    return np.array(rows)


def _compact_middles(
    places: NDArray[np.float64], middles: NDArray[np.float64]
) -> tuple[NDArray[np.float64], float]:
    """Middles once each has moved to the mean of the places nearest to it, and what is left."""
    for _ in range(_ROUNDS):
        distance, part = cKDTree(middles).query(places)
        size = np.bincount(part, minlength=len(middles))
        sums = np.column_stack(
            [np.bincount(part, weights=line, minlength=len(middles)) for line in places.T]
        )
        moved = np.where(size[:, None] > 0, sums / np.maximum(size, 1)[:, None], middles)
        if np.max(np.abs(moved - middles)) < 0.01:
            break
        middles = moved
    return middles, float(np.sum(distance**2))


def _along(line: BaseGeometry, count: int) -> list[tuple[float, float]]:
    """Points evenly apart along all pieces of a line taken together."""
    pieces = [p for p in shapely.get_parts(line) if p.geom_type == "LineString"]
    lengths = np.array([p.length for p in pieces])
    if not lengths.size or lengths.sum() <= 0.0:
        return []
    ends = np.cumsum(lengths)
    spots = []
    for at in (np.arange(count) + 0.5) * ends[-1] / count:
        piece = min(int(np.searchsorted(ends, at)), len(pieces) - 1)
        point = pieces[piece].interpolate(at - (ends[piece] - lengths[piece]))
        spots.append((point.x, point.y))
    return spots


def _zone_rows(spots: NDArray[np.float64], zones: Zones) -> NDArray[np.intp]:
    """The zone of each point, -1 for none."""
    return zone_of_points(spots[:, 0], spots[:, 1], zones.shapes).astype(np.intp)
