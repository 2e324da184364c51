"""Layers made from others: slope, and what several harvests have in common."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vrxapp.errors import GroundError, MissingInputError, Note
from vrxapp.ground.grid import Grid
from vrxapp.ground.grid_layers import GridLayer
from vrxapp.units import PERCENT

_CONSTANT = 1e-9
"""Spread, as a share of the size of the values, below which they are all the same."""


def standardised(layer: GridLayer, grid: Grid) -> GridLayer:
    """A layer with mean 0 and standard deviation 1 over the paddock.

    So that no layer weighs more for its unit. [standard deviations]

    Raises
    ------
    GroundError
        If it has the same value everywhere: then it tells no zones apart.
    """
    inside = layer.values[grid.inside & np.isfinite(layer.values)]
    spread = float(np.std(inside)) if inside.size else 0.0
    if spread <= _CONSTANT * max(1.0, float(np.max(np.abs(inside), initial=0.0))):
        raise GroundError(
            f"{layer.name} has the same value all over the paddock, so it tells no zones apart",
            mend="Leave it out, or check which band or column was read",
        )
    values = (layer.values - float(np.mean(inside))) / spread
    return GridLayer(layer.name, "standard deviations", values, layer.notes)


def slope_percent(elevation: GridLayer, grid: Grid) -> GridLayer:
    """How steep the ground is: the rise over the run where it is steepest. [%]

    By central differences over two cells; a cell at the edge of what is known leans on the
    nearest elevation inside.

    Parameters
    ----------
    elevation : GridLayer
        Heights. [m]
    grid : Grid
        Their grid.
    """
    known = np.isfinite(elevation.values)
    nearest = ndimage.distance_transform_edt(~known, return_distances=False, return_indices=True)
    north_south, east_west = np.gradient(elevation.values[tuple(nearest)], grid.cell_m)
    slope = PERCENT * np.hypot(north_south, east_west)
    return GridLayer(
        f"Slope of {elevation.name}", "%", np.where(known, slope, np.nan), elevation.notes
    )


def mean_of_seasons(harvests: Sequence[GridLayer], grid: Grid) -> GridLayer:
    """What several seasons' harvests agree on: the mean of each, standardised first.

    A good and a bad year count alike that way. A cell that a season missed is the mean of
    the others. [standard deviations]

    Parameters
    ----------
    harvests : sequence of GridLayer
        Two seasons or more.
    grid : Grid
        Their grid.

    Raises
    ------
    MissingInputError
        If there are fewer than two seasons.
    """
    seasons, count = _seasons(harvests, grid)
    total = np.nansum(seasons, axis=0)
    mean = np.full(grid.shape, np.nan)
    np.divide(total, count, out=mean, where=count > 0)
    return GridLayer("Mean of harvests", "standard deviations", mean, _notes(harvests))


def swing_of_seasons(harvests: Sequence[GridLayer], grid: Grid) -> GridLayer:
    """How much a place changes its standing from season to season.

    The standard deviation over seasons of its standardised yield: near zero where a place is
    always as good or as poor as it was, 1 and above where it swings. With two or three
    seasons this is itself uncertain. [standard deviations]

    Parameters
    ----------
    harvests : sequence of GridLayer
        Two seasons or more.
    grid : Grid
        Their grid.

    Raises
    ------
    MissingInputError
        If there are fewer than two seasons.
    """
    seasons, count = _seasons(harvests, grid)
    mean = np.full(grid.shape, np.nan)
    np.divide(np.nansum(seasons, axis=0), count, out=mean, where=count > 1)
    squares = np.nansum((seasons - mean) ** 2, axis=0)
    swing = np.full(grid.shape, np.nan)
    np.divide(squares, count - 1, out=swing, where=count > 1)
    return GridLayer("Swing of harvests", "standard deviations", np.sqrt(swing), _notes(harvests))


def _seasons(
    harvests: Sequence[GridLayer], grid: Grid
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Standardised seasons one above the other, and how many know each cell."""
    if len(harvests) < 2:
        raise MissingInputError(
            "one season says nothing about how seasons agree", mend="Give two harvests or more"
        )
    seasons = np.stack([standardised(harvest, grid).values for harvest in harvests])
    return seasons, np.asarray(np.sum(np.isfinite(seasons), axis=0))


def _notes(harvests: Sequence[GridLayer]) -> tuple[Note, ...]:
    return tuple(note for harvest in harvests for note in harvest.notes)
