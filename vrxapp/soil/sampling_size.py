"""How many cores a sample needs, and what bulking them does to the spread.

For orientation: about 8 to 10 cores where cores differ by a CV of 20 % or less, 20 to 30
at 50 % or more [oliver-grdc].
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import SoilInputError

_LARGE_SAMPLE_T = 1.96
_MOST_CORES = 10_000
_CORES_PER_FOOT_OF_ROW = 8.0
_METRES_PER_FOOT = 0.3048
_TOLERANCE = 1e-9


def cores_needed(
    cv_percent: ArrayLike, error_percent: ArrayLike, *, t: float = _LARGE_SAMPLE_T
) -> NDArray[np.float64]:
    r"""Cores that bring the error of the mean down to what is borne.

    Parameters
    ----------
    cv_percent : array_like
        Coefficient of variation of single cores. [%]
    error_percent : array_like
        Error of the mean that is borne, above 0. [% of the mean]
    t : float, default 1.96
        Student's t for the confidence asked; 1.96 is 95 % of a large sample. [-]

    Returns
    -------
    ndarray of float
        Cores, a whole number of at least 1; NaN where an input is missing.

    Raises
    ------
    SoilInputError
        If a value is negative, or no error is borne at all.

    Notes
    -----
    .. math:: n = (t \, CV / E)^2

    t: Student's t; CV: variation of cores; E: error that is borne.

    References
    ----------
    .. [1] cline-1944. From memory; the standard formula.

    Examples
    --------
    >>> cores_needed([30.0, 50.0], [10.0, 20.0])
    array([35., 25.])
    """
    ratio = _spread_over_error(cv_percent, error_percent)
    return np.maximum(np.ceil((t * ratio) ** 2 - _TOLERANCE), 1.0)


def cores_needed_few(
    cv_percent: ArrayLike, error_percent: ArrayLike, *, confidence: float = 0.95
) -> NDArray[np.float64]:
    """Cores needed when Student's t of just that number is used: right for small samples.

    Parameters
    ----------
    cv_percent : array_like
        Coefficient of variation of single cores. [%]
    error_percent : array_like
        Error of the mean that is borne, above 0. [% of the mean]
    confidence : float, default 0.95
        Two-sided confidence, between 0 and 1. [-]

    Returns
    -------
    ndarray of float
        Cores, the smallest number that is enough, at least 2; NaN where an input is
        missing.

    Raises
    ------
    SoilInputError
        If a value lies outside its range, or more than 10 000 cores were needed.

    References
    ----------
    .. [1] cline-1944. From memory; the standard formula.

    Examples
    --------
    >>> cores_needed_few([30.0], 15.0)
    array([18.])
    """
    if not 0 < confidence < 1:
        raise SoilInputError("confidence must lie between 0 and 1", mend="Give 0.95 for 95 %")
    from scipy import special  # heavy, so only for a small sample

    ratio = _spread_over_error(cv_percent, error_percent)
    number = np.arange(2.0, _MOST_CORES + 1.0)
    t = special.stdtrit(number - 1.0, (1.0 + confidence) / 2.0)
    # what each number of cores is enough for; it only rises
    enough_for = np.sqrt(number) / t
    first = np.searchsorted(enough_for, np.where(np.isnan(ratio), 0.0, ratio) - _TOLERANCE)
    if np.any(first == len(number)):
        raise SoilInputError(
            f"more than {_MOST_CORES} cores would be needed", mend="Bear a larger error"
        )
    return np.where(np.isnan(ratio), math.nan, number[first])


def composite_cv_percent(core_cv_percent: ArrayLike, cores: ArrayLike) -> NDArray[np.float64]:
    r"""Coefficient of variation of a well-mixed sample of independent cores.

    Parameters
    ----------
    core_cv_percent : array_like
        Coefficient of variation of single cores. [%]
    cores : array_like
        Number of cores, at least 1.

    Returns
    -------
    ndarray of float
        Variation of the mixed sample; NaN where an input is missing. [%]

    Raises
    ------
    SoilInputError
        If the variation is negative or there is no core.

    Notes
    -----
    .. math:: CV_{mix} = CV / \sqrt{n}

    CV: variation of single cores; n: number of cores.

    Examples
    --------
    >>> composite_cv_percent([50.0, 30.0], [25, 9])
    array([10., 10.])
    """
    spread, number = np.asarray(core_cv_percent, dtype=float), np.asarray(cores, dtype=float)
    if np.any(spread < 0) or np.any(number < 1):
        raise SoilInputError(
            "a sample needs a variation of zero or more and at least one core",
            mend="Check both columns",
        )
    return np.asarray(spread / np.sqrt(number))


def cores_between_bands(row_spacing_m: ArrayLike) -> NDArray[np.float64]:
    r"""Cores to take between the bands for each one in a band of fertiliser.

    Parameters
    ----------
    row_spacing_m : array_like
        Distance from one band to the next, above 0. [m]

    Returns
    -------
    ndarray of float
        Cores between bands, not yet rounded; NaN where the spacing is missing.

    Raises
    ------
    SoilInputError
        If a spacing is not above zero.

    Notes
    -----
    .. math:: n = 8 \, r / 0.3048

    r: row spacing.

    The source prints 8, 16 and 20 for 30, 61 and 76 cm; below 30 cm the formula reaches
    past what it printed. Where the bands cannot be found, take two sets half a spacing
    apart and go by the lower result.

    References
    ----------
    .. [1] norton-grdc-banded. The three printed ratios.

    Examples
    --------
    >>> cores_between_bands([0.305, 0.61]).round(1)
    array([ 8., 16.])
    """
    spacing = np.asarray(row_spacing_m, dtype=float)
    if np.any(spacing <= 0):
        raise SoilInputError("row_spacing_m must be above zero", mend="Give it in metres")
    return np.asarray(_CORES_PER_FOOT_OF_ROW * spacing / _METRES_PER_FOOT)


def _spread_over_error(cv_percent: ArrayLike, error_percent: ArrayLike) -> NDArray[np.float64]:
    """Spread of single cores over the error that is borne."""
    spread, error = np.asarray(cv_percent, dtype=float), np.asarray(error_percent, dtype=float)
    if np.any(spread < 0) or np.any(error <= 0):
        raise SoilInputError(
            "the variation must not be negative and the error must be above zero",
            mend="Give both in per cent",
        )
    return np.asarray(spread / error)
