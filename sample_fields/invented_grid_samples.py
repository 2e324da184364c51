"""Grid samples of Two Mile Sands: one a square of the paddock, drawn from a seed.

Each seventh has a second one some steps away, without which nobody could tell what changes
within a few steps. Phosphorus and potassium swing slowly over some hundred metres, whatever
the zones are, and a few high results stand above many low ones, as they often do.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from invented_paddocks import InventedPaddock
from invented_soil import TOPSOIL_CM, slow_waves
from numpy.typing import NDArray

from vrxapp.ground.paddock import excluded_ground
from vrxapp.ground.projected_crs import LON_LAT, transformed

GRID_SAMPLED = "Two Mile Sands"
SEED = 20_260_402
HEADER = (
    *("Sample", "Paddock", "Longitude", "Latitude", "Depth (cm)"),
    *("Colwell P (mg/kg)", "Colwell K (mg/kg)", "pH (CaCl2)"),
)

_SPACING_M = 152.0
_OFF_CENTRE_M = 22.0  # nobody stops exactly on the cross
_EDGE_M = 15.0
_EACH_WITH_SECOND = 7
_SECOND_M = 14.0


@dataclass(frozen=True, slots=True)
class _GridTest:
    """How one test varies: its middle, the slow swing and the scatter of cores.

    Both spreads are those of natural logarithms, or of the values where they are logarithms
    already.
    """

    middle: float
    swing: float
    scatter: float
    is_logarithm: bool
    decimals: int


_TESTS = (
    _GridTest(middle=20.0, swing=0.55, scatter=0.14, is_logarithm=False, decimals=0),
    _GridTest(middle=62.0, swing=0.34, scatter=0.10, is_logarithm=False, decimals=0),
    _GridTest(middle=4.7, swing=0.28, scatter=0.10, is_logarithm=True, decimals=1),
)


def grid_sample_rows(own: InventedPaddock) -> list[tuple[object, ...]]:
    """The sheet of one paddock: a note that it is invented, the header, a row a sample."""
    rng = np.random.default_rng(SEED)
    spots_m = _grid_spots(own, rng)
    points = transformed(shapely.points(spots_m), from_crs=own.paddock.crs, to_crs=LON_LAT)
    columns = [_results(test, spots_m, rng) for test in _TESTS]
    rows = [
        (
            f"G{row + 1:02d}",
            own.paddock.name,
            *(round(points[row].x, 7), round(points[row].y, 7), TOPSOIL_CM),
            *(column[row] for column in columns),
        )
        for row in range(len(spots_m))
    ]
    note = (f"Invented grid samples of {own.paddock.name} on {own.farm}: no real paddock",)
    return [note, HEADER, *rows]


def _grid_spots(own: InventedPaddock, rng: np.random.Generator) -> NDArray[np.float64]:
    """One spot near the middle of each square that may be sampled, and the second ones. [m]"""
    ground = shapely.buffer(own.paddock.boundary, -_EDGE_M)
    ground = shapely.difference(ground, shapely.buffer(excluded_ground(own.paddock), _EDGE_M))
    west, south, east, north = own.paddock.boundary.bounds
    across, down = np.arange(west, east, _SPACING_M), np.arange(north, south, -_SPACING_M)
    crosses = np.array([(x + _SPACING_M / 2, y - _SPACING_M / 2) for y in down for x in across])
    spots = crosses + rng.uniform(-_OFF_CENTRE_M, _OFF_CENTRE_M, size=crosses.shape)
    first = spots[shapely.contains_xy(ground, spots)]
    heading = rng.uniform(0.0, 2.0 * np.pi, size=len(first))
    beside = first + _SECOND_M * np.column_stack([np.cos(heading), np.sin(heading)])
    return np.concatenate([first, beside[::_EACH_WITH_SECOND]])


def _results(
    test: _GridTest, spots_m: NDArray[np.float64], rng: np.random.Generator
) -> list[float | int]:
    """What stands in the topsoil at each spot, rounded as a laboratory does."""
    change = test.swing * slow_waves(spots_m, rng)
    change += test.scatter * rng.standard_normal(len(spots_m))
    values = test.middle + change if test.is_logarithm else test.middle * np.exp(change)
    return [round(value, test.decimals or None) for value in values.tolist()]
