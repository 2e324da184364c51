"""Return against budget: put the money where the next dollar earns most.

Each place answers to each nutrient along its own curve, cut into straight pieces; HiGHS
then shares the money out. Gains of several nutrients in one place are added up. Where two
are short at once the scarcer one governs, so the sum is then too hopeful: say so.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import sparse
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from vrxapp.errors import MissingInputError
from vrxapp.prescription.spending_choices import SpendingChoices
from vrxapp.progress import Progress, Unwatched

GAINS_ARE_ADDED = (
    "Gains of several nutrients in one place are added up; where two are short at once this "
    "is too hopeful"
)
_GAP = 1e-6
_MOST_CHOICES_FOR_THE_BEST = 300
_PART = 1e-9


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class BudgetPlan:
    """Rates that bring most within a budget.

    Parameters
    ----------
    rate_kg_ha : ndarray of float, places × nutrients
        Rate of each nutrient; NaN where a curve or an area is missing. [kg/ha]
    shortfall_kg_ha : ndarray of float, places × nutrients
        Need that stays unmet. [kg/ha]
    spent : float
        Money spent. [currency]
    crop_value : float
        Value of the yield gained. [currency]
    last_dollar_earned : float
        What the last unit of money brought, gross; where the budget does not bind it is
        what was asked of each, as the next would bring no more. [currency/currency]
    still_to_win : float
        No other plan brings more than this beyond it, after the return asked: zero but for
        the machine's lowest rates among very many choices. [currency]
    """

    rate_kg_ha: NDArray[np.float64]
    shortfall_kg_ha: NDArray[np.float64]
    spent: float
    crop_value: float
    last_dollar_earned: float
    still_to_win: float

    @property
    def net_return(self) -> float:
        """Value gained less money spent. [currency]"""
        return self.crop_value - self.spent


@dataclass(frozen=True, slots=True, eq=False)
class _Pieces:
    """The choices as pieces of money: what each costs, brings, and belongs to."""

    cost: NDArray[np.float64]
    value: NDArray[np.float64]
    choice: NDArray[np.intp]
    is_first: NDArray[np.bool_]
    kg_ha: NDArray[np.float64]


def best_rates(choices: SpendingChoices, budget: float, *, extra_return: float = 0.0) -> BudgetPlan:
    """The rates that bring most within a budget.

    Parameters
    ----------
    choices : SpendingChoices
        Where money can go.
    budget : float
        Money there is; infinite for no limit. [currency]
    extra_return : float, default 0
        Return asked for beyond each unit of money; money that earns less stays unspent.

    Returns
    -------
    BudgetPlan
        Every rate is zero or between the machine's lowest and highest.

    Raises
    ------
    MissingInputError
        If the budget or the return asked is negative or missing.

    Notes
    -----
    The optimum is that of the curves cut into pieces: against smooth curves a rate can be
    off by one piece, the return by far less. With a lowest rate of the machine the best
    plan is found for up to 300 choices; among more, it is told how far off it can be.
    """
    if not budget >= 0 or not (extra_return >= 0 and math.isfinite(extra_return)):
        raise MissingInputError(
            "a budget and the return asked of it must be zero or more", mend="Give both as numbers"
        )
    pieces = _pieces(choices)
    asked = 1.0 + extra_return
    money = min(budget, float(np.sum(pieces.cost)))
    begun, still_to_win = _begun(pieces, money, asked=asked)
    spent, shadow_price = _spent_beside(pieces, money, asked=asked, begun=begun)
    share = np.where(begun, 1.0, spent / pieces.cost)
    last_dollar_earned = asked + shadow_price
    return _plan(
        choices,
        pieces,
        share=share,
        last_dollar_earned=last_dollar_earned,
        still_to_win=still_to_win,
    )


def budget_curve(
    choices: SpendingChoices,
    budgets: ArrayLike,
    *,
    extra_return: float = 0.0,
    progress: Progress | None = None,
) -> tuple[BudgetPlan, ...]:
    """The best plan for each of several budgets: return against money.

    Parameters
    ----------
    choices : SpendingChoices
        Where money can go.
    budgets : array_like
        Budgets to try. [currency]
    extra_return : float, default 0
        Return asked for beyond each unit of money.
    progress : Progress, optional
        Is told how far it is; may raise `Cancelled`.

    Returns
    -------
    tuple of BudgetPlan
        One for each budget, in their order.
    """
    watched = Unwatched() if progress is None else progress
    tried = np.asarray(budgets, dtype=float)
    plans = []
    for done, money in enumerate(tried):
        watched.step(done, len(tried), "Return against budget")
        plans.append(best_rates(choices, float(money), extra_return=extra_return))
    return tuple(plans)


def _pieces(choices: SpendingChoices) -> _Pieces:
    """Every straight piece of every curve; what the machine cannot part is one piece."""
    rates, yields = _from_lowest(choices)
    widths, gains = np.diff(rates, axis=0), np.diff(yields, axis=0)
    area = choices.area_ha[:, np.newaxis]
    cost = widths * area * choices.nutrient_price_kg
    value = gains * area * choices.crop_price_t
    is_first = np.zeros(cost.shape, dtype=bool)
    is_first[0] = choices.lowest_kg_ha > 0
    choice = np.broadcast_to(np.arange(cost[0].size).reshape(cost[0].shape), cost.shape)
    usable = np.all(np.isfinite(cost) & np.isfinite(value), axis=0) & (cost > 0)
    return _Pieces(cost[usable], value[usable], choice[usable], is_first[usable], widths[usable])


def _from_lowest(choices: SpendingChoices) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Curves in which the pieces up to the machine's lowest rate are joined into one."""
    rates, yields = choices.rates_kg_ha, choices.yields_t_ha
    # a highest rate of zero leaves the nutrient out of that place
    lowest = np.where(rates[-1] > 0, choices.lowest_kg_ha, 0.0)
    at_lowest = _yield_at(rates, yields, lowest)
    joined = rates < lowest
    joined[0] = False
    # a rate that the machine cannot spread stands for the lowest that it can
    return np.where(joined, lowest, rates), np.where(joined, at_lowest, yields)


def _yield_at(
    rates: NDArray[np.float64], yields: NDArray[np.float64], wanted: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Yield of every curve at one rate each, on its straight pieces."""
    widths = np.diff(rates, axis=0)
    inside = np.clip(wanted - rates[:-1], 0.0, widths)
    slopes = np.zeros(widths.shape)
    np.divide(np.diff(yields, axis=0), widths, out=slopes, where=widths > 0)
    return np.asarray(yields[0] + np.sum(slopes * inside, axis=0))


def _spent_on(
    pieces: _Pieces, money: float, *, asked: float, usable: NDArray[np.bool_]
) -> tuple[NDArray[np.float64], float]:
    """Money on each usable piece that earns what is asked, and what one unit more would add."""
    earns = pieces.value / pieces.cost - asked
    worth = usable & (earns > 0)
    spent = np.zeros(len(earns))
    if not np.any(worth):
        return spent, 0.0
    solved = linprog(
        -earns[worth],
        A_ub=np.ones((1, int(np.sum(worth)))),
        b_ub=[money],
        bounds=np.column_stack([spent[worth], pieces.cost[worth]]),
        method="highs",
        # one row joins all columns: looking for simplifications takes longer than solving
        options={"presolve": False},
    )
    if not solved.success:
        raise MissingInputError(f"the budget could not be shared out: {solved.message}")
    spent[worth] = solved.x
    return spent, max(0.0, -float(solved.ineqlin.marginals[0]))


def _begun(pieces: _Pieces, money: float, *, asked: float) -> tuple[NDArray[np.bool_], float]:
    """First pieces to buy, whole, as the machine cannot spread a part; what is still to win.

    A curve bends down, so money fills its first piece before the next: only the very last
    piece bought can be a part. If that is no first piece, nothing is left to decide. If it
    is, leaving it out costs little among many; among few the best is found.
    """
    first = pieces.is_first
    if not np.any(first):
        return first, 0.0
    everything = np.ones(len(first), dtype=bool)
    spent, shadow_price = _spent_on(pieces, money, asked=asked, usable=everything)
    share = spent / pieces.cost
    whole = first & (share > 1.0 - _PART)
    if not np.any(first & (share > _PART) & ~whole):
        return whole, 0.0
    # what a piece adds beyond the money it takes, at the price of money
    beyond = pieces.value - (asked + shadow_price) * pieces.cost
    bound = shadow_price * money + float(np.sum(np.maximum(beyond, 0.0)))
    to_win = max(bound - _net_of(pieces, money, asked=asked, begun=whole), 0.0)
    if to_win <= _GAP * bound or np.sum(first) > _MOST_CHOICES_FOR_THE_BEST:
        return whole, to_win
    # a first piece that adds, or loses, more than there is to win is decided already
    least = np.where(first & (beyond > to_win), 1.0, 0.0)
    most = np.where(first & (beyond < -to_win), 0.0, 1.0)
    return _begun_best(pieces, money, asked=asked, least=least, most=most), 0.0


def _net_of(pieces: _Pieces, money: float, *, asked: float, begun: NDArray[np.bool_]) -> float:
    """Net return beyond what is asked, with these first pieces bought."""
    spent = _spent_beside(pieces, money, asked=asked, begun=begun)[0]
    share = np.where(begun, 1.0, spent / pieces.cost)
    return float(np.sum(share * (pieces.value - asked * pieces.cost)))


def _spent_beside(
    pieces: _Pieces, money: float, *, asked: float, begun: NDArray[np.bool_]
) -> tuple[NDArray[np.float64], float]:
    """Money on the later pieces once the first ones are decided, and its shadow price."""
    left = max(money - float(np.sum(pieces.cost[begun])), 0.0)
    unbegun = np.isin(pieces.choice, pieces.choice[pieces.is_first & ~begun])
    return _spent_on(pieces, left, asked=asked, usable=~(pieces.is_first | unbegun))


def _begun_best(
    pieces: _Pieces,
    money: float,
    *,
    asked: float,
    least: NDArray[np.float64],
    most: NDArray[np.float64],
) -> NDArray[np.bool_]:
    """First pieces to buy, by whole numbers: later pieces only once a first is bought."""
    first = pieces.is_first
    never = np.isin(pieces.choice, pieces.choice[first & (most == 0.0)])
    kept = np.flatnonzero(~never)
    solved = milp(
        (asked * pieces.cost - pieces.value)[kept],
        integrality=first[kept].astype(int),
        bounds=Bounds(least[kept], most[kept]),
        constraints=[
            LinearConstraint(pieces.cost[kept][np.newaxis], -math.inf, money),
            LinearConstraint(_links(first[kept], pieces.choice[kept]), -math.inf, 0.0),
        ],
        options={"mip_rel_gap": _GAP, "presolve": False},
    )
    if solved.x is None:
        raise MissingInputError(f"the budget could not be shared out: {solved.message}")
    begun = np.zeros(len(first), dtype=bool)
    begun[kept] = first[kept] & (solved.x > 0.5)
    return begun


def _links(first: NDArray[np.bool_], choice: NDArray[np.intp]) -> sparse.csr_array:
    """One row a choice: the shares of its later pieces less their number times its first."""
    later = np.flatnonzero(~first & np.isin(choice, choice[first]))
    starts = np.flatnonzero(first)
    later_count = np.bincount(choice[later], minlength=int(choice.max(initial=-1)) + 1)
    return sparse.csr_array(
        (
            np.concatenate([np.ones(len(later)), -1.0 * later_count[choice[starts]]]),
            (np.concatenate([choice[later], choice[starts]]), np.concatenate([later, starts])),
        ),
        shape=(len(later_count), len(first)),
    )


def _plan(
    choices: SpendingChoices,
    pieces: _Pieces,
    *,
    share: NDArray[np.float64],
    last_dollar_earned: float,
    still_to_win: float,
) -> BudgetPlan:
    """Rates, shortfall and money from the shares of the pieces."""
    shape = choices.need_kg_ha.shape
    size = choices.need_kg_ha.size
    kg_ha = np.bincount(pieces.choice, weights=share * pieces.kg_ha, minlength=size)
    known = np.isfinite(choices.rates_kg_ha) & np.isfinite(choices.yields_t_ha)
    told = np.all(known, axis=0) & np.isfinite(choices.area_ha)[:, np.newaxis]
    rate = np.where(told, kg_ha.astype(float).reshape(shape), math.nan)
    return BudgetPlan(
        rate_kg_ha=rate,
        shortfall_kg_ha=np.maximum(choices.need_kg_ha - rate, 0.0),
        spent=float(np.sum(share * pieces.cost)),
        crop_value=float(np.sum(share * pieces.value)),
        last_dollar_earned=last_dollar_earned,
        still_to_win=still_to_win,
    )
