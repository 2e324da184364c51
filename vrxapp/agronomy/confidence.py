"""How sure a class is: the chance that a place truly lies below a critical value.

Two things blur a mean: the spread between the samples of the place, and what laboratories
differ on one soil. The first is read from replicates, the second from ring tests.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.errors import SoilInputError
from vrxapp.soil.laboratory_spread import laboratory_cvs, least_difference_percent
from vrxapp.units import PERCENT

_NO_WEIGHT = 1e-12
_ERFC = np.frompyfunc(math.erfc, 1, 1)


class Blur(StrEnum):
    """What the uncertainty of a mean was told from."""

    NONE = "unknown"
    LABORATORY = "laboratories alone; the spread within the place is unknown"
    SAMPLES = "samples alone"
    BOTH = "samples and laboratories"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class MeanUncertainty:
    """How well the mean of each place is known.

    Parameters
    ----------
    standard_error : ndarray of float
        Standard error of the mean; NaN where it cannot be told. [unit of the mean]
    degrees_of_freedom : ndarray of float
        Degrees of freedom of that standard error; infinite for a laboratory's alone.
    blur : ndarray of str
        `Blur` of each place.
    """

    standard_error: NDArray[np.float64]
    degrees_of_freedom: NDArray[np.float64]
    blur: NDArray[np.str_]


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class ClassChances:
    """Chances that each place truly lies below, within and above a critical range.

    Parameters
    ----------
    below : ndarray of float
        Chance of lying below the range; NaN where nothing can be told. [-]
    within : ndarray of float
        Chance of lying within it; the three add up to 1. [-]
    above : ndarray of float
        Chance of lying above it. [-]
    """

    below: NDArray[np.float64]
    within: NDArray[np.float64]
    above: NDArray[np.float64]


def laboratory_cv_percent(analyte: str) -> float:
    """How far laboratories differ on one soil, for one analyte.

    Parameters
    ----------
    analyte : str
        Key of the analyte.

    Returns
    -------
    float
        Robust coefficient of variation; NaN where no one figure is published. [%]

    References
    ----------
    .. [1] rayment-lyons-2011. Table App. 2.1.

    Examples
    --------
    >>> laboratory_cv_percent("colwell_p")
    13.8
    """
    return next((row.cv_percent for row in laboratory_cvs() if row.key == analyte), math.nan)


def mean_uncertainty(
    mean: ArrayLike,
    standard_error: ArrayLike,
    count: ArrayLike,
    *,
    laboratory_cv_percent: ArrayLike,
) -> MeanUncertainty:
    r"""Standard error of each mean from its samples and from what laboratories differ.

    Parameters
    ----------
    mean : array_like
        Mean of each place. [its unit]
    standard_error : array_like
        Standard error between its samples; NaN for fewer than two. [the same unit]
    count : array_like
        Number of samples.
    laboratory_cv_percent : array_like
        Coefficient of variation between laboratories; NaN where unknown. [%]

    Returns
    -------
    MeanUncertainty
        With one sample the laboratory's part alone: a lower bound.

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: s^2 = s_m^2 + (CV \, m / 100)^2, \quad \nu = (n - 1) \, s^4 / s_m^4

    The degrees of freedom are Welch and Satterthwaite's with an exactly known
    laboratory part. Samples of one batch share one laboratory, so more of them do not
    lessen its part. For comparing zones of one batch the laboratory's part is too much.

    References
    ----------
    .. [1] rayment-lyons-2011. Coefficients of variation, Table App. 2.1.

    Examples
    --------
    >>> known = mean_uncertainty([20.0], [2.0], [4], laboratory_cv_percent=13.8)
    >>> known.standard_error.round(2), known.degrees_of_freedom.round(1)
    (array([3.41]), array([25.3]))
    """
    require_at_least_zero(
        mean=mean,
        standard_error=standard_error,
        count=count,
        laboratory_cv_percent=laboratory_cv_percent,
    )
    middle, spread, number, cv = np.broadcast_arrays(
        np.asarray(mean, dtype=float),
        np.asarray(standard_error, dtype=float),
        np.asarray(count, dtype=float),
        np.asarray(laboratory_cv_percent, dtype=float),
    )
    has_samples = np.isfinite(middle) & np.isfinite(spread) & (number >= 2)
    has_laboratory = np.isfinite(middle) & np.isfinite(cv) & (number >= 1)
    sample_part = np.where(has_samples, spread, 0.0) ** 2
    laboratory_part = np.where(has_laboratory, cv * middle / PERCENT, 0.0) ** 2
    whole = sample_part + laboratory_part
    from_samples = np.zeros(middle.shape)
    np.divide(sample_part, whole, out=from_samples, where=whole > 0)
    degrees = np.full(middle.shape, math.inf)
    # identical replicates (no spread) leave only the laboratory's part
    weight = from_samples**2
    np.divide(number - 1, weight, out=degrees, where=weight > _NO_WEIGHT)
    known = has_samples | has_laboratory
    return MeanUncertainty(
        standard_error=np.where(known, np.sqrt(whole), math.nan),
        degrees_of_freedom=np.where(known, degrees, math.nan),
        blur=_blur(has_samples, has_laboratory),
    )


def chance_below(
    mean: ArrayLike, uncertainty: MeanUncertainty, *, critical: ArrayLike
) -> NDArray[np.float64]:
    """Chance that each place truly lies below a critical value.

    Parameters
    ----------
    mean : array_like
        Mean of each place. [its unit]
    uncertainty : MeanUncertainty
        How well it is known.
    critical : array_like
        Critical value. [the same unit]

    Returns
    -------
    ndarray of float
        Chance by Student's t; NaN where the uncertainty is not known. [-]

    Examples
    --------
    Four samples with mean 20 and standard error 2 against a critical value of 25:

    >>> known = mean_uncertainty([20.0], [2.0], [4], laboratory_cv_percent=float("nan"))
    >>> chance_below([20.0], known, critical=25.0).round(3)
    array([0.956])
    """
    error = uncertainty.standard_error
    gap = np.subtract(critical, mean, dtype=float)
    standardised = np.full(np.broadcast_shapes(gap.shape, error.shape), math.nan)
    np.divide(gap, error, out=standardised, where=error > 0)
    # without any spread the mean is taken at its word
    certain = np.where(np.isnan(gap), math.nan, np.where(gap > 0, 1.0, 0.0))
    by_t = _student(uncertainty.degrees_of_freedom, standardised)
    return np.asarray(np.where(error == 0, certain, by_t))


def class_chances(
    mean: ArrayLike, uncertainty: MeanUncertainty, *, low: ArrayLike, high: ArrayLike
) -> ClassChances:
    """Chances that each place lies below, within and above a critical range.

    Parameters
    ----------
    mean : array_like
        Mean of each place. [its unit]
    uncertainty : MeanUncertainty
        How well it is known.
    low : array_like
        Lower end of the critical range. [the same unit]
    high : array_like
        Upper end; the same as the lower one for a single value. [the same unit]

    Returns
    -------
    ClassChances
        NaN where nothing can be told.

    Raises
    ------
    SoilInputError
        If a range ends before it begins.

    Examples
    --------
    >>> known = mean_uncertainty([23.0], [2.0], [5], laboratory_cv_percent=float("nan"))
    >>> chances = class_chances([23.0], known, low=19.0, high=27.0)
    >>> chances.below.round(3), chances.within.round(3), chances.above.round(3)
    (array([0.058]), array([0.884]), array([0.058]))
    """
    if np.any(np.asarray(high, dtype=float) < np.asarray(low, dtype=float)):
        raise SoilInputError(
            "a critical range must not end before it begins", mend="Swap its two ends"
        )
    below = chance_below(mean, uncertainty, critical=low)
    not_above = chance_below(mean, uncertainty, critical=high)
    return ClassChances(below, not_above - below, 1.0 - not_above)


def chances_of_classes(
    mean: ArrayLike, uncertainty: MeanUncertainty, *, boundaries: ArrayLike
) -> NDArray[np.float64]:
    """Chance that each place truly lies in each of the classes that some values part.

    Parameters
    ----------
    mean : array_like
        Mean of each place. [its unit]
    uncertainty : MeanUncertainty
        How well it is known.
    boundaries : array_like
        Values that part the classes, rising, the same at all places. [the same unit]

    Returns
    -------
    ndarray of float, places × classes
        Chances from the lowest class up, which add up to 1; NaN where nothing can be
        told. [-]

    Raises
    ------
    SoilInputError
        If a boundary lies below the one before it.

    Examples
    --------
    >>> known = mean_uncertainty([23.0], [2.0], [5], laboratory_cv_percent=float("nan"))
    >>> chances_of_classes([23.0], known, boundaries=[19.0, 27.0]).round(3)
    array([[0.058, 0.884, 0.058]])
    """
    parted = np.atleast_1d(np.asarray(boundaries, dtype=float))
    if np.any(np.diff(parted) < 0):
        raise SoilInputError(
            "a class must not end before it begins", mend="Give its boundaries rising"
        )
    columns = [chance_below(mean, uncertainty, critical=value) for value in parted]
    below = np.stack([np.atleast_1d(column) for column in columns], axis=-1)
    nothing = np.where(np.isnan(below[..., :1]), np.nan, 0.0)
    return np.diff(np.concatenate([nothing, below, nothing + 1.0], axis=-1), axis=-1)


def least_change(value: ArrayLike, laboratory_cv_percent: ArrayLike) -> NDArray[np.float64]:
    r"""How far two results must lie apart before laboratories can call it a change.

    Parameters
    ----------
    value : array_like
        Level of the test, the mean of the two results. [its unit]
    laboratory_cv_percent : array_like
        Coefficient of variation between laboratories; NaN where unknown. [%]

    Returns
    -------
    ndarray of float
        Least change, two-sided at 95 %; NaN where nothing can be told. [the same unit]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: d = 1.96 \, \sqrt{2} \, CV \, m / 100

    CV: variation between laboratories; m: mean of the two results.

    References
    ----------
    .. [1] rayment-lyons-2011. Coefficients of variation, Table App. 2.1.

    Examples
    --------
    >>> least_change([30.0], 13.8).round(1)
    array([11.5])
    """
    require_at_least_zero(value=value, laboratory_cv_percent=laboratory_cv_percent)
    share = least_difference_percent(1.0) * np.asarray(laboratory_cv_percent, dtype=float) / PERCENT
    return np.asarray(share * np.asarray(value, dtype=float))


def is_change(
    before: ArrayLike, after: ArrayLike, *, laboratory_cv_percent: ArrayLike
) -> NDArray[np.bool_]:
    r"""Whether two results lie further apart than laboratories do.

    Parameters
    ----------
    before : array_like
        Earlier result of each place. [its unit]
    after : array_like
        Later result. [the same unit]
    laboratory_cv_percent : array_like
        Coefficient of variation between laboratories. [%]

    Returns
    -------
    ndarray of bool
        A change; no also where a result or the variation is missing, for none can be claimed.

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: d = 1.96 \, \sqrt{2} \, CV \, m / 100

    A change is a difference above d. CV: variation between laboratories; m: mean of the
    two results.

    References
    ----------
    .. [1] rayment-lyons-2011. Coefficients of variation, Table App. 2.1.

    Examples
    --------
    >>> is_change([30.0, 30.0], [40.0, 45.0], laboratory_cv_percent=13.8)
    array([False,  True])
    """
    require_at_least_zero(before=before, after=after)
    first, second = np.asarray(before, dtype=float), np.asarray(after, dtype=float)
    least = least_change((first + second) / 2.0, laboratory_cv_percent)
    return np.asarray(np.abs(second - first) > least)


def _student(degrees: NDArray[np.float64], value: NDArray[np.float64]) -> NDArray[np.float64]:
    """Student's t distribution function; the normal one for infinite degrees of freedom."""
    endless = np.isinf(degrees)
    by_normal = _normal(value)
    if np.all(endless | np.isnan(value)):
        return by_normal
    from scipy import special  # heavy, so only where samples were repeated

    by_t = special.stdtr(np.where(endless, 1.0, degrees), value)
    return np.asarray(np.where(endless, by_normal, by_t))


def _normal(value: NDArray[np.float64]) -> NDArray[np.float64]:
    """The normal distribution function."""
    return np.asarray(_ERFC(-value / math.sqrt(2.0)), dtype=float) / 2.0


def _blur(has_samples: NDArray[np.bool_], has_laboratory: NDArray[np.bool_]) -> NDArray[np.str_]:
    """What the uncertainty of each place was told from."""
    conditions = [has_samples & has_laboratory, has_samples, has_laboratory]
    choices = [str(Blur.BOTH), str(Blur.SAMPLES), str(Blur.LABORATORY)]
    return np.asarray(np.select(conditions, choices, default=str(Blur.NONE)))
