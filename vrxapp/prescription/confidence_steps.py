"""How sure the class of each zone is, as steps of the trail."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.confidence import (
    Blur,
    chance_below,
    laboratory_cv_percent,
    mean_uncertainty,
)
from vrxapp.agronomy.trail import TrailStep
from vrxapp.soil.by_place import PlaceResults
from vrxapp.sources import Grade
from vrxapp.units import PERCENT

CHANCE_BELOW = "chance_below"
"""Name of the step that holds the chance of each zone to lie below its range. [%]"""
CHANCE_FROM = "chance_from"
"""Name of the step that holds what it was told from: `Blur`."""


def confidence_steps(test: PlaceResults, critical_low: ArrayLike) -> tuple[TrailStep, ...]:
    """The chance that each zone truly lies below its critical range.

    Told from the spread between the samples of the zone and from what laboratories differ
    on one soil; with one sample from the second alone, and the sentence says so.

    Parameters
    ----------
    test : PlaceResults
        Results of the soil test.
    critical_low : array_like
        Low end of the critical range of each zone. [unit of the test]

    References
    ----------
    .. [1] rayment-lyons-2011. Coefficients of variation between laboratories.
    """
    known = mean_uncertainty(
        test.mean,
        test.standard_error,
        test.count,
        laboratory_cv_percent=laboratory_cv_percent(test.analyte.key),
    )
    low = np.broadcast_to(np.asarray(critical_low, dtype=float), test.mean.shape)
    chance = chance_below(test.mean, known, critical=low) * PERCENT
    told = np.isfinite(chance)
    has_laboratory = bool(np.any(known.blur != Blur.SAMPLES) and np.any(told))
    return (
        TrailStep(CHANCE_FROM, "what the chance is told from", "", known.blur, ""),
        TrailStep(
            CHANCE_BELOW,
            "chance of being below the critical range",
            "%",
            _whole(chance),
            "The chance that it truly lies below the critical range is {chance_below} %, told "
            "from {chance_from}.",
            source="rayment-lyons-2011" if has_laboratory else "",
            grade=Grade.PUBLISHED if has_laboratory else None,
            told=told,
        ),
        TrailStep(
            "chance_bound",
            "samples behind the chance",
            "",
            test.count.astype(float),
            "One sample says nothing of the spread within the zone, so the true doubt is larger.",
            told=told & (known.blur == Blur.LABORATORY),
        ),
    )


def _whole(chance_percent: NDArray[np.float64]) -> NDArray[np.float64]:
    """A chance to a tenth of a percent: more would pretend to know the unknowable."""
    return np.round(chance_percent, 1)
