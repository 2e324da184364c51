"""What was measured over Long Bend: apparent conductivity, a vegetation index, two harvests.

All of it hangs on one invented picture of the ground: clay in each zone, passing softly into
the next, with slow waves over it. Clay conducts; plants follow the water it holds and the
topsoil that is left.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from invented_ground import InventedGround
from numpy.typing import NDArray

CELL_M = 10.0
MARGIN_M = 20.0  # the survey drives and the picture shows a little beyond the fence

_SEED = 20_260_402
_SOFT_EDGE_M = 35.0
_WAVES = 9
_WAVE_LENGTHS_M = (180.0, 700.0)
_BARE_RADIUS_M = 55.0

# share of a good year's growth, and conductivity, of each zone [-, mS/m]
_GROWTH = {"Creek flat": 0.92, "Grey box slope": 0.78, "Red rise": 0.86, "Sandy top": 0.58}
_CONDUCTIVITY_MS_M = {
    "Creek flat": 92.0,
    "Grey box slope": 38.0,
    "Red rise": 46.0,
    "Sandy top": 14.0,
}


@dataclass(frozen=True, slots=True, eq=False)
class InventedLayer:
    """A grid of cells, NaN where nothing was measured; row 0 lies in the north."""

    name: str
    unit: str
    west_m: float
    north_m: float
    values: NDArray[np.float32]


def conductivity(ground: InventedGround) -> InventedLayer:
    """Apparent conductivity of the soil, as a survey on wheels gives it. [mS/m]"""
    rng = np.random.default_rng([_SEED, 1])
    spots_m, shape, corner_m = _cells(ground)
    waves = slow_waves(spots_m, rng)
    told = softly_zoned(ground, _CONDUCTIVITY_MS_M, spots_m)
    values = told * np.exp(0.16 * waves + 0.04 * rng.standard_normal(len(spots_m)))
    kept = shapely.contains_xy(ground.paddock.boundary.buffer(MARGIN_M / 2), spots_m)
    return _layer(
        ("apparent conductivity", "mS/m"), corner_m, np.where(kept, values, np.nan), shape
    )


def vegetation_index(ground: InventedGround) -> InventedLayer:
    """A vegetation index of a crop in spring, from 0 (bare) to 1; trees and water show. [-]"""
    rng = np.random.default_rng([_SEED, 2])
    spots_m, shape, corner_m = _cells(ground)
    values = 0.12 + 0.72 * growth(ground, spots_m, slow_waves(spots_m, rng))
    values += 0.015 * rng.standard_normal(len(spots_m))
    points = shapely.points(spots_m)
    for exclusion in ground.paddock.exclusions:
        seen = shapely.dwithin(exclusion.shape, points, CELL_M / 2)
        values[seen] = {"dam": 0.02, "trees": 0.62}.get(str(exclusion.kind), 0.55)
    outside = ~shapely.contains_xy(ground.paddock.boundary, spots_m)
    values[outside] = 0.31 + 0.03 * rng.standard_normal(int(outside.sum()))
    kept = shapely.contains_xy(ground.paddock.boundary.buffer(MARGIN_M), spots_m)
    values = np.where(kept, np.round(values, 3), np.nan)
    return _layer(("vegetation index", ""), corner_m, values, shape)


def growth(
    ground: InventedGround, spots_m: NDArray[np.float64], waves: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Share of a good crop at each spot; little grows where the topsoil is gone. [-]"""
    share = softly_zoned(ground, _GROWTH, spots_m) * (1.0 + 0.07 * waves)
    away_m = shapely.distance(shapely.points(spots_m), ground.bare_spot)
    bare = np.exp(-((away_m / _BARE_RADIUS_M) ** 2))
    return np.asarray(np.clip(share * (1.0 - 0.55 * bare), 0.05, 1.1))


def softly_zoned(
    ground: InventedGround, by_zone: dict[str, float], spots_m: NDArray[np.float64]
) -> NDArray[np.float64]:
    """A number of each zone at each spot, a zone weighing less the further away it is."""
    told = np.array([by_zone[name] for name in ground.zones.names])
    away_m = shapely.distance(ground.zones.shapes[:, None], shapely.points(spots_m))
    nearest_m = away_m.min(axis=0)  # beyond the fence the nearest zone goes on
    weights = np.exp(-(((away_m - nearest_m) / _SOFT_EDGE_M) ** 2))
    return np.asarray(told @ weights / weights.sum(axis=0))


def slow_waves(spots_m: NDArray[np.float64], rng: np.random.Generator) -> NDArray[np.float64]:
    """A smooth surface around zero with a spread of about one: waves in all directions."""
    heading, start = rng.uniform(0.0, 2.0 * np.pi, size=(2, _WAVES))
    per_m = 2.0 * np.pi / rng.uniform(*_WAVE_LENGTHS_M, size=_WAVES)
    across_m = np.outer(spots_m[:, 0], np.cos(heading)) + np.outer(spots_m[:, 1], np.sin(heading))
    phase = across_m * per_m + start
    return np.asarray(np.sqrt(2.0 / _WAVES) * np.cos(phase).sum(axis=1))


def _cells(
    ground: InventedGround,
) -> tuple[NDArray[np.float64], tuple[int, int], tuple[float, float]]:
    """Middles of the cells row by row, rows and columns, and the north-western corner. [m]"""
    west, south, east, north = shapely.buffer(ground.paddock.boundary, MARGIN_M).bounds
    west, south = (np.floor(side / CELL_M) * CELL_M for side in (west, south))
    east, north = (np.ceil(side / CELL_M) * CELL_M for side in (east, north))
    eastings = np.arange(west + CELL_M / 2, east, CELL_M)
    northings = np.arange(north - CELL_M / 2, south, -CELL_M)
    grid = np.meshgrid(eastings, northings)
    spots_m = np.column_stack([side.ravel() for side in grid])
    return spots_m, (len(northings), len(eastings)), (float(west), float(north))


def _layer(
    names: tuple[str, str],
    corner_m: tuple[float, float],
    values: NDArray[np.float64],
    shape: tuple[int, int],
) -> InventedLayer:
    return InventedLayer(*names, *corner_m, values.reshape(shape).astype(np.float32))
