"""The last test beside this one: what has risen, what has fallen, what nobody could tell."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import SoilInputError
from vrxapp.soil.analytes import Analyte
from vrxapp.soil.by_place import PlaceResults
from vrxapp.soil.laboratory_spread import LaboratoryCv, laboratory_cv, least_difference_percent
from vrxapp.units import PERCENT


class Change(StrEnum):
    """What two tests of one place say together."""

    RISEN = "risen"
    FALLEN = "fallen"
    NOT_TOLD_APART = "no change that the laboratory could tell"
    BEYOND_LIMIT = "not comparable: a result is only known to lie beyond a limit"
    NO_SPREAD = "not judged: no spread between laboratories is published for this test"
    NOT_TESTED_BEFORE = "not tested before"
    NOT_TESTED_NOW = "not tested now"
    NOT_TESTED = "not tested"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class ChangeSince:
    """Two tests of one analyte, one row a place; all columns are read-only.

    Parameters
    ----------
    analyte : Analyte
        What was measured, both times by the same method.
    before, now : ndarray of float
        Means of the two tests; NaN where there is none. [analyte.unit]
    difference : ndarray of float
        Now less before; NaN where one of the two is missing. [analyte.unit]
    least_difference : ndarray of float
        Least difference that can be told from the spread of laboratories; NaN where no
        spread is published. [analyte.unit]
    change : ndarray of str
        What the two say together, see `Change`.
    spread : LaboratoryCv or None
        The published spread behind `least_difference`, with its source.
    """

    analyte: Analyte
    before: NDArray[np.float64]
    now: NDArray[np.float64]
    difference: NDArray[np.float64]
    least_difference: NDArray[np.float64]
    change: NDArray[np.object_]
    spread: LaboratoryCv | None

    def __post_init__(self) -> None:
        """Close the columns to writing."""
        for column in (self.difference, self.least_difference, self.change):
            column.setflags(write=False)


def change_since(before: PlaceResults, now: PlaceResults) -> ChangeSince:
    r"""The change of one analyte at each place since the last test.

    Parameters
    ----------
    before, now : PlaceResults
        The two tests, of the same places in the same order and of one layer.

    Returns
    -------
    ChangeSince
        Risen or fallen only where the two differ by more than laboratories do.

    Raises
    ------
    SoilInputError
        If the two are by different methods, or of different places.

    Notes
    -----
    .. math:: d = 1.96 \sqrt 2 \; CV \; (x_1 + x_2) / 2

    The spread is that between laboratories on one ground sample. Where the cores were taken
    adds to it, so a change that is told here may still be one of sampling; the same
    laboratory, month and points make it surer.

    References
    ----------
    .. [1] rayment-lyons-2011. Table App. 2.1, robust spread between laboratories.
    """
    _require_same(before, now)
    older, newer = before.mean, now.mean
    spread = laboratory_cv(now.analyte.key)
    share = least_difference_percent(spread.cv_percent) / PERCENT if spread else np.nan
    difference = newer - older
    least = np.asarray(share * (older + newer) / 2.0)
    return ChangeSince(
        now.analyte, older, newer, difference, least, _changes(before, now, least=least), spread
    )


def _require_same(before: PlaceResults, now: PlaceResults) -> None:
    """Refuse two tests that cannot stand side by side."""
    if before.analyte.key != now.analyte.key:
        raise SoilInputError(
            f"{before.analyte.name} and {now.analyte.name} are two methods; their results are "
            "not comparable",
            mend="Compare tests by one method",
        )
    if before.mean.shape != now.mean.shape:
        raise SoilInputError(
            f"the last test has {before.mean.size} places and this one {now.mean.size}",
            mend="Join both sheets to the same places",
        )


def _changes(
    before: PlaceResults, now: PlaceResults, *, least: NDArray[np.float64]
) -> NDArray[np.object_]:
    """The word for each place."""
    no_before, no_now = np.isnan(before.mean), np.isnan(now.mean)
    difference = now.mean - before.mean
    texts = np.array([str(change) for change in Change], dtype=object)
    claims = {
        Change.NOT_TESTED: no_before & no_now,
        Change.NOT_TESTED_BEFORE: no_before,
        Change.NOT_TESTED_NOW: no_now,
        Change.BEYOND_LIMIT: (before.beyond_limit > 0) | (now.beyond_limit > 0),
        Change.NO_SPREAD: np.isnan(least),
        Change.RISEN: difference > least,
        Change.FALLEN: difference < -least,
    }
    order = list(Change)
    which = np.select(
        list(claims.values()),
        [order.index(change) for change in claims],
        order.index(Change.NOT_TOLD_APART),
    )
    return np.asarray(texts[which], dtype=object)
