"""Whether results are mapped as they are or as logarithms, and the way back.

Soil tests such as phosphorus often have many low and a few very high results; a few
of those rule a variogram. Their logarithms are mapped instead.
"""

from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import GroundError, Note

SKEWED = 1.0  # log-when-skewed


class Scale(StrEnum):
    """What a variogram describes."""

    PLAIN = "values"
    LOGARITHM = "natural logarithms"


def on_scale(values: NDArray[np.float64], scale: Scale) -> NDArray[np.float64]:
    """Values as a variogram of this scale sees them.

    Raises
    ------
    GroundError
        If a value at or below zero should become a logarithm.

    Examples
    --------
    >>> on_scale(np.array([1.0, np.e]), Scale.LOGARITHM)
    array([0., 1.])
    """
    if scale is Scale.PLAIN:
        return values
    if np.any(values <= 0.0):
        raise GroundError(
            "a value at or below zero has no logarithm",
            value=f"{np.min(values):g}",
            mend="Map the values themselves, or give results below detection a value above zero",
        )
    return np.log(values)


def advised_scale(values: NDArray[np.float64]) -> tuple[Scale, Note | None]:
    """The scale that suits the results, and why, where that is the logarithm.

    Logarithms are advised where the skewness is above 1, all results are above zero
    and their logarithms are less skewed.

    References
    ----------
    .. [1] log-when-skewed. Common practice: logarithms above a skewness of 1.

    Examples
    --------
    >>> advised_scale(np.array([8.0, 9.0, 10.0, 11.0, 12.0]))[0]
    <Scale.PLAIN: 'values'>
    """
    if np.any(values <= 0.0) or np.ptp(values) == 0.0:
        return Scale.PLAIN, None
    plain, logarithm = _skewness(values), _skewness(np.log(values))
    if plain <= SKEWED or abs(logarithm) >= plain:
        return Scale.PLAIN, None
    return Scale.LOGARITHM, Note(
        f"the results are skewed ({plain:.1f}): a few high ones would rule the map, so their "
        "logarithms are mapped and turned back without bias"
    )


def _skewness(values: NDArray[np.float64]) -> float:
    """Third standardised moment. [-]"""
    return float(np.mean(((values - values.mean()) / values.std()) ** 3))


def back_from_logarithms(
    mean: NDArray[np.float64], variance: NDArray[np.float64], multiplier: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""Mean and standard error of the values, from ordinary kriging of their logarithms.

    The power of a kriged logarithm is too low on average. This one is right on
    average where the logarithms are normal and the variogram is the true one.

    Parameters
    ----------
    mean, variance : ndarray of float
        Kriged logarithm and its kriging variance. [-]
    multiplier : ndarray of float
        Lagrange multiplier of the weights' sum, as in C w + multiplier = c. [-]

    Returns
    -------
    mean, standard_error : ndarray of float
        In the unit of the results.

    Notes
    -----
    .. math:: z = \exp(y + \sigma^2 / 2 + \psi), \quad s = z \sqrt{\exp(\sigma^2) - 1}

    The weighted logarithms have the variance :math:`C(0) - \sigma^2 - 2\psi`, so that z
    has the mean :math:`\exp(m + C(0)/2)` of the values.

    References
    ----------
    .. [1] lognormal-kriging. Unbiased back-transform of ordinary kriging.
    """
    value = np.exp(mean + variance / 2.0 + multiplier)
    return value, value * np.sqrt(np.expm1(variance))
