"""Ammonia that surface-spread urea loses to the air: a figure to warn with, never a credit."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.figures import Figure, FigureTable, figures
from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.units import PERCENT

VOLATILISATION_CAUTION = (
    "Urea loses most on moist, sandy or limy ground, with wind and heavy stubble, and where no "
    "rain follows; ammonium sulphate loses nitrogen too where lime passes 10 %. Placing it 25 mm "
    "deep, or some 10 mm of rain in a day on sand and more on heavier soil, holds it."
)
"""To be shown beside each loss [grdc-2021-volatilisation]."""


def volatilisation_losses() -> tuple[Figure, ...]:
    """Every mean loss there is, with its range. [%]"""
    return figures(FigureTable.VOLATILISATION)


def nitrogen_volatilised(urea_n_kg_ha: ArrayLike, loss_percent: ArrayLike) -> NDArray[np.float64]:
    r"""Nitrogen of urea that is lost as ammonia.

    The means lie in ranges of three to thirty-fold; no rate is raised to make up for
    a loss that may not come.

    Parameters
    ----------
    urea_n_kg_ha : array_like
        Nitrogen spread as urea on the surface. [kg N/ha]
    loss_percent : array_like
        Share that is lost, as `volatilisation_losses` gives, 0 to 100. [%]

    Returns
    -------
    ndarray of float
        Nitrogen lost; NaN where an input is missing. [kg N/ha]

    Raises
    ------
    SoilInputError
        If a value is negative or the share above 100.

    Notes
    -----
    .. math:: N_{lost} = N \, p / 100

    N: nitrogen spread as urea; p: share that is lost.

    References
    ----------
    .. [1] grdc-2021-volatilisation. Means and ranges in Australian cropping.

    Examples
    --------
    >>> nitrogen_volatilised([50.0], 11.7).round(2)
    array([5.85])
    """
    require_at_least_zero(
        urea_n_kg_ha=urea_n_kg_ha,
        loss_percent=loss_percent,
        kept_percent=np.subtract(PERCENT, loss_percent, dtype=float),
    )
    return np.multiply(urea_n_kg_ha, loss_percent, dtype=float) / PERCENT
