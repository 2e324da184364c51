"""Humates: what a dose really adds to the soil, so that no claim stands without its sum.

There is no nutrient credit and no yield credit here; a check strip tells what a humate did.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.agronomy.soil_mass import soil_mass
from vrxapp.errors import SoilInputError
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT

CHARGE_AT_PH_6_CMOL_KG = {"humic": 268.0, "fulvic": 480.0}
"""Negative charge at pH 6 of a pure humic and fulvic acid, modelled [milne-2001]. [cmol/kg]"""


def cec_added(
    dose_kg_ha: ArrayLike,
    charge_cmol_kg: ArrayLike,
    *,
    depth_cm: ArrayLike,
    bulk_density_t_m3: ArrayLike,
) -> NDArray[np.float64]:
    r"""Exchange capacity that a dose adds to a soil layer: too little to be measured.

    Parameters
    ----------
    dose_kg_ha : array_like
        Dose of the material. [kg/ha]
    charge_cmol_kg : array_like
        Charge of the material by its mass. [cmol(+)/kg]
    depth_cm : array_like
        Thickness of the layer, above 0. [cm]
    bulk_density_t_m3 : array_like
        Dry mass per volume of fine earth, above 0. [t/m³]

    Returns
    -------
    ndarray of float
        Rise of the soil's CEC. [cmol(+)/kg]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: \Delta CEC = dose \, charge / W

    W: mass of the layer.

    References
    ----------
    .. [1] milne-2001. Environmental Science & Technology 35, 2049-2059.

    Examples
    --------
    >>> cec_added([20.0], 268.0, depth_cm=10.0, bulk_density_t_m3=1.4).round(4)
    array([0.0038])
    """
    require_at_least_zero(dose_kg_ha=dose_kg_ha, charge_cmol_kg=charge_cmol_kg)
    charge = np.multiply(dose_kg_ha, charge_cmol_kg, dtype=float)
    return np.asarray(charge / (soil_mass(depth_cm, bulk_density_t_m3) * KILOGRAMS_PER_TONNE))


def carried_by_dose(dose_kg_ha: ArrayLike, content_percent: ArrayLike) -> NDArray[np.float64]:
    """What a dose carries of one of its parts, such as humic acid or potassium.

    Parameters
    ----------
    dose_kg_ha : array_like
        Dose of the material. [kg/ha]
    content_percent : array_like
        The part by mass; NaN where the label does not tell it. [%]

    Returns
    -------
    ndarray of float
        Mass of the part; NaN where its share is not told. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value is negative or the share above 100.

    Examples
    --------
    >>> carried_by_dose([5.0], 60.0)
    array([3.])
    """
    require_at_least_zero(dose_kg_ha=dose_kg_ha, content_percent=content_percent)
    if np.any(np.asarray(content_percent, dtype=float) > PERCENT):
        raise SoilInputError("content_percent must not be above 100", mend="Give a share by mass")
    return np.multiply(dose_kg_ha, content_percent, dtype=float) / PERCENT
