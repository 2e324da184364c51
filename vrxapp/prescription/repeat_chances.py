"""How likely each class is at one place, from results that repeat each other there."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.confidence import (
    chances_of_classes,
    laboratory_cv_percent,
    mean_uncertainty,
)
from vrxapp.prescription.known_test import KnownTest, Repeats

PLACES_AT_ONCE = 512
"""Places that are worked out together, since a whole sheet takes thousands of them."""


@dataclass(frozen=True, slots=True)
class RepeatChances:
    """Chances of the classes of one place.

    Parameters
    ----------
    chances : tuple of float
        From the lowest class up; they add up to 1. [-]
    mean, standard_error : float
        Of the repeated results. [unit of the test]
    count : int
        Number of them.
    blur : str
        What the uncertainty was told from, see `agronomy.confidence.Blur`.
    """

    chances: tuple[float, ...]
    mean: float
    standard_error: float
    count: int
    blur: str


def repeat_chances(
    test: KnownTest, place: int, *, boundaries: tuple[float, ...], sharing: int = PLACES_AT_ONCE
) -> RepeatChances | None:
    """Chance of each class at a place; None where no result repeats another.

    Parameters
    ----------
    test : KnownTest
        The results.
    place : int
        Which place.
    boundaries : tuple of float
        Values that part the classes, rising. [unit of the test]
    sharing : int, optional
        How many places in a row are worked out at once; 1 where each has boundaries of its
        own.
    """
    repeats = test.repeats
    if repeats is None or not np.isfinite(repeats.standard_error[place]):
        return None
    first = place - place % sharing
    end = min(first + sharing, len(repeats.mean))
    chances, blur = _chances_of(repeats, test.analyte.key, (first, end), boundaries)
    return RepeatChances(
        tuple(chances[place - first].tolist()),
        float(repeats.mean[place]),
        float(repeats.standard_error[place]),
        int(repeats.count[place]),
        str(blur[place - first]),
    )


@lru_cache(maxsize=256)
def _chances_of(
    repeats: Repeats, analyte_key: str, rows: tuple[int, int], boundaries: tuple[float, ...]
) -> tuple[NDArray[np.float64], NDArray[np.str_]]:
    """Chances of some places in a row, and what each was told from."""
    here = slice(*rows)
    known = mean_uncertainty(
        repeats.mean[here],
        repeats.standard_error[here],
        repeats.count[here],
        laboratory_cv_percent=laboratory_cv_percent(analyte_key),
    )
    return chances_of_classes(repeats.mean[here], known, boundaries=boundaries), known.blur
