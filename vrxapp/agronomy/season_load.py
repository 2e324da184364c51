"""Humate of all operations of a season together: splitting a rate dodges no cap and no cut."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.humate_plan import HumatePlan, humate_plan
from vrxapp.agronomy.humate_policy import HumatePolicy, capped_humate
from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.errors import SoilInputError
from vrxapp.units import PERCENT


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class SeasonLoad:
    """What each operation spreads on each place, and the plan of the season behind it.

    Parameters
    ----------
    humate_kg_ha, fertiliser_kg_ha : ndarray of float, shape (operations, places)
        Humate, and fertiliser that is kept. [kg/ha]
    season : HumatePlan
        All operations together, with warnings and trail, over places.
    """

    humate_kg_ha: NDArray[np.float64]
    fertiliser_kg_ha: NDArray[np.float64]
    season: HumatePlan


def season_load(
    fertiliser_kg_ha: ArrayLike,
    policy: HumatePolicy,
    *,
    p_percent: ArrayLike = np.nan,
    least_p_kg_ha: ArrayLike = np.nan,
    price_per_kg: ArrayLike = np.nan,
    other_humate_kg_ha: ArrayLike = 0.0,
) -> SeasonLoad:
    r"""Humate and fertiliser of every operation, decided on the season's totals.

    Parameters
    ----------
    fertiliser_kg_ha : array_like, shape (operations, places)
        Uncut fertiliser, in the order it is spread: 0 where an operation leaves a place
        out; a missing one (NaN) makes the whole place unknown. [kg/ha]
    policy : HumatePolicy
        The agronomist's choice for the season.
    p_percent : array_like, shape (operations,), default NaN
        Phosphorus by mass of each operation's fertiliser. [%]
    least_p_kg_ha : array_like, shape (places,), default NaN
        Phosphorus below which the season is not cut; nothing is cut where it is NaN. [kg P/ha]
    price_per_kg : array_like, shape (operations,), default NaN
        Price of each operation's fertiliser. [currency/kg]
    other_humate_kg_ha : array_like, shape (operations, places), default 0
        Humate that an operation spreads without fertiliser. [kg/ha]

    Returns
    -------
    SeasonLoad
        The first operations get their humate first, until the cap is used up; a cut takes
        the same share off each operation.

    Raises
    ------
    SoilInputError
        If a value is negative, or the fertiliser is no table of operations by places.

    Notes
    -----
    .. math:: H_k = \min(\sum_{j \le k} w_j, cap) - \min(\sum_{j < k} w_j, cap)

    References
    ----------
    .. [1] humate-practice. The cap that is common.

    Examples
    --------
    300 kg/ha twice is 600: the second pass gets what the first left of 20 kg/ha.

    >>> from vrxapp.agronomy.humate_policy import FertiliserPolicy
    >>> choice = HumatePolicy(FertiliserPolicy.KEEP, share_percent=5.0, cap_kg_ha=20.0)
    >>> season_load([[300.0], [300.0]], choice).humate_kg_ha
    array([[15.],
           [ 5.]])
    """
    fertiliser = np.asarray(fertiliser_kg_ha, dtype=float)
    if fertiliser.ndim != 2:
        raise SoilInputError(
            "fertiliser_kg_ha must be a table of operations by places",
            mend="Give one row for each operation",
        )
    require_at_least_zero(
        fertiliser_kg_ha=fertiliser,
        p_percent=p_percent,
        price_per_kg=price_per_kg,
        other_humate_kg_ha=other_humate_kg_ha,
    )
    other = np.broadcast_to(np.asarray(other_humate_kg_ha, dtype=float), fertiliser.shape)
    total = fertiliser.sum(axis=0)
    season = humate_plan(
        total,
        policy,
        p_kg_ha=_weighted(fertiliser, p_percent) / PERCENT,
        least_p_kg_ha=least_p_kg_ha,
        fertiliser_price_per_kg=_mean_price(fertiliser, price_per_kg, total),
        other_humate_kg_ha=other.sum(axis=0),
    )
    wanted = capped_humate(fertiliser, share_percent=policy.share_percent) + other
    wanted = np.where(np.isnan(total), np.nan, wanted)
    is_bare = total == 0
    kept_share = np.where(is_bare, 1.0, season.fertiliser_kg_ha / np.where(is_bare, 1.0, total))
    return SeasonLoad(
        humate_kg_ha=_in_turn(wanted, policy.cap_kg_ha),
        fertiliser_kg_ha=np.asarray(fertiliser * kept_share),
        season=season,
    )


def _in_turn(wanted: NDArray[np.float64], cap_kg_ha: float) -> NDArray[np.float64]:
    """What each operation gets while the cap lasts, first come first served."""
    spent = np.minimum(np.cumsum(wanted, axis=0), cap_kg_ha)
    return np.diff(spent, axis=0, prepend=np.zeros((1, wanted.shape[1])))


def _weighted(fertiliser: NDArray[np.float64], by_operation: ArrayLike) -> NDArray[np.float64]:
    """Rate times a figure, summed over operations; one that spreads nothing adds nothing."""
    figure = np.asarray(by_operation, dtype=float).reshape(-1, 1)
    return np.asarray(np.where(fertiliser == 0, 0.0, fertiliser * figure).sum(axis=0))


def _mean_price(
    fertiliser: NDArray[np.float64], price_per_kg: ArrayLike, total: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Price of a kilogram of what is spread over the season; any told price where nothing is."""
    prices = np.asarray(price_per_kg, dtype=float)
    mean = _weighted(fertiliser, prices) / np.where(total > 0, total, 1.0)
    return np.where(total > 0, mean, prices.flat[0])
