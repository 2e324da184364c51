"""Results worked out from another test: organic matter, salts, and the other pH.

Each comes back as an `Estimate`, with what it was worked out from.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import SoilInputError
from vrxapp.soil.conversions import amounts
from vrxapp.soil.estimates import Estimate
from vrxapp.sources import source

_OM_PER_CARBON = 1.724  # rayment-lyons-2011, ch. 6
_TSS_PERCENT_PER_DS_M = 0.336  # rayment-lyons-2011, method 3B1
_PH_SLOPE, _PH_OFFSET = 1.05, -0.9  # conyers-davey-1988
_HIGHEST_PH = 14.0


def organic_matter(total_carbon_percent: ArrayLike) -> Estimate:
    r"""Organic matter from total organic carbon.

    Parameters
    ----------
    total_carbon_percent : array_like
        Total organic carbon, by combustion or already corrected. [%]

    Returns
    -------
    Estimate
        Organic matter. [%]

    Raises
    ------
    SoilInputError
        If a value is negative or infinite.

    Notes
    -----
    .. math:: OM = 1.724 \, C

    OM: organic matter; C: total organic carbon [1]_. A review holds that to be too low for most
    soils: the middle of its studies is 1.9, and 1.4 to 2.5 is possible [2]_. Walkley and
    Black carbon is no total carbon and is corrected first.

    References
    ----------
    .. [1] rayment-lyons-2011. Chapter 6.
    .. [2] pribyl-2010. Abstract.

    Examples
    --------
    >>> organic_matter([2.0]).values
    array([3.448])
    """
    carbon = amounts(total_carbon_percent=total_carbon_percent)
    return _estimate(
        ("organic matter", "%"),
        carbon * _OM_PER_CARBON,
        basis=f"{_OM_PER_CARBON:g} times total organic carbon; 1.4 to 2.5 is possible",
        key="rayment-lyons-2011",
    )


def total_carbon_from_walkley_black(carbon_percent: ArrayLike, *, factor: float) -> Estimate:
    r"""Total organic carbon from Walkley and Black carbon, by a factor that the user chose.

    Parameters
    ----------
    carbon_percent : array_like
        Organic carbon by Walkley and Black. [%]
    factor : float
        Total over Walkley and Black carbon, at least 1. There is no default: laboratories
        in Australasia gave 1.08 [1]_, the usual 1.30 assumes that 77 % is found [2]_. [-]

    Returns
    -------
    Estimate
        Total organic carbon. [%]

    Raises
    ------
    SoilInputError
        If a value is negative, or the factor lies below 1.

    Notes
    -----
    .. math:: C = f \, C_{WB}

    C_WB: Walkley and Black carbon; f: factor.

    References
    ----------
    .. [1] rayment-lyons-2011. Chapter 6: advises to report the carbon uncorrected.
    .. [2] hussain-olson-2000. Abstract.

    Examples
    --------
    >>> total_carbon_from_walkley_black([1.5], factor=1.08).values.round(2)
    array([1.62])
    """
    carbon = amounts(carbon_percent=carbon_percent)
    if not (np.isfinite(factor) and factor >= 1):
        raise SoilInputError(
            "the Walkley and Black test never finds more than the total carbon",
            value=f"{factor:g}",
            mend="Give a factor of 1 or more, for instance 1.08",
        )
    return _estimate(
        ("total organic carbon", "%"),
        carbon * factor,
        basis=f"{factor:g} times Walkley and Black carbon, a factor chosen by the user",
        key="rayment-lyons-2011",
    )


def total_soluble_salts(ec_1_5_ds_m: ArrayLike) -> Estimate:
    r"""Total soluble salts from the conductivity of the 1:5 extract.

    Parameters
    ----------
    ec_1_5_ds_m : array_like
        Conductivity, 1:5 in water, 25 °C. [dS/m]

    Returns
    -------
    Estimate
        Soluble salts, by mass of soil. [%]

    Raises
    ------
    SoilInputError
        If a value is negative or infinite.

    Notes
    -----
    .. math:: TSS = 0.336 \, EC_{1:5}

    For soils where chloride is the main anion. With more than about
    1 % gypsum the extract stands near 2.2 dS/m whatever the other salts [1]_.

    References
    ----------
    .. [1] rayment-lyons-2011. Methods 3A1 and 3B1.

    Examples
    --------
    >>> total_soluble_salts([0.5]).values
    array([0.168])
    """
    conductivity = amounts(ec_1_5_ds_m=ec_1_5_ds_m)
    return _estimate(
        ("total soluble salts", "%"),
        conductivity * _TSS_PERCENT_PER_DS_M,
        basis=f"{_TSS_PERCENT_PER_DS_M:g} times EC 1:5, where chloride is the main salt",
        key="rayment-lyons-2011",
    )


def ph_cacl2_from_water(ph_water: ArrayLike) -> Estimate:
    r"""PH in calcium chloride from pH in water, to be shown; no lime rate reads it.

    Parameters
    ----------
    ph_water : array_like
        pH in water. [pH]

    Returns
    -------
    Estimate
        pH in calcium chloride. [pH]

    Raises
    ------
    SoilInputError
        If a pH lies outside 0 to 14.

    Notes
    -----
    .. math:: pH_{Ca} = 1.05 \, pH_w - 0.9

    pH_w: pH in water; pH_Ca: pH in calcium chloride.

    For non-saline soils of New South Wales with net negative charge; in highly weathered
    soils the gap can vanish or turn round [2]_.

    References
    ----------
    .. [1] conyers-davey-1988. Abstract.
    .. [2] rayment-lyons-2011. Chapter 4.

    Examples
    --------
    >>> ph_cacl2_from_water([6.0, 5.0]).values
    array([5.4 , 4.35])
    """
    ph = _ph(ph_water=ph_water)
    return _estimate(
        ("pH in calcium chloride", "pH"),
        _PH_SLOPE * ph + _PH_OFFSET,
        basis="from pH in water, for non-saline soils with negative charge",
        key="conyers-davey-1988",
    )


def ph_water_from_cacl2(ph_cacl2: ArrayLike) -> Estimate:
    r"""PH in water from pH in calcium chloride, to be shown; no lime rate reads it.

    Parameters
    ----------
    ph_cacl2 : array_like
        pH in calcium chloride. [pH]

    Returns
    -------
    Estimate
        pH in water. [pH]

    Raises
    ------
    SoilInputError
        If a pH lies outside 0 to 14.

    Notes
    -----
    .. math:: pH_w = (pH_{Ca} + 0.9) / 1.05

    pH_w: pH in water; pH_Ca: pH in calcium chloride.

    References
    ----------
    .. [1] conyers-davey-1988. Abstract, solved for pH in water.

    Examples
    --------
    >>> ph_water_from_cacl2([4.8]).values.round(3)
    array([5.429])
    """
    ph = _ph(ph_cacl2=ph_cacl2)
    return _estimate(
        ("pH in water", "pH"),
        (ph - _PH_OFFSET) / _PH_SLOPE,
        basis="from pH in calcium chloride, for non-saline soils with negative charge",
        key="conyers-davey-1988",
    )


def _estimate(
    what: tuple[str, str], values: NDArray[np.float64], *, basis: str, key: str
) -> Estimate:
    """An estimate, graded as its source is."""
    name, unit = what
    return Estimate(name, unit, np.asarray(values), basis, key, source(key).grade)


def _ph(**column: ArrayLike) -> NDArray[np.float64]:
    """A column of pH."""
    numbers = amounts(**column)
    if np.any(numbers > _HIGHEST_PH):
        raise SoilInputError(
            f"{next(iter(column))} must not be above {_HIGHEST_PH:g}",
            value=f"{np.nanmax(numbers):g}",
            mend="Check the value; was it 6.5?",
        )
    return numbers
