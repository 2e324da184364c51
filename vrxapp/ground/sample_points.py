"""Samples as points with one value each, fit to be mapped: none missing, none on another."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import GroundError, Note

FEWEST_SAMPLES = 3
SAME_SPOT_M = 0.01
"""Samples nearer than about this are one spot; no receiver tells them apart. [m]"""
LINE_SHARE = 0.01
"""Samples spread less than this share of their length across it are taken for a line. [-]"""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class SamplePoints:
    """Samples of one test, a value at each spot.

    Parameters
    ----------
    easting_m, northing_m : ndarray of float
        Where they lie, in the paddock's projected coordinates. [m]
    values : ndarray of float
        What was found there. [the test's unit]
    """

    easting_m: NDArray[np.float64]
    northing_m: NDArray[np.float64]
    values: NDArray[np.float64]

    def __post_init__(self) -> None:
        """Keep the columns from being changed."""
        for column in (self.easting_m, self.northing_m, self.values):
            column.setflags(write=False)


def sample_points(
    easting_m: ArrayLike, northing_m: ArrayLike, values: ArrayLike
) -> tuple[SamplePoints, tuple[Note, ...]]:
    """Samples fit to be mapped, and what was left out or joined to get there.

    A sample without a value is left out; samples of one spot become their mean. Both
    are told in notes.

    Parameters
    ----------
    easting_m, northing_m : array_like
        Projected coordinates of the samples. [m]
    values : array_like
        Their results, NaN where there is none. [the test's unit]

    Returns
    -------
    SamplePoints
        At least three spots that are not in one line.
    tuple of Note
        What was done to the samples; empty where nothing was.

    Raises
    ------
    GroundError
        If fewer than three samples have a value, a sample has no place, or all lie in
        one spot or in one line.

    Examples
    --------
    >>> points, notes = sample_points([0, 100, 0, 0], [0, 0, 100, 100], [5.0, 6.0, 7.0, 9.0])
    >>> points.values.tolist()
    [5.0, 8.0, 6.0]
    >>> print(*notes)
    2 samples share a spot with another; each spot counts once, with the mean of its samples.
    """
    columns = [np.array(c, dtype=float).ravel() for c in (easting_m, northing_m, values)]
    if len({column.size for column in columns}) != 1:
        raise GroundError("eastings, northings and values of the samples differ in number")
    valued = ~np.isnan(columns[2])
    easting, northing, found = (column[valued] for column in columns)
    _require_places(easting, northing, found)
    points, shared = _one_a_spot(easting, northing, found)
    _require_spread(points)
    return points, tuple(_notes(int(np.sum(~valued)), shared))


def _require_places(
    easting: NDArray[np.float64], northing: NDArray[np.float64], found: NDArray[np.float64]
) -> None:
    """Refuse too few samples, and those without a place or with an endless value."""
    if found.size < FEWEST_SAMPLES:
        raise GroundError(
            f"a map needs at least {FEWEST_SAMPLES} samples with a value and a place",
            value=str(found.size),
            mend="Give the paddock one value, or zones one value each",
        )
    if not np.all(np.isfinite(easting) & np.isfinite(northing)):
        raise GroundError(
            "a sample has a value but no place",
            mend="Give it coordinates, or leave it out",
        )
    if np.any(np.isinf(found)):
        raise GroundError("a sample has an endless value", mend="Check its result")


def _one_a_spot(
    easting: NDArray[np.float64], northing: NDArray[np.float64], found: NDArray[np.float64]
) -> tuple[SamplePoints, int]:
    """The mean of each spot, and how many samples shared theirs."""
    spots = np.round(np.column_stack([easting, northing]) / SAME_SPOT_M).astype(np.int64)
    _, spot, size = np.unique(spots, axis=0, return_inverse=True, return_counts=True)
    means = [np.bincount(spot.ravel(), column) / size for column in (easting, northing, found)]
    return SamplePoints(*means), int(np.sum(size[size > 1]))


def _require_spread(points: SamplePoints) -> None:
    """Refuse samples that say nothing about the ground beside them."""
    places = np.column_stack([points.easting_m, points.northing_m])
    centered = places - places.mean(axis=0)
    along, across = np.linalg.svd(centered, compute_uv=False) if len(places) > 1 else (0.0, 0.0)
    if along == 0.0:
        raise GroundError(
            "all samples lie in one spot",
            mend="Check the coordinates, or give the paddock their mean",
        )
    if across < LINE_SHARE * along:
        raise GroundError(
            "the samples lie in one line and say nothing about the ground to either side",
            mend="Add samples off the line, or give each zone a value",
        )
    if len(places) < FEWEST_SAMPLES:
        raise GroundError(
            f"the samples lie in fewer than {FEWEST_SAMPLES} spots",
            mend="Check the coordinates, or give the paddock their mean",
        )


def _notes(missing: int, shared: int) -> list[Note]:
    """What was left out or joined, in words."""
    notes = []
    if missing:
        what = "1 sample has" if missing == 1 else f"{missing} samples have"
        notes.append(Note(f"{what} no value and is left out of the map"))
    if shared:
        notes.append(
            Note(
                f"{shared} samples share a spot with another; each spot counts once, with the "
                "mean of its samples"
            )
        )
    return notes
