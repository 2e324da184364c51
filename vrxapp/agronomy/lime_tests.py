"""Lime from a soil test calibrated for it: exchangeable aluminium, and the single buffer.

Each gives the amount in the form its source prints. Where that form holds lime of 90 %,
`lime.lime_need` turns it into pure lime once.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import SoilInputError

_CALIBRATED_CM = 10.0
_SENSITIVE = 1.5


def lime_by_aluminium(
    aluminium_cmol_kg: ArrayLike, bulk_density_t_m3: ArrayLike, *, depth_cm: ArrayLike = 10.0
) -> NDArray[np.float64]:
    r"""Pure lime for the exchangeable aluminium of a layer, 16A1.

    Parameters
    ----------
    aluminium_cmol_kg : array_like
        Exchangeable aluminium. [cmol(+)/kg]
    bulk_density_t_m3 : array_like
        Bulk density, above 0. [t/m³]
    depth_cm : array_like, default 10
        Thickness of the layer. [cm]

    Returns
    -------
    ndarray of float
        Pure CaCO3. [kg/ha]

    Raises
    ------
    SoilInputError
        If the aluminium is negative, or a depth or density is not above zero.

    Notes
    -----
    .. math:: L = 750 \, Al \, \rho \, d / 10

    References
    ----------
    .. [1] rayment-lyons-2011. Method 16A1.

    Examples
    --------
    >>> lime_by_aluminium([1.0], 1.0)
    array([750.])
    """
    require_at_least_zero(aluminium_cmol_kg=aluminium_cmol_kg)
    require_above_zero(bulk_density_t_m3=bulk_density_t_m3, depth_cm=depth_cm)
    layer = np.asarray(depth_cm, dtype=float) / _CALIBRATED_CM
    density = np.asarray(bulk_density_t_m3, dtype=float)
    return np.asarray(750.0 * np.asarray(aluminium_cmol_kg, dtype=float) * density * layer)


def lime_by_tolerated_aluminium(
    aluminium_cmol_kg: ArrayLike,
    ecec_cmol_kg: ArrayLike,
    *,
    tolerated_percent: ArrayLike,
    depth_cm: ArrayLike = 10.0,
) -> NDArray[np.float64]:
    r"""Lime of about 90 % for the aluminium beyond what the crop bears, 16B1.

    Bulk density 1.3 and the 90 % are inside: do not correct for them again.

    Parameters
    ----------
    aluminium_cmol_kg, ecec_cmol_kg : array_like
        Exchangeable aluminium and effective CEC. [cmol(+)/kg]
    tolerated_percent : array_like
        Share of the effective CEC that aluminium may hold, 0 to 100. [%]
    depth_cm : array_like, default 10
        Thickness of the layer. [cm]

    Returns
    -------
    ndarray of float
        Lime of about 90 % available value; zero where the crop bears it. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: L = 1300 \, (Al - ECEC \, tol / 100) \, d / 10

    References
    ----------
    .. [1] rayment-lyons-2011. Method 16B1, Cregan 1980.

    Examples
    --------
    >>> lime_by_tolerated_aluminium([1.5], 5.0, tolerated_percent=10.0)
    array([1300.])
    """
    require_at_least_zero(aluminium_cmol_kg=aluminium_cmol_kg, tolerated_percent=tolerated_percent)
    require_above_zero(ecec_cmol_kg=ecec_cmol_kg, depth_cm=depth_cm)
    _require_no_more(100.0, tolerated_percent=tolerated_percent)
    tolerated = np.asarray(ecec_cmol_kg, dtype=float) * np.asarray(tolerated_percent) / 100.0
    surplus = np.maximum(np.asarray(aluminium_cmol_kg, dtype=float) - tolerated, 0.0)
    return np.asarray(1300.0 * surplus * np.asarray(depth_cm, dtype=float) / _CALIBRATED_CM)


def lime_by_mehlich_buffer(
    buffer_ph: ArrayLike, *, is_sensitive_crop: bool = False
) -> NDArray[np.float64]:
    r"""Lime of 90 % for 20 cm of a mineral soil, from the Mehlich single buffer, 16C1.

    Parameters
    ----------
    buffer_ph : array_like
        pH of the soil in the Mehlich buffer; at or above 6.6 none is needed. [pH]
    is_sensitive_crop : bool, default False
        Whether the crop is sensitive to acidity: half as much again.

    Returns
    -------
    ndarray of float
        Lime of 90 % effectiveness for 20 cm. [t/ha]

    Raises
    ------
    SoilInputError
        If a pH lies outside 0 to 14.

    Notes
    -----
    .. math:: A = (6.6 - pH) / 0.25, \quad L = 0.1 A^2 + A

    References
    ----------
    .. [1] rayment-lyons-2011. Method 16C1.

    Examples
    --------
    >>> lime_by_mehlich_buffer([5.6]).round(2)
    array([5.6])
    """
    require_at_least_zero(buffer_ph=buffer_ph)
    _require_no_more(14.0, buffer_ph=buffer_ph)
    acidity = np.maximum((6.6 - np.asarray(buffer_ph, dtype=float)) / 0.25, 0.0)
    tolerant = 0.1 * acidity**2 + acidity
    return np.asarray(tolerant * _SENSITIVE if is_sensitive_crop else tolerant)


def _require_no_more(limit: float, **values: ArrayLike) -> None:
    """Refuse a value above its limit; a missing one may stay missing."""
    for name, column in values.items():
        if np.any(np.asarray(column, dtype=float) > limit):
            raise SoilInputError(
                f"{name} must not be above {limit:g}", mend="Check the value and its unit"
            )
