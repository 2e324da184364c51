"""Soil results of the invented farm: composites that are set, and samples drawn from a seed.

The samples lie at random in each zone. Their results start from the zone's composite,
pass softly from zone to zone, swing slowly across the paddock, and scatter as cores do.
"""

from collections.abc import Callable
from dataclasses import dataclass
from operator import attrgetter

import numpy as np
import shapely
from invented_ground import InventedGround
from numpy.typing import NDArray
from shapely import Point
from shapely.geometry.base import BaseGeometry

from vrxapp.ground.paddock import excluded_ground
from vrxapp.ground.projected_crs import LON_LAT, transformed

SEED = 20_260_401
TOPSOIL_CM, SUBSOIL_CM = "0-10", "10-20"

_EDGE_M = 15.0  # samples keep this far from fences, setbacks and the next zone
_SOFT_EDGE_M = 12.0  # over about this distance one zone's soil turns into the next
_BARE_RADIUS_M = 45.0
_BARE_SHARE_LEFT = 0.2  # of the phosphorus, where the topsoil has blown away
_WAVES = 6
_WAVE_LENGTHS_M = (350.0, 900.0)


@dataclass(frozen=True, slots=True)
class Composite:
    """One composite sample of a zone at 0-10 cm; `spots` counts its samples with a position."""

    sample_id: str
    zone: str
    spots: int
    colwell_p_mg_kg: int
    pbi: int
    ph_cacl2: float
    organic_carbon_percent: float
    olsen_p_mg_kg: str


COMPOSITES = (
    Composite("A1", "Creek flat", 8, 31, 95, 5.6, 1.6, "14"),
    Composite("A2", "Grey box slope", 11, 23, 120, 4.8, 1.1, "9"),
    Composite("A3", "Red rise", 9, 14, 180, 5.1, 1.2, "<5"),
    Composite("A4", "Sandy top", 8, 52, 22, 4.6, 0.7, "24"),
)


@dataclass(frozen=True, slots=True)
class _Test:
    """How one analyte varies: in natural logarithms, or as it is where it is a logarithm already.

    `swing` is the spread of the slow change across the paddock, `core_scatter` and
    `replicate_scatter` those of cores and of repeated cores; `deeper` is the step to the
    layer below. Results under `smallest` are written as a limit.
    """

    name: str
    unit: str
    composite: Callable[[Composite], float]
    is_logarithm: bool
    decimals: int
    smallest: float
    swing: float
    core_scatter: float
    replicate_scatter: float
    deeper: float


_COLWELL = "Colwell P"
_TESTS = (
    _Test(
        name=_COLWELL,
        unit="mg/kg",
        composite=attrgetter("colwell_p_mg_kg"),
        is_logarithm=False,
        decimals=0,
        smallest=5.0,
        swing=0.12,
        core_scatter=0.08,
        replicate_scatter=0.05,
        deeper=-0.8,
    ),
    _Test(
        name="PBI",
        unit="",
        composite=attrgetter("pbi"),
        is_logarithm=False,
        decimals=0,
        smallest=5.0,
        swing=0.08,
        core_scatter=0.05,
        replicate_scatter=0.03,
        deeper=0.15,
    ),
    _Test(
        name="pH (CaCl2)",
        unit="pH",
        composite=attrgetter("ph_cacl2"),
        is_logarithm=True,
        decimals=1,
        smallest=0.0,
        swing=0.12,
        core_scatter=0.08,
        replicate_scatter=0.05,
        deeper=-0.3,
    ),
)


@dataclass(frozen=True, slots=True)
class SoilResult:
    """One line of the long sheet; the value is written as a laboratory writes it."""

    sample_id: str
    replicate: int
    longitude_degree: float
    latitude_degree: float
    depth_cm: str
    analyte: str
    value: str
    unit: str


def sampled_results(ground: InventedGround) -> tuple[SoilResult, ...]:
    """All results of the samples with a position, the same for the same seed."""
    rng = np.random.default_rng(SEED)
    spots_m = _sample_spots(ground, rng)
    points = transformed(shapely.points(spots_m), from_crs=ground.paddock.crs, to_crs=LON_LAT)
    cores = _cores(len(spots_m))
    lines = []
    for test in _TESTS:
        topsoil = _topsoil(ground, test, spots_m, rng=rng)
        scatter = test.replicate_scatter * rng.standard_normal(len(cores))
        for (row, replicate, depth_cm), change in zip(cores, scatter, strict=True):
            deeper = test.deeper if depth_cm == SUBSOIL_CM else 0.0
            written = _written(topsoil[row] + change + deeper, test)
            lon_lat = (round(points[row].x, 7), round(points[row].y, 7))
            core = (f"B{row + 1:02d}", replicate, *lon_lat, depth_cm)
            lines.append(SoilResult(*core, test.name, written, test.unit))
    # the sort is stable, so that the tests of one core stay in their order
    return tuple(sorted(lines, key=lambda line: (line.sample_id, line.depth_cm, line.replicate)))


def _cores(spot_count: int) -> list[tuple[int, int, str]]:
    """Row, replicate and layer: every spot once, each sixth of them twice, some deeper too."""
    once = [(row, 1, TOPSOIL_CM) for row in range(spot_count)]
    twice = [(row, 2, TOPSOIL_CM) for row in range(2, spot_count, 6)]
    deeper = [(row, 1, SUBSOIL_CM) for row in (4, 12, 25, 30)]
    return once + twice + deeper


def _sample_spots(ground: InventedGround, rng: np.random.Generator) -> NDArray[np.float64]:
    """Easting and northing of the samples, zone by zone. [m]"""
    spreadable = shapely.difference(ground.zones.shapes, excluded_ground(ground.paddock))
    inner = dict(zip(ground.zones.names, shapely.buffer(spreadable, -_EDGE_M), strict=True))
    return np.concatenate([_scattered(inner[c.zone], c.spots, rng) for c in COMPOSITES])


def _scattered(shape: BaseGeometry, count: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """Random points of a shape that keep their distance from each other. [m]"""
    apart_m = 0.7 * np.sqrt(shape.area / count)
    west, south, east, north = shape.bounds
    found: list[Point] = []
    while len(found) < count:
        spot = Point(rng.uniform(west, east), rng.uniform(south, north))
        if shape.contains(spot) and all(spot.distance(other) >= apart_m for other in found):
            found.append(spot)
    return np.asarray(shapely.get_coordinates(found))


def _topsoil(
    ground: InventedGround, test: _Test, spots_m: NDArray[np.float64], *, rng: np.random.Generator
) -> NDArray[np.float64]:
    """What stands in the topsoil at each spot, as the test varies."""
    values = _softly_zoned(ground, test, spots_m) + test.swing * slow_waves(spots_m, rng)
    values += test.core_scatter * rng.standard_normal(len(spots_m))
    if test.name == _COLWELL:
        away_m = shapely.distance(shapely.points(spots_m), ground.bare_spot)
        values += np.where(away_m < _BARE_RADIUS_M, np.log(_BARE_SHARE_LEFT), 0.0)
    return values


def _softly_zoned(
    ground: InventedGround, test: _Test, spots_m: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The composites at each spot, a zone weighing less the further away it is."""
    told = {composite.zone: test.composite(composite) for composite in COMPOSITES}
    values = np.array([told[zone] for zone in ground.zones.names], dtype=float)
    varying = values if test.is_logarithm else np.log(values)
    away_m = shapely.distance(ground.zones.shapes[:, None], shapely.points(spots_m))
    weights = np.exp(-((away_m / _SOFT_EDGE_M) ** 2))
    return np.asarray(varying @ weights / weights.sum(axis=0))


def slow_waves(spots_m: NDArray[np.float64], rng: np.random.Generator) -> NDArray[np.float64]:
    """A smooth surface around zero with a spread of about one: waves in all directions."""
    heading, start = rng.uniform(0.0, 2.0 * np.pi, size=(2, _WAVES))
    per_m = 2.0 * np.pi / rng.uniform(*_WAVE_LENGTHS_M, size=_WAVES)
    east, north = (spots_m - spots_m.mean(axis=0)).T[:, :, None]
    phase = (east * np.cos(heading) + north * np.sin(heading)) * per_m + start
    return np.asarray(np.sqrt(2.0 / _WAVES) * np.cos(phase).sum(axis=1))


def _written(varying: float, test: _Test) -> str:
    """A value as the sheet shows it; below the smallest that is measured, only that."""
    value = varying if test.is_logarithm else float(np.exp(varying))
    if value < test.smallest:
        return f"<{test.smallest:g}"
    return f"{value:.{test.decimals}f}"
