"""A soil result over a whole paddock: mean, standard error and the chance of being short."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.confidence import (
    MeanUncertainty,
    chance_below,
    laboratory_cv_percent,
    mean_uncertainty,
)
from vrxapp.errors import MissingInputError, Note
from vrxapp.ground.grid import CellValues, Grid, paddock_grid
from vrxapp.ground.interpolation_choice import Interpolation
from vrxapp.ground.inverse_distance import inverse_distance_grid
from vrxapp.ground.kriging import Detail, KrigingLoss, kriged_grid
from vrxapp.ground.result_scale import Scale
from vrxapp.ground.zone_means import (
    paddock_mean_grid,
    zone_means_grid,
    zone_rows,
    zone_sample_counts,
)
from vrxapp.progress import Progress
from vrxapp.season import Season
from vrxapp.units import PERCENT
from vrxapp.workflows.interpolation_study import MapStudy

USUAL_CELL_M = 10.0
MOST_EXACT = 200_000_000
"""Samples times cells up to which every cell's error is worked out exactly, in seconds."""

WHAT_THE_ERROR_IS = {
    Interpolation.KRIGING: "of a new sample taken there",
    Interpolation.ZONE_MEANS: "of the zone's mean; single spots in it differ more",
    Interpolation.PADDOCK_MEAN: "of the paddock's mean; single spots in it differ more",
    Interpolation.INVERSE_DISTANCE: "",
}
"""What the standard error of each way is an error of; inverse distance knows none."""


@dataclass(frozen=True, slots=True)
class MapGrain:
    """How fine a map is, and what it is held against.

    Parameters
    ----------
    cell_m : float
        Side of a cell. [m]
    critical : float
        Value below which the ground is short; NaN for none. [the test's unit]
    """

    cell_m: float = USUAL_CELL_M
    critical: float = math.nan

    def __post_init__(self) -> None:
        """Refuse a critical value that no result could lie below."""
        if not math.isnan(self.critical) and not 0.0 < self.critical < math.inf:
            raise MissingInputError(
                f"a critical value of {self.critical:g} cannot be", mend="Give it above zero"
            )


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class SoilMap:
    """One soil result over a paddock.

    Parameters
    ----------
    study : MapStudy
        What it was made from, and by which way.
    grain : MapGrain
        Cells and critical value.
    cells : CellValues
        Mean and standard error of each cell. [the test's unit]
    chance_percent : ndarray of float or None
        Chance of each cell to lie below the critical value, NaN where it cannot be told;
        None without a critical value, or where the way knows no error. [%]
    notes : tuple of Note
        What is doubtful about the map itself; those of the study stand there.
    """

    study: MapStudy
    grain: MapGrain
    cells: CellValues
    chance_percent: NDArray[np.float64] | None
    notes: tuple[Note, ...]


def soil_map(
    season: Season, study: MapStudy, grain: MapGrain, progress: Progress | None = None
) -> SoilMap:
    """Map one soil result of a season the way that its study takes.

    Parameters
    ----------
    season : Season
        The paddock and its zones.
    study : MapStudy
        The samples, the variogram and the way.
    grain : MapGrain
        Size of the cells, and the critical value where a chance is wanted.
    progress : Progress, optional
        Who watches, and may cancel.

    Raises
    ------
    GroundError
        If the cells are no size, or too many.
    Cancelled
        If whoever watches asked to stop.
    """
    grid = paddock_grid(season.paddock, grain.cell_m)
    cells, notes = _cells(season, study, grid, progress)
    chance = None
    if not math.isnan(grain.critical):
        if study.way is Interpolation.INVERSE_DISTANCE:
            notes += (_NO_CHANCE,)
        else:
            chance = _chance(cells, study, _sample_counts(season, study, grid), grain.critical)
            notes += (_laboratory_note(laboratory_cv_percent(study.analyte.key)),)
    return SoilMap(study, grain, cells, chance, notes)


_NO_CHANCE = Note(
    "inverse distance knows no error of its own, so no chance of being below the critical value "
    "can be told",
    mend="Use kriging or zone means for it",
)


def _laboratory_note(cv_percent: float) -> Note:
    """What stands behind a chance beside the standard error."""
    if math.isnan(cv_percent):
        return Note(
            "no one figure is published for how far laboratories differ on this test, so the "
            "chance counts the standard error alone and is a little too sure"
        )
    return Note(
        f"the chance counts that laboratories differ by {cv_percent:g} % on one soil "
        "(rayment-lyons-2011), beside the standard error"
    )


def _cells(
    season: Season, study: MapStudy, grid: Grid, progress: Progress | None
) -> tuple[CellValues, tuple[Note, ...]]:
    """Mean and standard error of each cell, and what is to be known of them."""
    if study.way is Interpolation.PADDOCK_MEAN:
        return paddock_mean_grid(study.samples, grid), ()
    if study.way is Interpolation.ZONE_MEANS:
        return zone_means_grid(study.samples, season.zones, grid), _zone_notes(season, study)
    if study.way is Interpolation.INVERSE_DISTANCE:
        return inverse_distance_grid(study.samples, grid, progress=progress), ()
    return _kriged(study, grid, progress)


def _kriged(
    study: MapStudy, grid: Grid, progress: Progress | None
) -> tuple[CellValues, tuple[Note, ...]]:
    """Kriging of all cells; where that would take minutes, the errors are eased."""
    assert study.fitted is not None
    work = study.samples.values.size * int(grid.inside.sum())
    detail = Detail.EXACT if work <= MOST_EXACT else Detail.ERROR_EVERY_FOURTH_CELL
    cells, loss = kriged_grid(
        study.samples, study.fitted.variogram, grid, detail=detail, progress=progress
    )
    return cells, () if loss is None else (_loss_note(loss, study.analyte.unit),)


def _loss_note(loss: KrigingLoss, unit: str) -> Note:
    return Note(
        "the standard error was worked out at every fourth cell of every fourth row and lies in "
        f"straight lines between; at {loss.checked_cells:,} cells worked out exactly it is "
        f"{loss.error_typical:.2g} {unit} off as a rule, {loss.error_largest:.2g} at most, the "
        f"mean {loss.mean_largest:.1g} at most",
        mend="Choose larger cells to have all of it exact",
    )


def _zone_notes(season: Season, study: MapStudy) -> tuple[Note, ...]:
    """Zones without a sample, which stay empty, and those of a single one."""
    samples = study.samples
    counts = zone_sample_counts(season.zones, samples.easting_m, samples.northing_m)
    names = np.array(season.zones.names, dtype=object)
    empty, single = names[counts == 0], names[counts == 1]
    notes = []
    if empty.size:
        notes.append(
            Note(
                f"no sample lies in {' and '.join(empty)}: nothing is mapped there",
                mend="Sample it, or use one mean for the paddock",
            )
        )
    if single.size:
        notes.append(
            Note(
                f"only one sample lies in {' and '.join(single)}, which says nothing of the "
                "spread within"
            )
        )
    return tuple(notes)


def _sample_counts(season: Season, study: MapStudy, grid: Grid) -> NDArray[np.float64]:
    """How many samples stand behind each cell's mean."""
    samples = study.samples
    if study.way is not Interpolation.ZONE_MEANS:
        return np.full(grid.shape, float(samples.values.size))
    counts = zone_sample_counts(season.zones, samples.easting_m, samples.northing_m)
    rows, columns = np.nonzero(grid.inside)
    found = np.zeros(grid.shape)
    zone = zone_rows(season.zones, *grid.middles())
    found[rows, columns] = np.append(counts, 0)[zone]
    return found


def _chance(
    cells: CellValues, study: MapStudy, counts: NDArray[np.float64], critical: float
) -> NDArray[np.float64]:
    """Chance of each cell to lie below a critical value, laboratories' differences included. [%]"""
    cv_percent = laboratory_cv_percent(study.analyte.key)
    if study.way is Interpolation.KRIGING and study.scale is Scale.LOGARITHM:
        middle, known = _of_logarithms(cells, counts, cv_percent)
        return PERCENT * chance_below(middle, known, critical=math.log(critical))
    known = mean_uncertainty(
        np.maximum(cells.mean, 0.0),  # kriging may fall a little below zero
        cells.standard_error,
        counts,
        laboratory_cv_percent=cv_percent,
    )
    return PERCENT * chance_below(cells.mean, known, critical=critical)


def _of_logarithms(
    cells: CellValues, counts: NDArray[np.float64], cv_percent: float
) -> tuple[NDArray[np.float64], MeanUncertainty]:
    """Middle and spread of the logarithms whose values have each cell's mean and error.

    A small coefficient of variation is the standard deviation of the logarithms, so that of
    laboratories counts against a mean of one.
    """
    variance = np.log1p((cells.standard_error / cells.mean) ** 2)
    known = mean_uncertainty(
        np.where(np.isnan(cells.mean), np.nan, 1.0),
        np.sqrt(variance),
        counts,
        laboratory_cv_percent=cv_percent,
    )
    return np.log(cells.mean) - variance / 2.0, known
