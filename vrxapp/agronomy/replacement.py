"""Replacement: put back what the harvest takes and the soil loses, for any nutrient.

It keeps a soil where it is; it neither builds up a poor soil nor draws on a rich one.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.claims import first_claim
from vrxapp.agronomy.crop_removal import Nutrient, Removal, nutrient_removal
from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class ReplacementNeed:
    """What each place needs of one nutrient to stay where it is, with its parts.

    Parameters
    ----------
    nutrient : Nutrient
        The element.
    need_kg_ha : ndarray of float
        What is to be put back; NaN where it cannot be told. [kg/ha]
    removed_kg_ha, lost_kg_ha : ndarray of float
        What the harvest carries away, and what the soil loses beside it. [kg/ha]
    low_kg_ha, high_kg_ha : ndarray of float
        The need by the ends of the printed range; NaN where there is none. [kg/ha]
    reason : ndarray of object
        Text why no need can be told; empty elsewhere.
    doubt : ndarray of object
        Text why a need is less sure; empty elsewhere.
    source, where : str
        Key of the bibliography and the place in it, of the removal.
    grade : Grade
        How well the removal is known.
    """

    nutrient: Nutrient
    need_kg_ha: NDArray[np.float64]
    removed_kg_ha: NDArray[np.float64]
    lost_kg_ha: NDArray[np.float64]
    low_kg_ha: NDArray[np.float64]
    high_kg_ha: NDArray[np.float64]
    reason: NDArray[np.object_]
    doubt: NDArray[np.object_]
    source: str
    where: str
    grade: Grade


def replacement_need(
    yield_per_ha: ArrayLike,
    removal: Removal,
    *,
    lost_kg_ha: ArrayLike = 0.0,
    replaced_share: float = 1.0,
    dry_matter_share: ArrayLike = 1.0,
) -> ReplacementNeed:
    r"""What each place needs of a nutrient to replace a harvest and the soil's losses.

    Parameters
    ----------
    yield_per_ha : array_like
        Harvest in the unit of the removal; NaN where it is not known. [t/ha or 1000 L/ha]
    removal : Removal
        The nutrient in one unit of the harvest.
    lost_kg_ha : array_like, default 0
        What the soil loses in a year by leaching, runoff and fixing. No published
        figure was read, so it is the agronomist's. [kg/ha]
    replaced_share : float, default 1
        Share that is put back this year, 0 to 1; below 1 the soil is drawn on. [-]
    dry_matter_share : array_like, default 1
        Dry matter in a harvest that was weighed wet. [-]

    Returns
    -------
    ReplacementNeed
        Need and parts in the shape the inputs broadcast to. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range; the message names the parameter.

    Notes
    -----
    .. math:: need = share \, (yield \times removal + loss)

    References
    ----------
    .. [1] grdc-2020-p-budget. Phosphorus, with the removal of wheat and canola.
    .. [2] grdc-2022-p-balance. Above the critical range, replacement is the most that pays.

    Examples
    --------
    >>> from vrxapp.agronomy.crop_removal import Nutrient, default_removal
    >>> wheat = default_removal("wheat_grain", Nutrient.PHOSPHORUS)
    >>> replacement_need([3.0], wheat, lost_kg_ha=1.0).need_kg_ha
    array([10.])
    """
    require_at_least_zero(lost_kg_ha=lost_kg_ha, replaced_share=replaced_share)
    if not replaced_share <= 1:
        raise SoilInputError(
            "replaced_share must lie between 0 and 1", mend="Give a share, 0.33 for a third"
        )
    removed, low, high = (
        nutrient_removal(yield_per_ha, kg_per_unit, dry_matter_share=dry_matter_share)
        for kg_per_unit in (removal.kg_per_unit, removal.low_kg_per_unit, removal.high_kg_per_unit)
    )
    lost = np.asarray(lost_kg_ha, dtype=float)
    removed, lost, low, high = np.broadcast_arrays(removed, lost, low, high)
    need = replaced_share * (removed + lost)
    return ReplacementNeed(
        nutrient=removal.nutrient,
        need_kg_ha=need,
        removed_kg_ha=removed,
        lost_kg_ha=lost,
        low_kg_ha=replaced_share * (low + lost),
        high_kg_ha=replaced_share * (high + lost),
        reason=first_claim([(np.isnan(need), "the yield or the loss is not known")]),
        doubt=first_claim([(need > 0, _doubt(removal, replaced_share))]),
        source=removal.source,
        where=removal.where,
        grade=removal.grade,
    )


def _doubt(removal: Removal, replaced_share: float) -> str:
    """What makes the need less sure, for all places alike."""
    told = []
    if removal.grade is Grade.UNVERIFIED:
        told.append("the removal is from memory and unverified: have the harvest analysed")
    if replaced_share < 1:
        told.append("less is put back than is taken away: the soil is drawn on, so test it again")
    return "; ".join(told)
