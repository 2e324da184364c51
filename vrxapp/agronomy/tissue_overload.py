"""Over-supply seen in the leaf: what to leave out for the rest of the season.

The rule is a convention of this program: no publication stands behind the actions, only
behind the limits. It never lifts a rate of humate because a nutrient is high, and says
nothing about registered pesticides, whose labels come first.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.tissue import TissueClass
from vrxapp.errors import SoilInputError
from vrxapp.units import PERCENT

RULE_SOURCE = "overload-rule"
RESIDUE_DAYS = 14.0
"""An element sprayed within so many days may be on the leaf, not in it [overload-rule]. [d]"""
UNCONFIRMED_CUT_PERCENT = 25.0
"""The most to cut on the word of one sample [overload-rule]. [%]"""
AGREEING_SAMPLES = 2
"""Samples of one place that must agree before a larger cut [overload-rule]."""
SEVERAL_NUTRIENTS = 2
"""Nutrients over their range at once that call for pulling back [overload-rule]."""

PULL_BACK = (
    "Several nutrients are over their range at once: pull back. Leave out repeat foliar sprays "
    "and those elements in blends for the rest of the season, give only what is short, and "
    "sample again before the next pass"
)
NEVER_MORE_HUMATE = "Do not lift a humate rate because a nutrient is high"


class LeafAction(StrEnum):
    """What to do about one nutrient, in one sentence."""

    NONE = ""
    CORRECT = "Give the planned corrective rate"
    MAINTAIN = "Maintenance only; no repeat foliar spray"
    STOP = "Give none of it for the rest of this season, neither by leaf nor in blends"
    STOP_AND_RESAMPLE = (
        "Give none of it, stop sprays that carry it as a complex, sample again with washed "
        "leaves, and ask an adviser"
    )
    WAIT = "Sprayed on the leaf too lately to tell; do not act on this figure"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class OverloadAdvice:
    """What the leaves say of over-supply; rows are samples, columns nutrients.

    Parameters
    ----------
    actions : ndarray of str, samples × nutrients
        `LeafAction` of each figure.
    cut_percent : ndarray of float, samples × nutrients
        The most that may be cut now; NaN where nothing is over its range. [%]
    high_count : ndarray of int
        Nutrients of each sample that are over their range.
    pulls_back : ndarray of bool
        Samples in which several nutrients are over at once.
    """

    actions: NDArray[np.str_]
    cut_percent: NDArray[np.float64]
    high_count: NDArray[np.intp]
    pulls_back: NDArray[np.bool_]


def overload_advice(
    classes: NDArray[np.str_], places: NDArray[np.intp], *, days_since_spray: ArrayLike = math.nan
) -> OverloadAdvice:
    """Actions for each nutrient of each sample, and where to pull back altogether.

    A figure over its range takes the element to nothing for the season; until a second
    sample of the same place agrees, the cut stays at 25 %.

    Parameters
    ----------
    classes : ndarray of str, samples × nutrients
        `TissueClass` of each figure.
    places : ndarray of int
        The place each sample is of; samples of one place can agree.
    days_since_spray : array_like, samples × nutrients, default NaN
        Days since that element was sprayed on these leaves; NaN for never. [d]

    Returns
    -------
    OverloadAdvice
        Actions, cuts and the samples that call for pulling back.

    Raises
    ------
    SoilInputError
        If the columns do not go together.

    References
    ----------
    .. [1] overload-rule. Convention of this program.

    Examples
    --------
    >>> two = np.array([["high", "adequate"], ["high", "toxic or excess"]])
    >>> advice = overload_advice(two, np.array([0, 0]))
    >>> advice.cut_percent
    array([[100.,  nan],
           [100.,  25.]])
    >>> advice.pulls_back
    array([False,  True])
    """
    if classes.ndim != 2 or places.shape != classes.shape[:1]:
        raise SoilInputError(
            "each sample needs a row of classes and a place",
            mend="Give as many places as there are rows of classes",
        )
    days = np.broadcast_to(np.asarray(days_since_spray, dtype=float), classes.shape)
    waits = (days < RESIDUE_DAYS) & (classes != TissueClass.NONE)
    over = np.isin(classes, [TissueClass.HIGH, TissueClass.TOXIC]) & ~waits
    cuts = np.where(_agreeing(over, places), PERCENT, UNCONFIRMED_CUT_PERCENT)
    high_count = np.sum(over, axis=1)
    return OverloadAdvice(
        actions=_actions(classes, waits),
        cut_percent=np.where(over, cuts, math.nan),
        high_count=high_count,
        pulls_back=high_count >= SEVERAL_NUTRIENTS,
    )


def hints_at_phosphorus_induced_zinc(
    phosphorus: NDArray[np.str_], zinc: NDArray[np.str_]
) -> NDArray[np.bool_]:
    """Samples in which much phosphorus may be the cause of little zinc: a hint, unverified.

    Where it holds, phosphorus is to be held back before zinc is added. No source with a
    limit was found, so no rate follows from it.

    Parameters
    ----------
    phosphorus : ndarray of str
        Class of phosphorus in each sample.
    zinc : ndarray of str
        Class of zinc in each sample.

    Returns
    -------
    ndarray of bool
        Hint that phosphorus holds zinc down: it is over its range and zinc under it.

    References
    ----------
    .. [1] p-induced-zn. From memory.

    Examples
    --------
    >>> hints_at_phosphorus_induced_zinc(np.array(["high"]), np.array(["marginal"]))
    array([ True])
    """
    short = [TissueClass.DEFICIENT, TissueClass.MARGINAL, TissueClass.BELOW]
    return np.isin(phosphorus, [TissueClass.HIGH, TissueClass.TOXIC]) & np.isin(zinc, short)


def _actions(classes: NDArray[np.str_], waits: NDArray[np.bool_]) -> NDArray[np.str_]:
    """The action for each class, and waiting where the leaf was sprayed lately."""
    short = [TissueClass.DEFICIENT, TissueClass.MARGINAL, TissueClass.BELOW]
    conditions = [
        waits,
        np.isin(classes, short),
        classes == TissueClass.ADEQUATE,
        classes == TissueClass.HIGH,
        classes == TissueClass.TOXIC,
    ]
    actions = (
        LeafAction.WAIT,
        LeafAction.CORRECT,
        LeafAction.MAINTAIN,
        LeafAction.STOP,
        LeafAction.STOP_AND_RESAMPLE,
    )
    choices = [str(action) for action in actions]
    return np.asarray(np.select(conditions, choices, default=str(LeafAction.NONE)))


def _agreeing(over: NDArray[np.bool_], places: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Figures that another sample of the same place bears out."""
    _, group = np.unique(places, return_inverse=True)
    counts = np.zeros((group.max(initial=-1) + 1, over.shape[1]), dtype=np.intp)
    np.add.at(counts, group, over)
    return counts[group] >= AGREEING_SAMPLES
