"""A grid of square cells over a paddock: where each lies, and which are inside.

Rows run from north to south and columns from west to east; edges lie on whole multiples of
the cell, so that grids of one farm fit onto each other.
"""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError
from vrxapp.ground.paddock import Paddock

MOST_CELLS = 25_000_000
FEWEST_CELLS = 100
"""Fewer cells inside a paddock tell no zones apart."""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class PaddockGrid:
    """Square cells that cover a paddock.

    Parameters
    ----------
    crs : str
        Projected coordinate system of the paddock.
    cell_m : float
        Side of a cell. [m]
    west_m, north_m : float
        Corner where rows and columns begin. [m]
    inside : ndarray of bool
        Rows and columns: whether a cell has its middle in the paddock.
    """

    crs: str
    cell_m: float
    west_m: float
    north_m: float
    inside: NDArray[np.bool_]

    def __post_init__(self) -> None:
        """Keep the cells from being changed."""
        self.inside.setflags(write=False)

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        rows, columns = self.inside.shape
        return rows, columns


def paddock_grid(paddock: Paddock, cell_m: float) -> PaddockGrid:
    """The cells that cover a paddock.

    Parameters
    ----------
    paddock : Paddock
        Whose ground.
    cell_m : float
        Side of a cell, above 0. [m]

    Raises
    ------
    GroundError
        If the cells are so small that there are too many, or so large that fewer than a
        hundred lie in the paddock.
    """
    if not (math.isfinite(cell_m) and cell_m > 0.0):
        raise GroundError(f"a cell of {cell_m:g} m is no cell", mend="Give metres, such as 5")
    west, south, east, north = paddock.boundary.bounds
    left, top = math.floor(west / cell_m), math.ceil(north / cell_m)
    columns, rows = math.ceil(east / cell_m) - left, top - math.floor(south / cell_m)
    if rows * columns > MOST_CELLS:
        raise GroundError(
            f"cells of {cell_m:g} m would be {rows * columns:,} in number",
            mend=f"Choose larger ones; {MOST_CELLS:,} can be worked with",
        )
    west_m, north_m = left * cell_m, top * cell_m
    easting = west_m + (np.arange(columns) + 0.5) * cell_m
    northing = north_m - (np.arange(rows) + 0.5) * cell_m
    shapely.prepare(paddock.boundary)
    inside = shapely.contains_xy(paddock.boundary, *np.meshgrid(easting, northing))
    if np.sum(inside) < FEWEST_CELLS:
        raise GroundError(
            f"only {np.sum(inside)} cells of {cell_m:g} m lie in the paddock {paddock.name!r}",
            mend="Choose smaller cells",
        )
    return PaddockGrid(paddock.crs, cell_m, west_m, north_m, np.asarray(inside))


def cell_middles(grid: PaddockGrid) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Easting of each column's and northing of each row's middle. [m]"""
    rows, columns = grid.shape
    easting = np.asarray(grid.west_m + (np.arange(columns) + 0.5) * grid.cell_m, dtype=float)
    northing = np.asarray(grid.north_m - (np.arange(rows) + 0.5) * grid.cell_m, dtype=float)
    return easting, northing


def cell_of_points(
    grid: PaddockGrid, easting_m: NDArray[np.float64], northing_m: NDArray[np.float64]
) -> NDArray[np.intp]:
    """The cell of each point, counted row by row; -1 outside the grid."""
    rows, columns = grid.shape
    column = np.floor((easting_m - grid.west_m) / grid.cell_m)
    row = np.floor((grid.north_m - northing_m) / grid.cell_m)
    within = (column >= 0) & (column < columns) & (row >= 0) & (row < rows)  # False for NaN
    return np.where(within, np.where(within, row, 0) * columns + column, -1).astype(np.intp)
