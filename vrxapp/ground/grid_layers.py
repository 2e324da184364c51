"""Rasters and points of all kinds brought onto the one grid of a paddock.

A cell without a value is NaN.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import spatial

from vrxapp.errors import GroundError, Note
from vrxapp.ground.grid import Grid
from vrxapp.ground.projected_crs import transformed, transformed_xy
from vrxapp.ground.raster_source import Bounds, RasterSource, RasterWindow
from vrxapp.ground.zoning_grid import cell_middles, cell_of_points
from vrxapp.units import PERCENT

_READ_CELLS = 16_000_000
_NEIGHBOURS = 8


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class GridLayer:
    """One measured or derived thing on a grid.

    Parameters
    ----------
    name, unit : str
        What it is; the unit may be empty.
    values : ndarray of float
        Rows and columns of the grid, NaN where nothing is known. [unit]
    notes : tuple of Note
        What was doubtful or done on the way.
    """

    name: str
    unit: str
    values: NDArray[np.float64]
    notes: tuple[Note, ...] = ()

    def __post_init__(self) -> None:
        """Keep the values from being changed."""
        self.values.setflags(write=False)


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class PointValues:
    """Measurements at points: a harvest, a drive over the paddock, samples.

    Parameters
    ----------
    name, unit : str
        What was measured.
    easting_m, northing_m : ndarray of float
        Where, in the paddock's coordinates. [m]
    values : ndarray of float
        What, NaN where missing. [unit]
    """

    name: str
    unit: str
    easting_m: NDArray[np.float64]
    northing_m: NDArray[np.float64]
    values: NDArray[np.float64]


def raster_on_grid(source: RasterSource, grid: Grid, *, name: str = "") -> GridLayer:
    """A raster on the grid of a paddock, whatever its coordinate system.

    A cell takes the mean of the raster's cells whose middle lies in it, and where there is
    none (the raster is coarser) the value at its own middle. Scale, offset and missing
    values of the file are those that the source has applied.

    Parameters
    ----------
    source : RasterSource
        The raster.
    grid : Grid
        Where to.
    name : str, optional
        What to call it; empty for what the raster calls its band.

    Raises
    ------
    GroundError
        If the raster holds no value anywhere in the paddock.
    """
    window = source.window(_bounds_in(source.crs, grid), _READ_CELLS)
    called = name or source.band_name or "raster"
    values = _middle_values(window, source.crs, grid)
    # only where the raster's cells are smaller do several of them fall into one of ours
    means = _cell_means(window, source.crs, grid)
    values = np.where(np.isnan(means), values, means)
    return _known_somewhere(GridLayer(called, source.unit, values), grid)


def points_on_grid(points: PointValues, grid: Grid, *, reach_m: float) -> GridLayer:
    """Points on a grid: the median of each cell, and between them what lies around.

    A median bears a few wild points. A cell without a point takes the mean of the eight
    nearest cells that have one, weighted by one over their distance, as far as `reach_m`.

    Parameters
    ----------
    points : PointValues
        What was measured.
    grid : Grid
        Where to.
    reach_m : float
        How far a cell without a point may look; at least the distance of the passes. [m]

    Returns
    -------
    GridLayer
        Its notes say how much was filled, and how many points lie outside the paddock.

    Raises
    ------
    GroundError
        If no point with a value lies in the paddock, or all lie in a single cell.
    """
    cell = cell_of_points(grid, points.easting_m, points.northing_m)
    used = (cell >= 0) & np.isfinite(points.values)
    used[used] = grid.inside.ravel()[cell[used]]
    cells, medians = _medians(cell[used], points.values[used])
    if cells.size < 2:
        problem = "no point with a value lies" if cells.size == 0 else "all points lie on one spot"
        raise GroundError(
            f"{points.name}: {problem} in the paddock",
            mend="Check that the points belong to it, and which column holds the values",
        )
    values = np.full(grid.inside.size, np.nan)
    values[cells] = medians
    _fill_gaps(values, grid, reach_m)
    filled = int(np.sum(np.isfinite(values))) - cells.size
    notes = _point_notes(points, used, share_filled=filled / int(np.sum(grid.inside)))
    return GridLayer(points.name, points.unit, values.reshape(grid.shape), notes)


def _bounds_in(crs: str, grid: Grid) -> Bounds:
    """The box around a grid in another coordinate system."""
    rows, columns = grid.shape
    south, east = grid.north_m - rows * grid.cell_m, grid.west_m + columns * grid.cell_m
    box = shapely.box(grid.west_m, south, east, grid.north_m)
    if crs == grid.crs:
        west, south, east, north = box.bounds
        return west, south, east, north
    fine = shapely.segmentize(box, max(east - grid.west_m, 1.0) / 8)
    (there,) = transformed(np.array([fine], dtype=object), from_crs=grid.crs, to_crs=crs)
    west, south, east, north = there.bounds
    return west, south, east, north


def _middle_values(window: RasterWindow, crs: str, grid: Grid) -> NDArray[np.float64]:
    """The raster's value at the middle of each cell inside the paddock."""
    easting, northing = cell_middles(grid)
    row, column = np.nonzero(grid.inside)
    x, y = easting[column], northing[row]
    if crs != grid.crs:
        x, y = transformed_xy(x, y, from_crs=grid.crs, to_crs=crs)
    a, _, c, _, e, f = window.transform
    there = np.floor((x - c) / a), np.floor((y - f) / e)
    rows, columns = window.values.shape
    known = (there[0] >= 0) & (there[0] < columns) & (there[1] >= 0) & (there[1] < rows)
    values = np.full(grid.shape, np.nan)
    found = window.values[there[1][known].astype(np.intp), there[0][known].astype(np.intp)]
    values[row[known], column[known]] = found
    return values


def _cell_means(window: RasterWindow, crs: str, grid: Grid) -> NDArray[np.float64]:
    """The mean of the raster's cells in each cell inside the paddock, NaN where none."""
    a, _, c, _, e, f = window.transform
    row, column = np.nonzero(np.isfinite(window.values))
    x = np.asarray(c + (column + 0.5) * a, dtype=float)
    y = np.asarray(f + (row + 0.5) * e, dtype=float)
    if crs != grid.crs:
        x, y = transformed_xy(x, y, from_crs=crs, to_crs=grid.crs)
    cell = cell_of_points(grid, x, y)
    used = cell >= 0
    sums = np.bincount(
        cell[used], weights=window.values[row[used], column[used]], minlength=grid.inside.size
    )
    counts = np.bincount(cell[used], minlength=grid.inside.size)
    means = np.full(grid.inside.size, np.nan)
    np.divide(sums, counts, out=means, where=(counts > 0) & grid.inside.ravel())
    return means.reshape(grid.shape)


def _known_somewhere(layer: GridLayer, grid: Grid) -> GridLayer:
    """A layer with a note on what it lacks; refused if it lacks everything."""
    lacking = int(np.sum(~np.isfinite(layer.values) & grid.inside))
    total = int(np.sum(grid.inside))
    if lacking == total:
        raise GroundError(
            f"{layer.name}: the raster holds no value in the paddock",
            mend="Check the file and its missing value, or export the right part again",
        )
    if not lacking:
        return layer
    note = Note(
        f"{layer.name}: {PERCENT * lacking / total:.1f} % of the paddock has no value",
        mend="Zones there follow what lies nearest",
    )
    return GridLayer(layer.name, layer.unit, layer.values, (note,))


def _medians(
    cell: NDArray[np.intp], values: NDArray[np.float64]
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """The cells that hold a point, and the median of each."""
    order = np.lexsort((values, cell))
    cells, first, count = np.unique(cell[order], return_index=True, return_counts=True)
    low, high = values[order][first + (count - 1) // 2], values[order][first + count // 2]
    return cells, (low + high) / 2.0


def _fill_gaps(values: NDArray[np.float64], grid: Grid, reach_m: float) -> None:
    """Give cells without a point the weighted mean of those near by, in place."""
    columns = grid.shape[1]
    known = np.flatnonzero(np.isfinite(values))
    gaps = np.flatnonzero(~np.isfinite(values) & grid.inside.ravel())
    tree = spatial.cKDTree(np.column_stack(np.divmod(known, columns)))
    distance, near = tree.query(
        np.column_stack(np.divmod(gaps, columns)),
        k=min(_NEIGHBOURS, known.size),
        distance_upper_bound=max(reach_m / grid.cell_m, 1e-9) * (1.0 + 1e-9),
    )
    within = np.isfinite(distance)
    weights = np.where(within, 1.0 / np.maximum(distance, 1e-9), 0.0)
    around = np.where(within, values[known[np.where(within, near, 0)]], 0.0)
    has_any = within.any(axis=1)
    values[gaps[has_any]] = (weights * around).sum(axis=1)[has_any] / weights.sum(axis=1)[has_any]


def _point_notes(
    points: PointValues, used: NDArray[np.bool_], *, share_filled: float
) -> tuple[Note, ...]:
    """How many points were of no use, and how much of the paddock was filled between them."""
    left = int(used.size - np.sum(used))
    notes = []
    if left:
        notes.append(
            Note(
                f"{points.name}: {left:,} of {used.size:,} points have no value or lie outside "
                "the paddock, and are left out",
                mend="Nothing needs doing unless there should be none",
            )
        )
    if share_filled > 0.0:
        notes.append(
            Note(
                f"{points.name}: {PERCENT * share_filled:.0f} % of the paddock holds no point and "
                "was filled from those around",
                mend="Larger cells need less filling",
            )
        )
    return tuple(notes)
