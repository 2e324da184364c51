"""Results that were worked out from another test: shown with a mark, never taken for measured."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Estimate:
    """A column over places that nobody measured.

    It is no array on purpose: a rule that asks for a measured column refuses it.

    Parameters
    ----------
    name : str
        What is estimated, in the trade's words.
    unit : str
        Unit of the values.
    values : ndarray of float
        One value for each place; NaN where the input is missing.
    basis : str
        What it was worked out from, in one sentence, to stand beside the value.
    source : str
        Key of the bibliography.
    grade : Grade
        How well the equation is known.
    """

    name: str
    unit: str
    values: NDArray[np.float64]
    basis: str
    source: str
    grade: Grade

    def __post_init__(self) -> None:
        """Close the column to writing."""
        self.values.setflags(write=False)


def require_measured(**columns: object) -> None:
    """Refuse a column that was estimated from another test where a measured one is asked for.

    Raises
    ------
    SoilInputError
        If one is an `Estimate`; the message names the parameter.
    """
    for name, column in columns.items():
        if isinstance(column, Estimate):
            raise SoilInputError(
                f"{name} is an estimate ({column.basis}), and a rate asks for a measured one",
                mend=f"Have {column.name} measured, or choose a method that reads another test",
            )


def estimate_marked(estimate: Estimate, place: int) -> str:
    """The estimate of one place as people read it, with its mark; empty where there is none.

    Examples
    --------
    >>> guess = Estimate("pH", "pH", np.array([5.4]), "from water", "program-choice", Grade.YOURS)
    >>> estimate_marked(guess, 0)
    '~5.4 pH (estimated)'
    """
    value = estimate.values[place]
    return f"~{value:.3g} {estimate.unit} (estimated)" if np.isfinite(value) else ""
