"""Soil tests that a laboratory gives by area or by volume, as concentrations.

An amount on an acre says nothing before its layer is known, so it is asked for.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.agronomy.soil_mass import soil_mass
from vrxapp.errors import MissingInputError
from vrxapp.soil.estimates import Estimate
from vrxapp.sources import source
from vrxapp.units import KILOGRAMS_PER_TONNE, conversion_factor

_POUNDS_PER_ACRE_OF_ONE_PPM = 2.0  # osu-soil-test-units: 2 million lb in 6 inches of an acre


def layer_wanted(name: str, unit: str) -> MissingInputError:
    """The question to the user when a result by area comes without its layer.

    Parameters
    ----------
    name : str
        What was measured.
    unit : str
        Unit that the sheet gives.

    Returns
    -------
    MissingInputError
        The error, to be raised where the file, row and column are known.
    """
    return MissingInputError(
        f"{name} is given in {unit}, an amount on an area: its layer and bulk density are missing",
        mend="Give the depth and the bulk density of the layer; or, if the laboratory says that "
        "its figures stand for 6 inches of 2 million pounds an acre, choose that convention",
        value=unit,
    )


def concentration_from_area(
    amount_kg_ha: ArrayLike,
    depth_cm: ArrayLike,
    bulk_density_t_m3: ArrayLike,
    *,
    gravel_fraction: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    r"""Concentration in the fine earth from an amount in one layer.

    Parameters
    ----------
    amount_kg_ha : array_like
        Amount in the layer; lb/ac times 1.12085. [kg/ha]
    depth_cm : array_like
        Thickness of the layer, above 0. [cm]
    bulk_density_t_m3 : array_like
        Dry mass per volume of fine earth, above 0. [t/m³]
    gravel_fraction : array_like, default 0
        Share of the layer's volume that is stones over 2 mm, below 1. [-]

    Returns
    -------
    ndarray of float
        Concentration; NaN where an input is NaN. [mg/kg]

    Raises
    ------
    SoilInputError
        If a value lies outside its range; the message names the parameter.

    Notes
    -----
    .. math:: c = q / (0.1 \, d \, \rho \, (1 - g))

    References
    ----------
    .. [1] rayment-lyons-2011. Method 16A1, for its unit case.

    Examples
    --------
    >>> concentration_from_area([10.4], 10.0, 1.3, gravel_fraction=0.2)
    array([10.])
    """
    require_at_least_zero(amount_kg_ha=amount_kg_ha)
    mass_t_ha = soil_mass(depth_cm, bulk_density_t_m3, gravel_fraction=gravel_fraction)
    grams = np.asarray(amount_kg_ha, dtype=float) * KILOGRAMS_PER_TONNE
    return np.asarray(grams / mass_t_ha)


def concentration_by_acre_convention(amount: ArrayLike, *, unit: str = "lb/ac") -> Estimate:
    """Concentration from pounds on an acre, by the convention of 6 inches and 2 million pounds.

    Only for a sheet that says so itself: no layer and no density are looked at.

    Parameters
    ----------
    amount : array_like
        Amount on the area.
    unit : str, default "lb/ac"
        Unit of the amount, one of mass per area.

    Returns
    -------
    Estimate
        Concentration. [mg/kg]

    Raises
    ------
    SoilInputError
        If an amount is negative or infinite.
    UnknownChoiceError
        If the unit is not one of mass per area.

    References
    ----------
    .. [1] osu-soil-test-units. Pounds per acre divided by 2 are parts per million.

    Examples
    --------
    >>> concentration_by_acre_convention([60.0]).values
    array([30.])
    """
    require_at_least_zero(amount=amount)
    pounds = np.asarray(amount, dtype=float) * conversion_factor(unit, "lb/ac")
    key = "osu-soil-test-units"
    return Estimate(
        "concentration",
        "mg/kg",
        pounds / _POUNDS_PER_ACRE_OF_ONE_PPM,
        f"{unit} by the convention that 6 inches of an acre weigh 2 million pounds",
        key,
        source(key).grade,
    )


def concentration_from_volume(
    result_mg_l: ArrayLike, sample_density_kg_l: ArrayLike
) -> NDArray[np.float64]:
    """Concentration by mass from one by volume of the scooped sample.

    Parameters
    ----------
    result_mg_l : array_like
        Result by volume of dried and sieved soil. [mg/L]
    sample_density_kg_l : array_like
        Mass of a litre of the dried and sieved soil, as the laboratory gives it; it is
        not the bulk density of the paddock. Above 0. [kg/L]

    Returns
    -------
    ndarray of float
        Concentration; NaN where an input is NaN. [mg/kg]

    Raises
    ------
    SoilInputError
        If a value lies outside its range; the message names the parameter.

    Examples
    --------
    >>> concentration_from_volume([20.0], [0.8])
    array([25.])
    """
    require_at_least_zero(result_mg_l=result_mg_l)
    require_above_zero(sample_density_kg_l=sample_density_kg_l)
    by_volume = np.asarray(result_mg_l, dtype=float)
    return np.asarray(by_volume / np.asarray(sample_density_kg_l, dtype=float))
