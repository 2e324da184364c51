"""A grid of square cells over a paddock: where each lies, and which are inside.

Rows run from north to south and columns from west to east, as in a raster. Edges lie
on whole multiples of the cell size, so that grids of one farm fit onto each other.
"""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.raster_source import Affine

MOST_CELLS = 25_000_000
"""More cells than this are refused; the message says which size would do."""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Grid:
    """Square cells in the projected coordinates of a paddock.

    Parameters
    ----------
    crs : str
        The paddock's coordinate system.
    west_m, north_m : float
        Corner of the first row and column. [m]
    cell_m : float
        Side of a cell. [m]
    inside : ndarray of bool
        Rows and columns: whether the middle of the cell lies in the paddock.
    """

    crs: str
    west_m: float
    north_m: float
    cell_m: float
    inside: NDArray[np.bool_]

    def __post_init__(self) -> None:
        """Keep the mask from being changed."""
        self.inside.setflags(write=False)

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        rows, columns = self.inside.shape
        return rows, columns

    def middles(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Easting and northing of the middle of each cell inside, row by row. [m]"""
        row, column = np.nonzero(self.inside)
        return column_eastings_m(self)[column], row_northings_m(self)[row]


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class CellValues:
    """A value and its standard error for each cell of a grid.

    Parameters
    ----------
    grid : Grid
        The cells.
    mean : ndarray of float
        Expected value, rows and columns as the grid, NaN outside. [the test's unit]
    standard_error : ndarray of float
        Its standard error, NaN where the method knows none. [the test's unit]
    """

    grid: Grid
    mean: NDArray[np.float64]
    standard_error: NDArray[np.float64]

    def __post_init__(self) -> None:
        """Refuse columns that do not fit the grid, and keep them from being changed."""
        if not self.grid.inside.shape == self.mean.shape == self.standard_error.shape:
            raise GroundError("the values do not have the rows and columns of their grid")
        self.mean.setflags(write=False)
        self.standard_error.setflags(write=False)


def paddock_grid(paddock: Paddock, cell_m: float) -> Grid:
    """The cells that cover a paddock.

    A cell belongs to the paddock if its middle does. Exclusions stay in: their soil
    has values too, and what is spread is decided later.

    Parameters
    ----------
    paddock : Paddock
        Boundary in projected metres.
    cell_m : float
        Side of a cell, above 0. [m]

    Raises
    ------
    GroundError
        If the size is not above 0, makes too many cells, or is too large for a single
        middle to lie inside.

    Examples
    --------
    >>> from shapely import box
    >>> grid = paddock_grid(Paddock("Flat", "EPSG:7855", box(0, 0, 45, 25)), 10.0)
    >>> grid.inside.shape, int(grid.inside.sum()), grid.north_m
    ((3, 5), 8, 30.0)
    """
    if not (math.isfinite(cell_m) and cell_m > 0.0):
        raise GroundError(
            "the size of a cell must be above 0", value=f"{cell_m:g}", mend="Give it in metres"
        )
    bounds = paddock.boundary.bounds
    west, south = (math.floor(edge / cell_m) for edge in bounds[:2])
    east, north = (math.ceil(edge / cell_m) for edge in bounds[2:])
    rows, columns = north - south, east - west
    _require_few(rows * columns, cell_m)
    grid = Grid(
        paddock.crs, west * cell_m, north * cell_m, cell_m, np.zeros((rows, columns), dtype=bool)
    )
    easting, northing = np.meshgrid(column_eastings_m(grid), row_northings_m(grid))
    shapely.prepare(paddock.boundary)
    inside = np.asarray(shapely.contains_xy(paddock.boundary, easting, northing))
    if not inside.any():
        raise GroundError(
            f"no cell of {cell_m:g} m has its middle in {paddock.name!r}",
            mend="Choose a smaller cell",
        )
    return Grid(grid.crs, grid.west_m, grid.north_m, cell_m, inside)


def _require_few(cells: int, cell_m: float) -> None:
    """Refuse a grid that no map needs and no memory should hold."""
    if cells > MOST_CELLS:
        least_m = cell_m * math.sqrt(cells / MOST_CELLS)
        raise GroundError(
            f"cells of {cell_m:g} m would make {cells:,} of them",
            mend=f"Choose cells of at least {math.ceil(least_m * 10.0) / 10.0:g} m",
        )


def column_eastings_m(grid: Grid) -> NDArray[np.float64]:
    """Easting of the middle of each column. [m]"""
    return np.asarray(grid.west_m + grid.cell_m * (np.arange(grid.inside.shape[1]) + 0.5), float)


def row_northings_m(grid: Grid) -> NDArray[np.float64]:
    """Northing of the middle of each row, the northernmost first. [m]"""
    return np.asarray(grid.north_m - grid.cell_m * (np.arange(grid.inside.shape[0]) + 0.5), float)


def grid_transform(grid: Grid) -> Affine:
    """Where the cells lie, as rasters tell it."""
    return (grid.cell_m, 0.0, grid.west_m, 0.0, -grid.cell_m, grid.north_m)


def cells_of(
    grid: Grid, easting_m: NDArray[np.float64], northing_m: NDArray[np.float64]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Row and column of the cell that each point lies in, -1 for both beyond the grid."""
    column = np.floor((easting_m - grid.west_m) / grid.cell_m).astype(np.intp)
    row = np.floor((grid.north_m - northing_m) / grid.cell_m).astype(np.intp)
    rows, columns = grid.inside.shape
    beyond = (row < 0) | (row >= rows) | (column < 0) | (column >= columns)
    return np.where(beyond, -1, row), np.where(beyond, -1, column)
