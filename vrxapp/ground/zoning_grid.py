"""The cells that zones are made of: enough of them, their middles, and the points in each."""

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import GroundError
from vrxapp.ground.grid import Grid, column_eastings_m, paddock_grid, row_northings_m
from vrxapp.ground.paddock import Paddock

FEWEST_CELLS = 100
"""Fewer cells inside a paddock tell no zones apart."""


def zoning_grid(paddock: Paddock, cell_m: float) -> Grid:
    """The cells that cover a paddock, if they are enough to make zones of.

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
    grid = paddock_grid(paddock, cell_m)
    if np.sum(grid.inside) < FEWEST_CELLS:
        raise GroundError(
            f"only {np.sum(grid.inside)} cells of {cell_m:g} m lie in the paddock {paddock.name!r}",
            mend="Choose smaller cells",
        )
    return grid


def cell_middles(grid: Grid) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Easting of each column's and northing of each row's middle. [m]"""
    return column_eastings_m(grid), row_northings_m(grid)


def cell_of_points(
    grid: Grid, easting_m: NDArray[np.float64], northing_m: NDArray[np.float64]
) -> NDArray[np.intp]:
    """The cell of each point, counted row by row; -1 outside the grid."""
    rows, columns = grid.shape
    column = np.floor((easting_m - grid.west_m) / grid.cell_m)
    row = np.floor((grid.north_m - northing_m) / grid.cell_m)
    within = (column >= 0) & (column < columns) & (row >= 0) & (row < rows)  # False for NaN
    return np.where(within, np.where(within, row, 0) * columns + column, -1).astype(np.intp)
