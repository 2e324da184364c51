"""Phosphorus that may leave with water: flagged where Colwell P / PBI is above 2.0."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.claims import first_claim
from vrxapp.agronomy.phosphorus import LOSS_RISK_RATIO, has_raised_loss_risk
from vrxapp.agronomy.trail import TrailStep
from vrxapp.sources import Grade


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class LossFlag:
    """Where phosphorus is likely to be lost, with the ratio behind it.

    Parameters
    ----------
    ratio : ndarray of float
        Ratio of Colwell P to PBI; NaN where one is missing. [-]
    is_raised : ndarray of bool
        Raised risk of loss; no where it cannot be told.
    reason : ndarray of object
        What it means, or why it cannot be told; empty elsewhere.
    steps : tuple of TrailStep
        The ratio as a column of a trail.
    """

    ratio: NDArray[np.float64]
    is_raised: NDArray[np.bool_]
    reason: NDArray[np.object_]
    steps: tuple[TrailStep, ...]


def phosphorus_loss_flag(colwell_p_mg_kg: ArrayLike, pbi: ArrayLike) -> LossFlag:
    r"""Where the soil holds more phosphorus than it can keep from water.

    On such ground no phosphorus is built up, and the buffers to water are kept.

    Parameters
    ----------
    colwell_p_mg_kg : array_like
        Colwell phosphorus of the top 10 cm; no other test stands in for it. [mg/kg]
    pbi : array_like
        Phosphorus buffering index, above 0. [index]

    Returns
    -------
    LossFlag
        Ratio, flag and words, in the shape the inputs broadcast to.

    Raises
    ------
    SoilInputError
        If a value is negative or a PBI is not above zero.

    Notes
    -----
    .. math:: ratio = ColwellP / PBI

    References
    ----------
    .. [1] moody-2006. In Rayment and Lyons 2011, Table 9.11.

    Examples
    --------
    >>> phosphorus_loss_flag([50.0, 50.0], [20.0, 80.0]).is_raised
    array([ True, False])
    """
    is_raised = np.asarray(has_raised_loss_risk(colwell_p_mg_kg, pbi))
    ratio = np.asarray(np.divide(colwell_p_mg_kg, pbi, dtype=float))
    reason = first_claim(
        [
            (
                is_raised,
                f"Colwell P / PBI is above {LOSS_RISK_RATIO:g}: build up no phosphorus, keep "
                "buffers to water",
            ),
            (np.isnan(ratio), "Colwell P or PBI is missing: the risk of loss cannot be told"),
        ]
    )
    step = TrailStep(
        "loss_ratio",
        "Colwell P / PBI",
        "",
        ratio,
        "Colwell P / PBI is {loss_ratio}; above 2 the risk of losing phosphorus is raised.",
        source="moody-2006",
        grade=Grade.PUBLISHED,
        told=np.isfinite(ratio),
    )
    return LossFlag(ratio=ratio, is_raised=is_raised, reason=reason, steps=(step,))
