"""How likely each class is at one place, from results that repeat each other there."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from vrxapp.agronomy.confidence import (
    chances_of_classes,
    laboratory_cv_percent,
    mean_uncertainty,
)
from vrxapp.prescription.known_test import KnownTest


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


def repeat_chances(test: KnownTest, place: int, *, boundaries: ArrayLike) -> RepeatChances | None:
    """Chance of each class at a place; None where no result repeats another.

    Parameters
    ----------
    test : KnownTest
        The results.
    place : int
        Which place.
    boundaries : array_like
        Values that part the classes, rising. [unit of the test]
    """
    repeats = test.repeats
    if repeats is None or not np.isfinite(repeats.standard_error[place]):
        return None
    mean, error = repeats.mean[[place]], repeats.standard_error[[place]]
    known = mean_uncertainty(
        mean,
        error,
        repeats.count[[place]],
        laboratory_cv_percent=laboratory_cv_percent(test.analyte.key),
    )
    (found,) = chances_of_classes(mean, known, boundaries=boundaries)
    return RepeatChances(
        tuple(found.tolist()),
        float(mean[0]),
        float(error[0]),
        int(repeats.count[place]),
        str(known.blur[0]),
    )
