"""Checks at the door of a rule: a value out of range is refused by name."""

import numpy as np
from numpy.typing import ArrayLike

from vrxapp.errors import SoilInputError


def require_at_least_zero(**values: ArrayLike) -> None:
    """Refuse a negative or infinite value; a missing one (NaN) may stay missing."""
    for name, column in values.items():
        numbers = np.asarray(column, dtype=float)
        _refuse(name, numbers, numbers < 0, "must not be negative")


def require_above_zero(**values: ArrayLike) -> None:
    """Refuse zero, a negative or an infinite value; a missing one may stay missing."""
    for name, column in values.items():
        numbers = np.asarray(column, dtype=float)
        _refuse(name, numbers, numbers <= 0, "must be above zero")


def _refuse(name: str, numbers: np.ndarray, wrong: np.ndarray, rule: str) -> None:
    """Raise for the first wrong value, saying how many there are."""
    wrong = wrong | np.isinf(numbers)
    if np.any(wrong):
        first = numbers[wrong].flat[0]
        raise SoilInputError(
            f"{name} {rule}; {int(np.sum(wrong))} of {numbers.size} values do not fit",
            value=f"{first:g}",
            mend="Check the value and its unit",
        )
