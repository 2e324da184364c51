"""Two invented harvests of Long Bend, point by point, as a yield monitor logs them.

Two rounds of headland, then up and down; grain reaches the sensor late and fills the machine
slowly at the start of a pass. A few points are plainly wrong, as they are in life.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
import shapely
from invented_ground import InventedGround
from invented_layers import growth, slow_waves
from numpy.typing import NDArray
from shapely import LineString
from shapely.affinity import rotate

from vrxapp.ground.paddock import excluded_ground

FRONT_M = 12.0
_LOGGED_EACH_S = 3
_SENSOR_LATE_POINTS = 4
_FILLING = (0.25, 0.6, 0.85)  # of the flow, in the first points of a pass
_TURN_S = 25
_SEED = 20_260_403


@dataclass(frozen=True, slots=True)
class Season:
    """One harvest: what was grown, when it began, and how it went."""

    year: int
    crop: str
    began: datetime
    best_t_ha: float
    heading_degree: float
    speed_m_s: float
    moisture_percent: float


SEASONS = (
    Season(2024, "wheat", datetime(2024, 12, 3, 23, 10, tzinfo=UTC), 5.2, 3.0, 1.9, 10.8),
    Season(2025, "canola", datetime(2025, 11, 19, 22, 40, tzinfo=UTC), 2.6, 3.0, 1.7, 6.9),
)


@dataclass(frozen=True, slots=True, eq=False)
class Harvest:
    """The points of one harvest as columns, in the order they were logged."""

    season: Season
    spots_m: NDArray[np.float64]
    times: tuple[str, ...]
    passes: NDArray[np.int32]
    speed_m_s: NDArray[np.float64]
    moisture_percent: NDArray[np.float64]
    yield_t_ha: NDArray[np.float64]


def harvest(ground: InventedGround, season: Season) -> Harvest:
    """Every point of a harvest, the same for the same seed."""
    rng = np.random.default_rng([_SEED, season.year])
    tracks = [line for line in _tracks(ground, season) if line.length > 3 * FRONT_M]
    logged = [_logged(line, season, rng) for line in tracks]
    spots_m = np.concatenate([spots for spots, _ in logged])
    speed_m_s = np.concatenate([speed for _, speed in logged])
    counts = [len(spots) for spots, _ in logged]
    passes = np.repeat(np.arange(1, len(counts) + 1, dtype=np.int32), counts)
    share = growth(ground, spots_m, slow_waves(spots_m, rng))
    flow = season.best_t_ha * share * np.exp(0.06 * rng.standard_normal(len(spots_m)))
    yields = np.concatenate([_as_sensed(part) for part in np.split(flow, np.cumsum(counts)[:-1])])
    moisture = season.moisture_percent + 0.5 * slow_waves(spots_m, rng)
    _spoil(spots_m, speed_m_s, yields, rng=rng)
    return Harvest(
        season,
        spots_m,
        _times(season, passes),
        passes,
        np.round(speed_m_s, 2),
        np.round(moisture, 1),
        np.round(yields, 2),
    )


def _tracks(ground: InventedGround, season: Season) -> list[LineString]:
    """Lines driven: two rounds along the fence, then passes up and down inside them. [m]"""
    open_ground = ground.paddock.boundary.difference(excluded_ground(ground.paddock))
    rounds = [
        LineString(ring.coords)
        for number in range(2)
        for part in shapely.get_parts(open_ground.buffer(-FRONT_M * (number + 0.5)))
        for ring in (part.exterior, *part.interiors)
    ]
    inside = open_ground.buffer(-2 * FRONT_M)
    pivot = ground.paddock.boundary.centroid
    west, south, east, north = rotate(inside, season.heading_degree, origin=pivot).bounds
    passes = []
    for number, y in enumerate(np.arange(south + FRONT_M / 2, north, FRONT_M)):
        ends = ((west - 1, y), (east + 1, y)) if number % 2 == 0 else ((east + 1, y), (west - 1, y))
        line = rotate(LineString(ends), -season.heading_degree, origin=pivot)
        passes.extend(_along(line, shapely.get_parts(line.intersection(inside))))
    return rounds + passes


def _along(line: LineString, pieces: NDArray[np.object_]) -> list[LineString]:
    """The pieces of a line in the order and the direction it is driven."""
    found = []
    for piece in pieces:
        first, last = (line.line_locate_point(shapely.Point(end)) for end in piece.boundary.geoms)
        found.append((min(first, last), piece if first < last else piece.reverse()))
    return [piece for _, piece in sorted(found, key=lambda pair: pair[0])]


def _logged(
    line: LineString, season: Season, rng: np.random.Generator
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Positions and speeds along a line, one each few seconds. [m, m/s]"""
    most = int(line.length / (0.7 * season.speed_m_s * _LOGGED_EACH_S)) + 2
    wander = np.convolve(rng.standard_normal(most + 8), np.full(9, 1 / 9), "valid")
    speed_m_s = np.clip(season.speed_m_s * (1.0 + 0.15 * wander), 0.8, None)
    along_m = np.cumsum(speed_m_s * _LOGGED_EACH_S)
    kept = along_m < line.length
    spots_m = shapely.get_coordinates(shapely.line_interpolate_point(line, along_m[kept]))
    return spots_m + 0.15 * rng.standard_normal(spots_m.shape), speed_m_s[kept]


def _as_sensed(flow: NDArray[np.float64]) -> NDArray[np.float64]:
    """What the sensor shows of a pass: late, smoothed, and low while the machine fills."""
    late = np.concatenate([np.repeat(flow[:1], _SENSOR_LATE_POINTS), flow])[: len(flow)]
    smooth = np.convolve(np.pad(late, 1, mode="edge"), (0.25, 0.5, 0.25), "valid")
    filling = np.ones(len(flow))
    count = min(len(flow), len(_FILLING))
    filling[:count] = _FILLING[:count]
    return np.asarray(smooth * filling)


def _spoil(
    spots_m: NDArray[np.float64],
    speed_m_s: NDArray[np.float64],
    yields: NDArray[np.float64],
    *,
    rng: np.random.Generator,
) -> None:
    """Put in what goes wrong: a lifted front, surges, stops, positions that jump."""
    count = len(yields)
    yields[rng.choice(count, count // 250, replace=False)] = 0.0
    surges = rng.choice(count, count // 400, replace=False)
    yields[surges] *= rng.uniform(2.5, 6.0, len(surges))
    stops = rng.choice(count, count // 300, replace=False)
    speed_m_s[stops] = rng.uniform(0.1, 0.5, len(stops))
    yields[stops] *= rng.uniform(1.5, 4.0, len(stops))
    jumps = rng.choice(count, 6, replace=False)
    spots_m[jumps] += rng.choice([-1.0, 1.0], (6, 2)) * rng.uniform(60.0, 400.0, (6, 2))


def _times(season: Season, passes: NDArray[np.int32]) -> tuple[str, ...]:
    """When each point was logged, in coordinated universal time, with turns between passes."""
    seconds = np.arange(len(passes)) * _LOGGED_EACH_S + (passes - 1) * _TURN_S
    return tuple(
        (season.began + timedelta(seconds=int(s))).strftime("%Y-%m-%dT%H:%M:%SZ") for s in seconds
    )
