"""Sodicity: the share of the exchange that sodium holds, and its class."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.exchange_sums import saturation_percent
from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.agronomy.rating_bands import rated
from vrxapp.units import PERCENT

SODIC_FROM_PERCENT = 6.0
"""ESP from which a soil is sodic, Method 15N1 [rayment-lyons-2011]."""

STRONGLY_SODIC_ABOVE_PERCENT = 15.0
"""ESP above which it is strongly sodic, Method 15N1 [rayment-lyons-2011]."""

_SAR_BELOW = 65.0


def exchangeable_sodium_percent(
    sodium_cmol_kg: ArrayLike, cec_cmol_kg: ArrayLike
) -> NDArray[np.float64]:
    r"""Exchangeable sodium percentage, ESP.

    Parameters
    ----------
    sodium_cmol_kg : array_like
        Exchangeable sodium, freed of soluble salt where the soil is saline. [cmol(+)/kg]
    cec_cmol_kg : array_like
        Exchange capacity by the same method, above 0. [cmol(+)/kg]

    Returns
    -------
    ndarray of float
        ESP; NaN where sodium is more than the capacity, as free salt makes it. [%]

    Raises
    ------
    SoilInputError
        If sodium is negative or a capacity not above zero.

    Notes
    -----
    .. math:: ESP = 100 \, Na / CEC

    Na: exchangeable sodium; CEC: exchange capacity.

    References
    ----------
    .. [1] rayment-lyons-2011. Method 15N1.

    Examples
    --------
    >>> exchangeable_sodium_percent([1.2], 15.0)
    array([8.])
    """
    return saturation_percent(sodium_cmol_kg, cec_cmol_kg)


def esp_from_sar(sar: ArrayLike) -> NDArray[np.float64]:
    r"""ESP from the sodium adsorption ratio of the saturation extract.

    Parameters
    ----------
    sar : array_like
        SAR of the saturation extract, under 65. [(mmol/L)^0.5]

    Returns
    -------
    ndarray of float
        ESP, not below 0; NaN from a SAR of 65 on. [%]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: ESP = 100 \, x / (1 + x), \quad x = 0.01475 \, SAR - 0.0126

    x: exchangeable sodium for each other cation, by charge.

    References
    ----------
    .. [1] richards-1954. Quoted as eq. 43 in Queensland's salinity conversions.

    Examples
    --------
    >>> esp_from_sar([10.0]).round(2)
    array([11.89])
    """
    require_at_least_zero(sar=sar)
    ratio = np.asarray(sar, dtype=float)
    exchange = np.maximum(0.01475 * ratio - 0.0126, 0.0)
    percent = PERCENT * exchange / (1.0 + exchange)
    return np.asarray(np.where(ratio < _SAR_BELOW, percent, np.nan))


def sodicity_class(esp_percent: ArrayLike) -> NDArray[np.str_]:
    """Class of an ESP: non-sodic, sodic from 6, strongly sodic above 15.

    Parameters
    ----------
    esp_percent : array_like
        Exchangeable sodium percentage. [%]

    Returns
    -------
    ndarray of str
        The class, ``"unknown"`` where it is missing.

    Raises
    ------
    SoilInputError
        If a value is negative.

    References
    ----------
    .. [1] rayment-lyons-2011. Method 15N1, after Northcote and Skene 1972.

    Examples
    --------
    >>> sodicity_class([8.0, 16.0])
    array(['sodic', 'strongly sodic'], dtype='<U14')
    """
    return rated("esp", esp_percent)
