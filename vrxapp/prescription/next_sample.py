"""Where one more sample would pay most: where a wrong class would cost most.

What a wrong class is expected to cost is also the most that a further sample could save,
so a place where it lies below the price of a sample needs none.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import SoilInputError

_EVEN = 0.5


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class NextSample:
    """What a wrong class would cost in each place, and which place to sample first.

    Parameters
    ----------
    chance_wrong : ndarray of float
        Chance that the place is treated as the wrong class; NaN where none is known. [-]
    expected_cost : ndarray of float
        What that is expected to cost, the most a further sample can save; NaN where
        something is missing. [currency]
    order : ndarray of int
        Rows of the places, the most worthwhile first: places without a result by what is
        at stake there, then the others by expected cost, last those of unknown cost.
    never_sampled : ndarray of bool
        Places for which no chance is known.
    """

    chance_wrong: NDArray[np.float64]
    expected_cost: NDArray[np.float64]
    order: NDArray[np.intp]
    never_sampled: NDArray[np.bool_]


def next_sample(
    chance_short: ArrayLike,
    area_ha: ArrayLike,
    *,
    loss_if_short_t_ha: ArrayLike,
    crop_price_t: ArrayLike,
    waste_if_ample_ha: ArrayLike,
) -> NextSample:
    """Places in the order in which one more sample would pay.

    A place counts as short where that is at least as likely as not. If it is called ample
    but is short, yield is lost; if it is called short but is ample, money is wasted.

    Parameters
    ----------
    chance_short : array_like
        Chance that each place lies below its critical value, 0 to 1; NaN where it has no
        result. [-]
    area_ha : array_like
        Ground of each place. [ha]
    loss_if_short_t_ha : array_like
        Yield lost where a short place is left without. [t/ha]
    crop_price_t : array_like
        Price of the crop. [currency/t]
    waste_if_ample_ha : array_like
        Money spent for nothing where an ample place is treated. [currency/ha]

    Returns
    -------
    NextSample
        Expected cost and order of the places.

    Raises
    ------
    SoilInputError
        If a chance lies outside 0 to 1, or another value is negative.

    Examples
    --------
    Three like places: one surely short, one in doubt, one never sampled:

    >>> ranked = next_sample(
    ...     [0.99, 0.40, float("nan")],
    ...     [20.0, 20.0, 20.0],
    ...     loss_if_short_t_ha=0.5,
    ...     crop_price_t=300.0,
    ...     waste_if_ample_ha=40.0,
    ... )
    >>> ranked.expected_cost.round(0)
    array([   8., 1200.,   nan])
    >>> ranked.order
    array([2, 1, 0])
    """
    chance, area, loss, price, waste = np.broadcast_arrays(
        *(
            np.atleast_1d(np.asarray(column, dtype=float))
            for column in (
                chance_short,
                area_ha,
                loss_if_short_t_ha,
                crop_price_t,
                waste_if_ample_ha,
            )
        )
    )
    _check(chance, area, loss, price, waste)
    is_called_short = chance >= _EVEN
    chance_wrong = np.where(is_called_short, 1.0 - chance, chance)
    at_stake = np.where(is_called_short, waste, loss * price)
    expected = area * chance_wrong * at_stake
    never = np.isnan(chance)
    # without a result both mistakes are open: the dearer one is at stake
    open_stake = area * np.fmax(waste, loss * price)
    worth = np.where(never, open_stake, expected)
    group = np.where(np.isnan(worth), 2, np.where(never, 0, 1))
    order = np.lexsort((-np.where(np.isnan(worth), 0.0, worth), group))
    return NextSample(chance_wrong, expected, order, never)


def _check(chance: NDArray[np.float64], *others: NDArray[np.float64]) -> None:
    """Refuse what cannot be; missing values may stay missing."""
    if np.any((chance < 0) | (chance > 1)):
        raise SoilInputError(
            "chance_short must lie between 0 and 1", mend="Give 0.25 for a chance of 25 %"
        )
    if any(np.any((column < 0) | np.isinf(column)) for column in others):
        raise SoilInputError(
            "area, loss, price and waste must be numbers of zero or more",
            mend="Check the value and its unit",
        )
