"""How far laboratories differ on one soil, and how far two results must lie apart to differ."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table

_TWO_SIDED_95 = 1.96


@dataclass(frozen=True, slots=True)
class LaboratoryCv:
    """How far laboratories differ on one soil: the robust coefficient of variation. [%]"""

    key: str
    cv_percent: float
    source: str
    where: str
    grade: Grade


def laboratory_cvs() -> tuple[LaboratoryCv, ...]:
    """Every published spread between laboratories that the program knows."""
    return read_table("laboratory_cv.csv", LaboratoryCv)


def laboratory_cv(analyte_key: str) -> LaboratoryCv | None:
    """The published spread of one analyte, or None where none is."""
    return next((cv for cv in laboratory_cvs() if cv.key == analyte_key), None)


def least_difference_percent(cv_percent: float) -> float:
    """How far two results must lie apart before they can be called different. [% of their mean]

    Examples
    --------
    >>> round(least_difference_percent(13.8), 2)
    38.25
    """
    return _TWO_SIDED_95 * math.sqrt(2.0) * cv_percent


def horwitz_cv_percent(mass_fraction: ArrayLike) -> NDArray[np.float64]:
    r"""Spread that good laboratories show at a concentration, whatever is measured.

    Parameters
    ----------
    mass_fraction : array_like
        Concentration, above 0, at most 1; 1 mg/kg is 1e-6. [-]

    Returns
    -------
    ndarray of float
        Coefficient of variation between laboratories; NaN where the input is NaN. [%]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: CV = 2^{1 - 0.5 \log_{10} C}

    References
    ----------
    .. [1] rayment-lyons-2011. Appendix 2, after Horwitz 1982.

    Examples
    --------
    >>> horwitz_cv_percent([1e-6, 1e-4])
    array([16.,  8.])
    """
    fraction = np.asarray(mass_fraction, dtype=float)
    if np.any((fraction <= 0) | (fraction > 1)):
        raise SoilInputError(
            "mass_fraction must lie above 0 and at most at 1", mend="Divide mg/kg by a million"
        )
    return np.asarray(2.0 ** (1.0 - 0.5 * np.log10(fraction)))
