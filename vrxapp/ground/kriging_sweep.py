"""Carries a solved kriging system over many places, a tile of them at a time.

Only one tile's distances are held, so memory does not grow with the number of places.
"""

from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from vrxapp.ground.kriging_system import KrigingSystem
from vrxapp.ground.variogram import correlation_in_place, structured_sill, total_sill
from vrxapp.progress import Progress

TILE_NUMBERS = 800_000
"""Distances held at once: few enough for memory, many enough for long matrix products."""
FEWEST_TILE_PLACES, MOST_TILE_PLACES = 512, 4096
BLOCK_ROWS = 100
"""The factor is a triangle: taken in blocks of so many rows, its empty half costs nothing."""
STAGE = "Interpolating"


class Estimates(NamedTuple):
    """What kriging tells of places, on the variogram's scale; NaN where not asked for."""

    mean: NDArray[np.float64]
    variance: NDArray[np.float64]
    multiplier: NDArray[np.float64]
    """Lagrange multiplier of the weights' sum."""


class Lattice(NamedTuple):
    """Places in rows and columns, and which of them are wanted."""

    easting_m: NDArray[np.float64]
    northing_m: NDArray[np.float64]
    wanted: NDArray[np.bool_]


class _Solved:
    """The system's arrays in the precision asked for, and room for one tile."""

    def __init__(self, system: KrigingSystem, precision: type, most_places: int) -> None:
        self.system = system
        self.spots: NDArray[Any] = system.spots.astype(precision)
        sill = structured_sill(system.variogram)  # so that likeness serves for covariance
        self.dual: NDArray[Any] = (sill * system.dual).astype(precision)
        self.factor: NDArray[Any] = (sill * system.factor).astype(precision)
        self.room = np.empty((2, self.spots.shape[1] * most_places), dtype=precision)

    def tile(self, shape: tuple[int, ...], *, which: int = 0) -> NDArray[Any]:
        """Room for samples by places, without a new allocation."""
        full = (self.spots.shape[1], *shape)
        return self.room[which, : int(np.prod(full))].reshape(full)

    def means(self, likeness: NDArray[Any]) -> NDArray[Any]:
        """Mean of each place of a tile."""
        return np.asarray(self.system.mean + self.dual[0] @ likeness)

    def errors(self, likeness: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
        """Variance and multiplier of each place of a tile."""
        system, count = self.system, len(likeness)
        known = np.zeros(likeness.shape[1], dtype=likeness.dtype)
        for first in range(0, count, BLOCK_ROWS):
            end = min(first + BLOCK_ROWS, count)
            part = self.factor[first:end, :end] @ likeness[:end]
            known += np.einsum("ij,ij->j", part, part)
        short = self.dual[1] @ likeness - 1.0
        variance = total_sill(system.variogram) - known + short**2 * system.mean_variance
        return np.maximum(variance, 0.0), short * system.mean_variance


def tile_places(samples: int) -> int:
    """How many places one tile holds."""
    return int(np.clip(TILE_NUMBERS // samples, FEWEST_TILE_PLACES, MOST_TILE_PLACES))


def at_points(
    system: KrigingSystem,
    easting_m: NDArray[np.float64],
    northing_m: NDArray[np.float64],
    progress: Progress,
) -> Estimates:
    """Mean, variance and multiplier at points, in double precision."""
    size = tile_places(system.observed.size)
    solved = _Solved(system, np.float64, size)
    places = system.turn @ np.vstack(
        [easting_m - system.origin_m[0], northing_m - system.origin_m[1]]
    )
    found = Estimates(*(np.full(easting_m.size, np.nan) for _ in range(3)))
    for first in range(0, easting_m.size, size):
        progress.step(first, easting_m.size, STAGE)
        part = slice(first, first + size)
        likeness = correlation_in_place(_squared(solved, places[:, part]), system.variogram.model)
        found.mean[part] = solved.means(likeness)
        found.variance[part], found.multiplier[part] = solved.errors(likeness)
    progress.step(easting_m.size, easting_m.size, STAGE)
    return found


def over_lattice(
    system: KrigingSystem,
    lattice: Lattice,
    *,
    precision: type,
    with_error: bool,
    progress: Progress,
) -> Estimates:
    """Mean, and if asked for variance and multiplier, at the places wanted of a lattice."""
    size = tile_places(system.observed.size)
    solved = _Solved(system, precision, size)
    squared = _lattice_distances(solved, lattice)
    shape = lattice.wanted.shape
    found = Estimates(*(np.full(shape, np.nan) for _ in range(3)))
    for rows, columns in _tiles(lattice.wanted, size):
        progress.step(rows.start, shape[0], STAGE)
        place = (rows, columns)
        extent = found.mean[place].shape
        tile = squared(rows, columns).reshape(system.observed.size, -1)
        likeness = correlation_in_place(tile, system.variogram.model)
        found.mean[place] = solved.means(likeness).reshape(extent)
        if with_error:
            variance, multiplier = solved.errors(likeness)
            found.variance[place] = variance.reshape(extent)
            found.multiplier[place] = multiplier.reshape(extent)
    progress.step(shape[0], shape[0], STAGE)
    for column in found:
        column[~lattice.wanted] = np.nan
    return found


def _tiles(wanted: NDArray[np.bool_], size: int) -> Iterator[tuple[slice, slice]]:
    """Blocks of rows and columns that hold all places wanted and few others."""
    height = max(1, size // wanted.shape[1])
    for top in range(0, len(wanted), height):
        rows = slice(top, min(top + height, len(wanted)))
        held = np.flatnonzero(wanted[rows].any(axis=0))
        if held.size:
            for left in range(int(held[0]), int(held[-1]) + 1, size):
                yield rows, slice(left, min(left + size, int(held[-1]) + 1))


def _squared(solved: _Solved, places: NDArray[np.float64]) -> NDArray[Any]:
    """Squared distances of the samples to places given along and across. [model lengths²]"""
    squared, other = (solved.tile((places.shape[1],), which=which) for which in (0, 1))
    for axis, out in zip((0, 1), (squared, other), strict=True):
        np.subtract(places[axis].astype(out.dtype), solved.spots[axis][:, None], out=out)
        np.multiply(out, out, out=out)
    squared += other
    return squared


def _lattice_distances(solved: _Solved, lattice: Lattice) -> Callable[[slice, slice], NDArray[Any]]:
    """A function from rows and columns to the squared distances of their places."""
    system = solved.system
    east = np.outer(system.turn[:, 0], lattice.easting_m - system.origin_m[0])
    north = np.outer(system.turn[:, 1], lattice.northing_m - system.origin_m[1])
    if system.variogram.anisotropy is not None:

        def stretched(rows: slice, columns: slice) -> NDArray[Any]:
            places = north[:, rows, None] + east[:, None, columns]
            return _squared(solved, places.reshape(2, -1))

        return stretched
    spots = solved.spots
    by_column = np.square(east[0].astype(spots.dtype) - spots[0][:, None])
    by_row = np.square(north[1].astype(spots.dtype) - spots[1][:, None])

    def alike(rows: slice, columns: slice) -> NDArray[Any]:
        down, along = by_row[:, rows, None], by_column[:, None, columns]
        out = solved.tile((down.shape[1], along.shape[2]))
        np.add(down, along, out=out)
        return out

    return alike
