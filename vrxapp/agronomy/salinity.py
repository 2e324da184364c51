"""Salinity: from the 1:5 extract to the saturation extract, its class, and what crops lose.

Crops are calibrated on the saturation extract (ECe). With more than about 1 % of gypsum
the 1:5 extract stays near 2.2 dS/m whatever the other salts, and no conversion holds.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.agronomy.rating_bands import rated_by
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.soil.interpretation_scales import scale
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import PERCENT


@dataclass(frozen=True, slots=True)
class EceLine:
    """A straight line from EC 1:5 to ECe, made on Australian soils whatever their texture."""

    key: str
    name: str
    slope: float
    intercept_ds_m: float
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class EceTexture:
    """A factor from EC 1:5 to ECe for one texture, unverified."""

    texture: str
    factor: float
    source: str
    where: str
    grade: Grade


def ece_lines() -> tuple[EceLine, ...]:
    """The published lines. They suit clays and tell too little on sands, by half or more."""
    return read_table("ece_lines.csv", EceLine)


def ece_textures() -> tuple[EceTexture, ...]:
    """The factors by texture, unverified and never taken unasked."""
    return read_table("ece_textures.csv", EceTexture)


def ece_by_line(ec_1_5_ds_m: ArrayLike, line: str) -> NDArray[np.float64]:
    r"""ECe by one of the published straight lines, which know no texture.

    Parameters
    ----------
    ec_1_5_ds_m : array_like
        Conductivity of the 1:5 extract at 25 °C. [dS/m]
    line : str
        Published line with its slope and intercept; none is the default.

    Returns
    -------
    ndarray of float
        ECe; NaN where the line would go below zero. [dS/m]

    Raises
    ------
    SoilInputError
        If a value is negative.
    UnknownChoiceError
        If there is no such line; the mend lists what there is.

    Notes
    -----
    .. math:: EC_e = a \, EC_{1:5} + b

    a, b: slope and intercept of the line.

    References
    ----------
    .. [1] rayment-lyons-2011. Table 14.2.

    Examples
    --------
    >>> ece_by_line([0.5, 0.1], "shaw-1981").round(3)
    array([2.103,   nan])
    """
    require_at_least_zero(ec_1_5_ds_m=ec_1_5_ds_m)
    for known in ece_lines():
        if known.key == line:
            ece = known.slope * np.asarray(ec_1_5_ds_m, dtype=float) + known.intercept_ds_m
            return np.asarray(np.where(ece >= 0, ece, np.nan))
    raise UnknownChoiceError(
        f"no line from EC 1:5 to ECe has the key {line!r}",
        mend=f"Choose one of: {', '.join(known.key for known in ece_lines())}",
    )


def ece_by_saturation(
    ec_1_5_ds_m: ArrayLike, saturation_water_kg_kg: ArrayLike
) -> NDArray[np.float64]:
    r"""ECe from the 1:5 extract and the water that a saturated paste holds.

    Parameters
    ----------
    ec_1_5_ds_m : array_like
        Conductivity of the 1:5 extract at 25 °C. [dS/m]
    saturation_water_kg_kg : array_like
        Water of the saturated paste, above 0: 0.45 for a saturation percentage of 45. [kg/kg]

    Returns
    -------
    ndarray of float
        ECe; less sure in sandy soils. [dS/m]

    Raises
    ------
    SoilInputError
        If a value lies outside its range, or the water is told in percent.

    Notes
    -----
    .. math:: EC_e = (2.46 + 3.03 / \theta) \, EC_{1:5}

    θ: water of the saturated paste.

    References
    ----------
    .. [1] slavich-petterson-1993. Australian Journal of Soil Research 31, 73-81.

    Examples
    --------
    >>> ece_by_saturation([0.5], 0.43).round(2)
    array([4.75])
    """
    require_at_least_zero(ec_1_5_ds_m=ec_1_5_ds_m)
    require_above_zero(saturation_water_kg_kg=saturation_water_kg_kg)
    water = np.asarray(saturation_water_kg_kg, dtype=float)
    if np.any(water > 2):
        raise SoilInputError(
            "saturation_water_kg_kg must not be above 2", mend="Give kg per kg, 0.45 for 45 %"
        )
    return np.asarray((2.46 + 3.03 / water) * np.asarray(ec_1_5_ds_m, dtype=float))


def ece_by_texture(ec_1_5_ds_m: ArrayLike, texture: ArrayLike) -> NDArray[np.float64]:
    r"""ECe by the factor of a texture.

    Unverified: every factor is from memory, so this is never a default.

    Parameters
    ----------
    ec_1_5_ds_m : array_like
        Conductivity of the 1:5 extract at 25 °C. [dS/m]
    texture : array_like of str
        Texture of each place; one that the table does not know has no ECe.

    Returns
    -------
    ndarray of float
        ECe. [dS/m]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: EC_e = f \, EC_{1:5}

    f: factor of the texture.

    References
    ----------
    .. [1] slavich-petterson-factors. Factors of advisory tables.

    Examples
    --------
    >>> ece_by_texture([0.5, 0.5], ["loam", "heavy clay"])
    array([4.75, 2.9 ])
    """
    require_at_least_zero(ec_1_5_ds_m=ec_1_5_ds_m)
    named, rows = np.char.lower(np.asarray(texture, dtype=str)), ece_textures()
    factor = np.select([named == row.texture for row in rows], [row.factor for row in rows], np.nan)
    return np.asarray(factor * np.asarray(ec_1_5_ds_m, dtype=float))


def salinity_class(ec_1_5_ds_m: ArrayLike, clay_percent: ArrayLike) -> NDArray[np.str_]:
    """Class of the 1:5 extract by clay content; its scale says what still copes.

    Parameters
    ----------
    ec_1_5_ds_m : array_like
        Conductivity of the 1:5 extract at 25 °C. [dS/m]
    clay_percent : array_like
        Clay, from 10 to under 80; outside it the class is unknown. [%]

    Returns
    -------
    ndarray of str
        Class, ``"very low"`` to ``"extreme"``, or ``"unknown"``.

    Raises
    ------
    SoilInputError
        If a value is negative or the clay above 100.

    References
    ----------
    .. [1] rayment-lyons-2011. Table 3.1.

    Examples
    --------
    >>> salinity_class([0.5, 0.5], [30.0, 50.0])
    array(['high', 'medium'], dtype='<U9')
    """
    require_at_least_zero(ec_1_5_ds_m=ec_1_5_ds_m, clay_percent=clay_percent)
    if np.any(np.asarray(clay_percent, dtype=float) > PERCENT):
        raise SoilInputError("clay_percent must not be above 100", mend="Give a share by mass")
    return rated_by(scale("salinity-by-clay"), ec_1_5_ds_m, clay_percent=clay_percent)


def ece_class(ece_ds_m: ArrayLike) -> NDArray[np.str_]:
    """Class of an ECe: non-saline, slightly saline from 2, to extremely saline above 16.

    Parameters
    ----------
    ece_ds_m : array_like
        Conductivity of the saturation extract. [dS/m]

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
    .. [1] richards-1954. Classes of the United States Salinity Laboratory.

    Examples
    --------
    >>> ece_class([5.0])
    array(['moderately saline'], dtype='<U17')
    """
    return rated_by(scale("ece-us"), ece_ds_m)
