"""Relative yield over a soil test: one curve through one critical value, for display only."""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import SoilInputError
from vrxapp.units import PERCENT

RELATIVE_YIELD_IS_A_CONVENIENCE = (
    "One curve through one critical value, for display; the calibrations behind critical "
    "values used other curves, so no rate follows from it"
)


def relative_yield(
    soil_test: ArrayLike, critical: ArrayLike, *, at_critical_percent: float = 90.0
) -> NDArray[np.float64]:
    r"""Relative yield from a soil test: for display only, a convenience.

    Parameters
    ----------
    soil_test : array_like
        Soil test, by the method the critical value was made for. [its unit]
    critical : array_like
        Critical value, above 0. [the same unit]
    at_critical_percent : float, default 90
        Relative yield that the critical value stands for. [%]

    Returns
    -------
    ndarray of float
        Relative yield; NaN where an input is missing. [%]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: RY = 100 (1 - e^{-kT}), \quad k = -\ln(1 - RY_c / 100) / T_c

    T: soil test; T_c: critical value; RY_c: relative yield that it stands for.

    References
    ----------
    .. [1] bray-1954. The form, from memory.

    Examples
    --------
    >>> relative_yield([15.0, 25.0], 25.0).round(1)
    array([74.9, 90. ])
    """
    require_at_least_zero(soil_test=soil_test)
    constant = _yield_constant(critical, at_critical_percent)
    return np.asarray(-PERCENT * np.expm1(-constant * np.asarray(soil_test, dtype=float)))


def soil_test_at(
    relative_yield_percent: ArrayLike, critical: ArrayLike, *, at_critical_percent: float = 90.0
) -> NDArray[np.float64]:
    r"""Soil test at a relative yield: the same curve backwards, for display only.

    Parameters
    ----------
    relative_yield_percent : array_like
        Relative yield, from 0 to below 100. [%]
    critical : array_like
        Critical value, above 0. [its unit]
    at_critical_percent : float, default 90
        Relative yield that the critical value stands for. [%]

    Returns
    -------
    ndarray of float
        Soil test. [the unit of the critical value]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: T = -\ln(1 - RY / 100) / k, \quad k = -\ln(1 - RY_c / 100) / T_c

    T_c: critical value; RY_c: relative yield that it stands for.

    References
    ----------
    .. [1] bray-1954. The form, from memory.

    Examples
    --------
    >>> soil_test_at([90.0, 95.0], 25.0).round(1)
    array([25. , 32.5])
    """
    require_at_least_zero(relative_yield_percent=relative_yield_percent)
    wanted = np.asarray(relative_yield_percent, dtype=float)
    if np.any(wanted >= PERCENT):
        raise SoilInputError(
            "relative_yield_percent must be below 100", mend="The curve never reaches 100 %"
        )
    return np.asarray(-np.log1p(-wanted / PERCENT) / _yield_constant(critical, at_critical_percent))


def _yield_constant(critical: ArrayLike, at_critical_percent: float) -> NDArray[np.float64]:
    """Constant of the curve through the critical value."""
    require_above_zero(critical=critical)
    if not 0 < at_critical_percent < PERCENT:
        raise SoilInputError(
            "at_critical_percent must lie between 0 and 100",
            value=f"{at_critical_percent:g}",
            mend="Give the relative yield of the calibration, usually 90 or 95",
        )
    return np.asarray(
        -math.log1p(-at_critical_percent / PERCENT) / np.asarray(critical, dtype=float)
    )
