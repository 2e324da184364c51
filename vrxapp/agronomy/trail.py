"""The trail of a rate: the ordered steps behind it, as columns over places.

The sentence form is built only for the place somebody asks about, so a trail of a
million places costs no more than its columns.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vrxapp.sources import Grade

_SLOT = re.compile(r"\{\{|\}\}|\{(\w+)\}")


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class TrailStep:
    """One step: a column of values, what it is, and where it comes from.

    Parameters
    ----------
    name : str
        Short name by which the sentences of later steps call the value.
    label : str
        What the column is, in the trade's words.
    unit : str
        Unit of the values; empty for words.
    values : ndarray
        One value for each place: numbers (NaN where missing) or words.
    sentence : str
        Tells the step; ``{name}`` stands for the printed value of a step.
    source : str
        Key of the bibliography; empty where the value was measured or set here.
    grade : Grade or None
        How well the step's own numbers are known; None for plain arithmetic.
    told : ndarray of bool or None
        Places for which the sentence is told; None means all.
    """

    name: str
    label: str
    unit: str
    values: NDArray[np.float64] | NDArray[np.str_]
    sentence: str
    source: str = ""
    grade: Grade | None = None
    told: NDArray[np.bool_] | None = None


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Trail:
    """All steps from the soil test to the rate, in order."""

    steps: tuple[TrailStep, ...]

    def then(self, *steps: TrailStep) -> "Trail":
        """The same trail with further steps behind it."""
        return Trail((*self.steps, *steps))


@dataclass(frozen=True, slots=True)
class Sentence:
    """One step told for one place, with its source and how far it can be trusted."""

    text: str
    source: str
    grade: Grade | None


def told_for(trail: Trail, row: int) -> tuple[Sentence, ...]:
    """The trail of one place as sentences in which the sum can be redone."""
    printed = {step.name: printed_value(step.values[row]) for step in trail.steps}
    return tuple(
        Sentence(_filled_in(step.sentence, printed), step.source, step.grade)
        for step in trail.steps
        if step.sentence and (step.told is None or step.told[row])
    )


def _filled_in(sentence: str, printed: Mapping[str, str]) -> str:
    """A sentence with its values; braces that people typed into a reason or a name stay.

    Doubled braces stand for single ones, as `str.format` has them.
    """

    def value(found: re.Match[str]) -> str:
        if found[1] is None:
            return found[0][0]
        return printed.get(found[1], found[0])

    return _SLOT.sub(value, sentence)


def printed_value(value: float | str) -> str:
    """A value as every sentence prints it: words as they are, numbers to two decimals."""
    if isinstance(value, str):
        return str(value)
    if math.isnan(value):
        return "unknown"
    return f"{value:.2f}".rstrip("0").rstrip(".")


def prefixed(trail: Trail, prefix: str) -> tuple[TrailStep, ...]:
    """The steps of a trail under names of their own, so that they can stand in another one.

    Examples
    --------
    >>> dose = TrailStep("dose", "dose", "kg/ha", np.array([5.0]), "The dose is {dose} kg/ha.")
    >>> prefixed(Trail((dose,)), "humate_")[0].sentence
    'The dose is {humate_dose} kg/ha.'
    """
    return tuple(
        replace(
            step,
            name=prefix + step.name,
            sentence=re.sub(r"\{(\w+)\}", rf"{{{prefix}\1}}", step.sentence),
        )
        for step in trail.steps
    )


def filled(value: float | str, count: int) -> NDArray[np.float64] | NDArray[np.str_]:
    """A column that holds the same value for each of `count` places."""
    if isinstance(value, str):
        return np.full(count, value)
    return np.broadcast_to(np.float64(value), (count,))
