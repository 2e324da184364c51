"""Cadmium, lead and mercury that fertilisers may hold, and what a rate brings at most."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.figures import Figure, FigureTable, figure, figures
from vrxapp.agronomy.input_checks import require_at_least_zero

METAL_CAUTION = (
    "Cadmium stays in the soil and gets into grain, offal, potatoes and leaf vegetables, more so "
    "on acid, sandy or saline ground. Ask the supplier for the analysis; the law of your state "
    "says what may be spread."
)
"""To be shown beside each load [label-and-law]."""

_GRAMS_PER_MILLIGRAM = 1e-3


def metal_limits() -> tuple[Figure, ...]:
    """What New South Wales allows at most; other states may differ.

    Returns
    -------
    tuple of Figure
        Limits by law.

    Examples
    --------
    >>> metal_limits()[0].value
    300.0
    """
    return figures(FigureTable.METAL_LIMITS)


def highest_cadmium_load(
    p_kg_ha: ArrayLike, *, cadmium_mg_kg_p: ArrayLike | None = None
) -> NDArray[np.float64]:
    r"""Cadmium that a rate of phosphorus brings, at the highest that the law allows.

    Parameters
    ----------
    p_kg_ha : array_like
        Phosphorus spread. [kg P/ha]
    cadmium_mg_kg_p : array_like, optional
        Cadmium by the supplier's analysis; the limit of New South Wales where it is not
        given. The clause says "of phosphate" and is read as of phosphorus. [mg/kg P]

    Returns
    -------
    ndarray of float
        Cadmium. [g/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: Cd = P \, c / 1000

    P: phosphorus; c: cadmium in it.

    References
    ----------
    .. [1] nsw-biosecurity-2017. Clause 43.

    Examples
    --------
    >>> highest_cadmium_load([15.0])
    array([4.5])
    """
    limit = figure(FigureTable.METAL_LIMITS, "cadmium_phosphatic").value
    content = limit if cadmium_mg_kg_p is None else cadmium_mg_kg_p
    require_at_least_zero(p_kg_ha=p_kg_ha, cadmium_mg_kg_p=content)
    return np.multiply(p_kg_ha, content, dtype=float) * _GRAMS_PER_MILLIGRAM
