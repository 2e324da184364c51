"""Ordinary kriging of samples to points or to a paddock's cells, with its standard error.

The standard error is that of a new sample at the place, nugget included. Nor is a
sample's own value taken for the truth at its spot: under a nugget a second sample
beside it would differ, and the map says so.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import GroundError
from vrxapp.ground.grid import CellValues, Grid, cells_of, column_eastings_m, row_northings_m
from vrxapp.ground.kriging_sweep import Estimates, Lattice, at_points, over_lattice
from vrxapp.ground.kriging_system import KrigingSystem, kriging_system
from vrxapp.ground.one_thread import one_matrix_thread
from vrxapp.ground.result_scale import Scale, back_from_logarithms
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import Variogram
from vrxapp.progress import Progress, Unwatched

COARSE_STEP = 4
CHECKED_CELLS = 1000
"""Cells spread over the grid at which a faster way is compared with the exact one."""


class Detail(StrEnum):
    """How exactly a grid is worked out."""

    EXACT = "double precision, error at each cell"
    SINGLE_PRECISION = "single precision, error at each cell"
    ERROR_EVERY_FOURTH_CELL = "single precision, error at every fourth cell of every fourth row"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class KrigedPoints:
    """Kriging at points, a row each.

    Parameters
    ----------
    mean : ndarray of float
        Expected value. [the test's unit]
    standard_error : ndarray of float
        Standard error of a new sample's value there. [the test's unit]
    """

    mean: NDArray[np.float64]
    standard_error: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class KrigingLoss:
    """How far a faster way was off the exact one, at the cells that were worked out twice.

    These are the cells that hold samples, where the loss is largest, and a thousand more.

    Parameters
    ----------
    checked_cells : int
        How many were compared.
    mean_largest : float
        Largest difference of the mean. [the test's unit]
    error_typical, error_largest : float
        Root mean square and largest difference of the standard error. [the test's unit]
    """

    checked_cells: int
    mean_largest: float
    error_typical: float
    error_largest: float


def kriged_points(
    samples: SamplePoints,
    variogram: Variogram,
    easting_m: ArrayLike,
    northing_m: ArrayLike,
    *,
    progress: Progress | None = None,
) -> KrigedPoints:
    """Expected value and standard error at points, from all samples.

    Parameters
    ----------
    samples : SamplePoints
        Where something was found, and what.
    variogram : Variogram
        How values differ with distance; one of logarithms gives values all the same.
    easting_m, northing_m : array_like
        The points, in the coordinates of the samples. [m]
    progress : Progress, optional
        Who watches, and may cancel.

    Returns
    -------
    KrigedPoints
        A row for each point; NaN where its place is NaN.

    Raises
    ------
    GroundError
        If the samples cannot be kriged with this variogram, or the points' columns
        differ in number.
    Cancelled
        If whoever watches asked to stop.

    References
    ----------
    .. [1] gstat-meuse. Ordinary kriging of log zinc of the Meuse.

    Examples
    --------
    >>> from vrxapp.ground.variogram import Model
    >>> corners = SamplePoints(
    ...     np.array([0.0, 100.0, 0.0, 100.0]), np.array([0.0, 0.0, 100.0, 100.0]),
    ...     np.array([4.0, 6.0, 6.0, 8.0]),
    ... )
    >>> middle = kriged_points(corners, Variogram(Model.SPHERICAL, 0.0, 1.0, 300.0), [50.0], [50.0])
    >>> float(middle.mean[0].round(6))
    6.0
    """
    easting, northing = (
        np.asarray(column, dtype=float).ravel() for column in (easting_m, northing_m)
    )
    if easting.size != northing.size:
        raise GroundError("eastings and northings of the points differ in number")
    system = kriging_system(samples, variogram)
    found = at_points(system, easting, northing, progress or Unwatched())
    return KrigedPoints(*_in_the_tests_unit(found, variogram.scale))


def kriged_grid(
    samples: SamplePoints,
    variogram: Variogram,
    grid: Grid,
    *,
    detail: Detail = Detail.EXACT,
    progress: Progress | None = None,
) -> tuple[CellValues, KrigingLoss | None]:
    """Expected value and standard error of each cell of a grid, from all samples.

    Parameters
    ----------
    samples : SamplePoints
        Where something was found, and what, in the grid's coordinates.
    variogram : Variogram
        How values differ with distance; one of logarithms gives values all the same.
    grid : Grid
        The cells; those outside the paddock cost nothing.
    detail : Detail, default exact
        A faster way may do for a map on screen; what it loses is measured.
    progress : Progress, optional
        Who watches, and may cancel.

    Returns
    -------
    CellValues
        At the middle of each cell inside.
    KrigingLoss or None
        How far the faster way was off; none if worked out exactly.

    Raises
    ------
    GroundError
        If the samples cannot be kriged with this variogram.
    Cancelled
        If whoever watches asked to stop.
    """
    lattice = Lattice(column_eastings_m(grid), row_northings_m(grid), grid.inside)
    with one_matrix_thread():
        system = kriging_system(samples, variogram)
        found = _swept(system, lattice, detail, progress or Unwatched())
        cells = CellValues(grid, *_in_the_tests_unit(found, variogram.scale))
        return cells, None if detail is Detail.EXACT else _loss(system, samples, cells)


def _swept(
    system: KrigingSystem, lattice: Lattice, detail: Detail, progress: Progress
) -> Estimates:
    """All cells, as exactly as asked for."""
    if detail is Detail.ERROR_EVERY_FOURTH_CELL:
        return _error_between(system, lattice, progress)
    precision = np.float64 if detail is Detail.EXACT else np.float32
    return over_lattice(system, lattice, precision=precision, with_error=True, progress=progress)


def _in_the_tests_unit(
    found: Estimates, scale: Scale
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean and standard error as the laboratory would report them."""
    if scale is Scale.LOGARITHM:
        return back_from_logarithms(*found)
    return found.mean, np.sqrt(found.variance)


def _error_between(system: KrigingSystem, lattice: Lattice, progress: Progress) -> Estimates:
    """The mean of each cell; variance and multiplier in straight lines between some cells."""
    rows, columns = (_every_fourth(count) for count in lattice.wanted.shape)
    coarse = Lattice(
        lattice.easting_m[columns],
        lattice.northing_m[rows],
        np.ones((rows.size, columns.size), dtype=bool),
    )
    known = over_lattice(system, coarse, precision=np.float32, with_error=True, progress=progress)
    means = over_lattice(system, lattice, precision=np.float32, with_error=False, progress=progress)
    return Estimates(
        means.mean, *(_between(part, rows, columns, lattice.wanted) for part in known[1:])
    )


def _every_fourth(count: int) -> NDArray[np.intp]:
    """Every fourth of so many rows, and the last."""
    return np.unique(np.append(np.arange(0, count, COARSE_STEP), count - 1))


def _between(
    known: NDArray[np.float64],
    rows: NDArray[np.intp],
    columns: NDArray[np.intp],
    wanted: NDArray[np.bool_],
) -> NDArray[np.float64]:
    """Straight lines between known rows and columns; NaN where not wanted."""
    full = _along_rows(_along_rows(known, columns).T, rows).T
    return np.where(wanted, full, np.nan)


def _along_rows(known: NDArray[np.float64], at: NDArray[np.intp]) -> NDArray[np.float64]:
    """Each row, known at some of its columns, at all of them."""
    if at.size == 1:
        return known
    column = np.arange(at[-1] + 1)
    left = np.minimum(np.searchsorted(at, column, side="right") - 1, at.size - 2)
    share = (column - at[left]) / (at[left + 1] - at[left])
    return np.asarray(known[:, left] * (1.0 - share) + known[:, left + 1] * share)


def _loss(system: KrigingSystem, samples: SamplePoints, cells: CellValues) -> KrigingLoss:
    """Compare some cells with exact kriging: those that hold samples, and more spread evenly."""
    grid = cells.grid
    inside = np.flatnonzero(grid.inside)
    spread = inside[:: max(1, inside.size // CHECKED_CELLS)]
    row, column = cells_of(grid, samples.easting_m, samples.northing_m)
    held = np.ravel_multi_index((row[row >= 0], column[row >= 0]), grid.inside.shape)
    checked = np.union1d(spread, held[grid.inside.ravel()[held]])
    row, column = np.unravel_index(checked, grid.inside.shape)
    found = at_points(
        system, column_eastings_m(grid)[column], row_northings_m(grid)[row], Unwatched()
    )
    mean, error = _in_the_tests_unit(found, system.variogram.scale)
    off = cells.standard_error[row, column] - error
    return KrigingLoss(
        checked_cells=checked.size,
        mean_largest=float(np.max(np.abs(cells.mean[row, column] - mean))),
        error_typical=float(np.sqrt(np.mean(off**2))),
        error_largest=float(np.max(np.abs(off))),
    )
