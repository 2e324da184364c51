"""What is known of one soil test at each place: measured, worked out, or estimated."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.soil.analytes import Analyte
from vrxapp.soil.results_table import Limit
from vrxapp.sources import Grade


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Repeats:
    """What repeated results of each place say together.

    Parameters
    ----------
    mean : ndarray of float
        Mean of the results. [unit of the test]
    standard_error : ndarray of float
        Standard error of that mean; NaN for fewer than two results. [the same unit]
    count : ndarray of int
        Number of results.
    """

    mean: NDArray[np.float64]
    standard_error: NDArray[np.float64]
    count: NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class KnownTest:
    """What is known of one analyte, one row a place: measured, or worked out.

    Parameters
    ----------
    analyte : Analyte
        What it is.
    values : ndarray of float
        Results; where `limits` says so, the limit itself. NaN where there is none.
    limits : ndarray of str
        ``"<"``, ``">"`` or empty.
    basis : str
        What it was worked out from; empty where it was measured.
    lacking : ndarray of str
        Why a place has no value; empty where it has one.
    doubts : ndarray of str
        What to mind at a place; empty for nothing.
    is_estimate : bool, optional
        Whether the values rest on more than was measured.
    is_worked_out : bool, optional
        Whether they stand on no sheet, so that no rate reads them.
    low, high : ndarray of float or None, optional
        Ends of an estimate that is a range, `values` being their middle.
    source : str, optional
        Key of the bibliography for what it was worked out by.
    grade : Grade or None, optional
        How well that is known.
    repeats : Repeats or None, optional
        What repeated results say, where there are any.
    """

    analyte: Analyte
    values: NDArray[np.float64]
    limits: NDArray[np.str_]
    basis: str
    lacking: NDArray[np.object_]
    doubts: NDArray[np.object_]
    is_estimate: bool = False
    is_worked_out: bool = False
    low: NDArray[np.float64] | None = None
    high: NDArray[np.float64] | None = None
    source: str = ""
    grade: Grade | None = None
    repeats: Repeats | None = None


def known_of(tests: Iterable[KnownTest], key: str) -> KnownTest | None:
    """The test of one analyte, or None."""
    return next((test for test in tests if test.analyte.key == key), None)


def numbers_told(tests: Iterable[KnownTest], key: str, *, count: int) -> NDArray[np.float64]:
    """Results of one analyte that are numbers; NaN where there is none or only a limit."""
    test = known_of(tests, key)
    if test is None:
        return np.full(count, np.nan)
    return np.where(test.limits == Limit.NONE, test.values, np.nan)
