"""Gypsum that replaces exchangeable sodium, by three published sums.

All amounts are pure CaSO4.2H2O; `gypsum_quality` turns them into what is bought.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.gypsum_quality import GYPSUM
from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.agronomy.soil_mass import soil_mass
from vrxapp.errors import SoilInputError
from vrxapp.units import PERCENT, mass_fraction, milligrams_per_cmol

HIGHEST_FACTOR = 1.3
"""Largest exchange factor of the published range, 1.1 to 1.3 [oster-1999]."""

_MG_PER_KG = 1_000_000.0
_HANDBOOK_T_HA, _HANDBOOK_CM = 3.85, 30.0  # richards-1954, metric form
_OSTER_T_HA = 8.6  # oster-1999


def gypsum_for_sodium(
    sodium_cmol_kg: ArrayLike, *, depth_cm: ArrayLike, bulk_density_t_m3: ArrayLike
) -> NDArray[np.float64]:
    r"""Pure gypsum that replaces sodium, equivalent for equivalent: the least there is.

    Parameters
    ----------
    sodium_cmol_kg : array_like
        Exchangeable sodium to be replaced. [cmol(+)/kg]
    depth_cm : array_like
        Thickness of the layer, above 0. [cm]
    bulk_density_t_m3 : array_like
        Dry mass per volume of fine earth, above 0. [t/m³]

    Returns
    -------
    ndarray of float
        Pure gypsum. [t/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: G = 0.0861 \, Na \, d \, \rho

    Na: sodium to be replaced; d: depth; ρ: bulk density.

    References
    ----------
    .. [1] prohaska-2022. Atomic masses; one equivalent of gypsum is 86.08 g.

    Examples
    --------
    >>> gypsum_for_sodium([1.0], depth_cm=10.0, bulk_density_t_m3=1.0).round(4)
    array([0.8608])
    """
    require_at_least_zero(sodium_cmol_kg=sodium_cmol_kg)
    per_cmol_mg_kg = milligrams_per_cmol("Ca") / mass_fraction("Ca", GYPSUM)
    mass_t_ha = soil_mass(depth_cm, bulk_density_t_m3)
    return np.asarray(
        np.asarray(sodium_cmol_kg, dtype=float) * per_cmol_mg_kg / _MG_PER_KG * mass_t_ha
    )


def sodium_to_replace(
    cec_cmol_kg: ArrayLike, esp_percent: ArrayLike, *, target_esp_percent: ArrayLike
) -> NDArray[np.float64]:
    r"""Exchangeable sodium above a target ESP.

    Parameters
    ----------
    cec_cmol_kg : array_like
        Exchange capacity. [cmol(+)/kg]
    esp_percent : array_like
        Present share of sodium. [%]
    target_esp_percent : array_like
        Wanted share of sodium. [%]

    Returns
    -------
    ndarray of float
        Sodium to replace; zero at or below the target. [cmol(+)/kg]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: Na = CEC \, \max(0, ESP - ESP_{target}) / 100

    Examples
    --------
    >>> sodium_to_replace(20.0, [15.0, 4.0], target_esp_percent=5.0)
    array([2., 0.])
    """
    require_at_least_zero(
        cec_cmol_kg=cec_cmol_kg, esp_percent=esp_percent, target_esp_percent=target_esp_percent
    )
    above = np.maximum(np.subtract(esp_percent, target_esp_percent, dtype=float), 0.0)
    return np.asarray(np.asarray(cec_cmol_kg, dtype=float) * above / PERCENT)


def gypsum_by_oster(
    sodium_cmol_kg: ArrayLike,
    *,
    depth_cm: ArrayLike,
    bulk_density_t_m3: ArrayLike,
    exchange_factor: float,
) -> NDArray[np.float64]:
    r"""Pure gypsum that replaces sodium, with a factor for what stays unexchanged.

    Parameters
    ----------
    sodium_cmol_kg : array_like
        Exchangeable sodium to be replaced. [cmol(+)/kg]
    depth_cm, bulk_density_t_m3 : array_like
        Thickness and bulk density of the layer. [cm] [t/m³]
    exchange_factor : float
        1.1 to 1.3, larger the lower the target; 1 for complete exchange. [-]

    Returns
    -------
    ndarray of float
        Pure gypsum. [t/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range, or the factor outside 1 to 1.3.

    Notes
    -----
    .. math:: G = 8.6 \, F \, D \, \rho \, CEC \, (ESP - target) / 100, \quad D = d / 100

    References
    ----------
    .. [1] oster-1999. Agronomy Monograph 38, as quoted by North Dakota State University.

    Examples
    --------
    >>> gypsum_by_oster([2.0], depth_cm=15.0, bulk_density_t_m3=1.3, exchange_factor=1.0)
    array([3.354])
    """
    require_at_least_zero(sodium_cmol_kg=sodium_cmol_kg)
    require_above_zero(depth_cm=depth_cm, bulk_density_t_m3=bulk_density_t_m3)
    if not 1.0 <= exchange_factor <= HIGHEST_FACTOR:
        raise SoilInputError(
            f"exchange_factor must lie between 1 and {HIGHEST_FACTOR:g}",
            value=f"{exchange_factor:g}",
            mend="Take 1.1 to 1.3; the lower the target, the larger",
        )
    depth_m = np.asarray(depth_cm, dtype=float) / 100.0
    layer = depth_m * np.asarray(bulk_density_t_m3, dtype=float)
    return np.asarray(
        _OSTER_T_HA * exchange_factor * layer * np.asarray(sodium_cmol_kg, dtype=float)
    )


def gypsum_by_handbook(
    sodium_cmol_kg: ArrayLike, *, depth_cm: ArrayLike, field_factor: float = 1.0
) -> NDArray[np.float64]:
    r"""Pure gypsum by the handbook's rule: 3.85 t/ha for 1 cmol(+)/kg in 30 cm.

    It holds a bulk density of about 1.49 t/m³ inside.

    Parameters
    ----------
    sodium_cmol_kg : array_like
        Exchangeable sodium to be replaced. [cmol(+)/kg]
    depth_cm : array_like
        Thickness of the layer. [cm]
    field_factor : float, default 1
        For what is lost in the field; the source's example takes 1.25. [-]

    Returns
    -------
    ndarray of float
        Pure gypsum. [t/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: G = 3.85 \, F \, Na \, d / 30

    References
    ----------
    .. [1] richards-1954. 1.7 short tons an acre-foot; metric form in an irrigation textbook.

    Examples
    --------
    CEC 22, ESP 35 to 15, 40 cm:

    >>> gypsum_by_handbook([4.4], depth_cm=40.0).round(2)
    array([22.59])
    """
    require_at_least_zero(sodium_cmol_kg=sodium_cmol_kg)
    require_above_zero(depth_cm=depth_cm, field_factor=field_factor)
    layers = np.asarray(depth_cm, dtype=float) / _HANDBOOK_CM
    sodium = np.asarray(sodium_cmol_kg, dtype=float)
    return np.asarray(_HANDBOOK_T_HA * field_factor * sodium * layers)
