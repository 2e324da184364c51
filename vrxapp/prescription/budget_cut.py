"""A budget without response curves: cut by the agronomist's own order, and show what is short.

No return is claimed here. Money goes to the first need in the order, for every place, then
to the next; the need at which it runs out is given to every place in the same share.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import MissingInputError, SoilInputError


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class BudgetCut:
    """What each place gets of each need, and what it goes without.

    Parameters
    ----------
    rate_kg_ha : ndarray of float, places × needs
        What is given; NaN where the need or the area is not known. [kg/ha]
    shortfall_kg_ha : ndarray of float, places × needs
        What is not. [kg/ha]
    share : ndarray of float, needs
        Share of each need that the money reaches, 0 to 1. [-]
    cost : ndarray of float, needs
        Money spent on each. [currency]
    too_little_to_spread : ndarray of bool, places × needs
        Places that go without because their share is under the machine's lowest rate.
    unspent : float
        Money left over. [currency]
    """

    rate_kg_ha: NDArray[np.float64]
    shortfall_kg_ha: NDArray[np.float64]
    share: NDArray[np.float64]
    cost: NDArray[np.float64]
    too_little_to_spread: NDArray[np.bool_]
    unspent: float


def cut_to_budget(
    need_kg_ha: NDArray[np.float64],
    area_ha: NDArray[np.float64],
    *,
    price_kg: NDArray[np.float64],
    order: tuple[int, ...],
    budget: float,
    lowest_kg_ha: ArrayLike = 0.0,
) -> BudgetCut:
    """Needs cut to a budget in an order of priority.

    Parameters
    ----------
    need_kg_ha : ndarray of float, places × needs
        What each place needs of each nutrient or operation. [kg/ha]
    area_ha : ndarray of float, places
        Ground of each place. [ha]
    price_kg : ndarray of float, needs
        Price of each need as it is spread. [currency/kg]
    order : tuple of int
        Every need once, the most urgent first.
    budget : float
        Money there is. [currency]
    lowest_kg_ha : array_like, needs, default 0
        Lowest rate the machine spreads, beside none at all. [kg/ha]

    Returns
    -------
    BudgetCut
        A rate cut below the machine's lowest becomes none, and its money stays unspent.

    Raises
    ------
    MissingInputError
        If the order does not name every need once, or the budget is negative.
    SoilInputError
        If the columns do not go together or a value is negative.

    Examples
    --------
    Two places of 10 ha; phosphorus comes before sulfur, and 500 does not reach for both:

    >>> cut = cut_to_budget(
    ...     np.array([[8.0, 10.0], [4.0, 10.0]]),
    ...     np.array([10.0, 10.0]),
    ...     price_kg=np.array([3.0, 1.0]),
    ...     order=(0, 1),
    ...     budget=500.0,
    ... )
    >>> cut.rate_kg_ha
    array([[8., 7.],
           [4., 7.]])
    >>> cut.share
    array([1. , 0.7])
    """
    _check(need_kg_ha, area_ha, price_kg=price_kg, lowest_kg_ha=lowest_kg_ha)
    if sorted(order) != list(range(len(price_kg))) or not budget >= 0:
        raise MissingInputError(
            "the order must name every need once, and the budget must be zero or more",
            mend="Drag every need to its place in the order",
        )
    area = area_ha[:, np.newaxis]
    wanted = np.nansum(need_kg_ha * area, axis=0) * price_kg
    share = _share_in_order(wanted, order=order, budget=budget)
    rate = need_kg_ha * share
    # a need below the machine's lowest rate is not the budget's doing, but no machine gives it
    too_little = (rate > 0) & (rate < np.asarray(lowest_kg_ha, dtype=float))
    unknown = np.isnan(need_kg_ha) | np.isnan(area)
    rate = np.where(unknown, math.nan, np.where(too_little, 0.0, rate))
    cost = np.nansum(rate * area, axis=0) * price_kg
    return BudgetCut(
        rate_kg_ha=rate,
        shortfall_kg_ha=need_kg_ha - rate,
        share=share,
        cost=cost,
        too_little_to_spread=too_little & ~unknown,
        unspent=budget - float(np.sum(cost)),
    )


def _share_in_order(
    wanted: NDArray[np.float64], *, order: tuple[int, ...], budget: float
) -> NDArray[np.float64]:
    """Share of each need that the money reaches."""
    places = np.array(order, dtype=np.intp)
    ordered = wanted[places]
    before = np.cumsum(ordered) - ordered
    reached = np.ones(len(ordered))
    np.divide(np.clip(budget - before, 0.0, ordered), ordered, out=reached, where=ordered > 0)
    share = np.empty(len(ordered))
    share[places] = reached
    return share


def _check(
    need_kg_ha: NDArray[np.float64],
    area_ha: NDArray[np.float64],
    *,
    price_kg: NDArray[np.float64],
    lowest_kg_ha: ArrayLike,
) -> None:
    """Refuse columns that do not go together and values that cannot be."""
    if need_kg_ha.ndim != 2 or need_kg_ha.shape != (*area_ha.shape, *price_kg.shape):
        raise SoilInputError(
            "needs, areas and prices do not go together",
            mend="Give one row a place, one column a need, and a price for each need",
        )
    if not np.all(price_kg >= 0):
        raise SoilInputError("prices must not be negative", mend="Give the price of every need")
    lowest = np.asarray(lowest_kg_ha, dtype=float)
    for column in (need_kg_ha, area_ha, lowest):
        if np.any(column < 0) or np.any(np.isinf(column)):
            raise SoilInputError(
                "needs, areas and lowest rates must be numbers of zero or more",
                mend="Check the value and its unit",
            )
