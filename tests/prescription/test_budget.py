"""Return against budget, against optima found in other ways."""

import itertools
import math
from functools import partial

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from known_curves import known_along
from scipy.optimize import brentq

from vrxapp.agronomy.response_curve import linear_plateau, mitscherlich, mitscherlich_optimum
from vrxapp.errors import MissingInputError
from vrxapp.prescription.budget import GAINS_ARE_ADDED, best_rates, budget_curve
from vrxapp.prescription.spending_choices import SpendingChoices

CROP_PRICE_T = 300.0


def farm(places=6, nutrients=2, *, seed=1, lowest=0.0, pieces=24):
    """An invented farm: Mitscherlich curves, drawn from a seed."""
    draw = np.random.default_rng(seed)
    shape = (places, nutrients)
    unfed = draw.uniform(1.5, 4.0, shape)
    curve = {
        "unfed_yield_t_ha": unfed,
        "top_yield_t_ha": unfed + draw.uniform(0.0, 2.0, shape),
        "curvature_ha_kg": draw.uniform(0.01, 0.05, shape),
    }
    rates, yields = known_along(
        partial(mitscherlich, **curve), np.full(shape, 120.0), pieces=pieces
    )
    choices = SpendingChoices(
        area_ha=draw.uniform(1.0, 20.0, places),
        need_kg_ha=np.full(shape, 40.0),
        rates_kg_ha=rates,
        yields_t_ha=yields,
        crop_price_t=CROP_PRICE_T,
        nutrient_price_kg=draw.uniform(1.0, 4.0, nutrients),
        lowest_kg_ha=np.full(nutrients, lowest),
    )
    return choices, curve


def money_of(choices, plan):
    """Cost and value of a plan worked out anew from its rates."""
    area = choices.area_ha[:, np.newaxis]
    cost = np.nansum(plan.rate_kg_ha * area * choices.nutrient_price_kg)
    value = 0.0
    for place, nutrient in np.ndindex(plan.rate_kg_ha.shape):
        rates = choices.rates_kg_ha[:, place, nutrient]
        yields = choices.yields_t_ha[:, place, nutrient]
        gain = np.interp(plan.rate_kg_ha[place, nutrient], rates, yields) - yields[0]
        value += np.nan_to_num(gain * choices.area_ha[place] * CROP_PRICE_T)
    return cost, value


def greedy_net(choices, budget, *, begun=None, asked=1.0):
    """Best net return by buying the best pieces first, the textbook way."""
    widths, gains = np.diff(choices.rates_kg_ha, axis=0), np.diff(choices.yields_t_ha, axis=0)
    area = choices.area_ha[:, np.newaxis]
    cost = (widths * area * choices.nutrient_price_kg).ravel()
    value = (gains * area * CROP_PRICE_T).ravel()
    net, left = 0.0, budget
    if begun is not None:  # the first piece of each choice is whole or nothing
        count = len(begun)
        left -= cost[:count][begun].sum()
        if left < 0:
            return -math.inf
        net += (value - asked * cost)[:count][begun].sum()
        allowed = np.tile(begun, len(cost) // count)
        allowed[:count] = False
        cost, value = cost[allowed], value[allowed]
    for piece in np.argsort(-value / cost):
        spent = min(left, cost[piece]) if value[piece] > asked * cost[piece] else 0.0
        net += spent * (value[piece] / cost[piece] - asked)
        left -= spent
    return net


@pytest.mark.parametrize("share", [0.0, 0.1, 0.4, 0.8, 1.5])
def test_the_best_rates_are_those_of_buying_the_best_pieces_first(share):
    choices, _ = farm()
    budget = share * best_rates(choices, math.inf).spent
    assert best_rates(choices, budget).net_return == pytest.approx(
        greedy_net(choices, budget), rel=1e-6, abs=1e-6
    )


@pytest.mark.parametrize("share", [0.2, 0.5, 0.8])
def test_with_fine_pieces_every_place_earns_the_same_on_its_last_dollar(share):
    # equal marginal returns, worked out from the equation: a(A-Y0)c e^(-cx) p / r = L
    choices, curve = farm(pieces=400)
    gap = curve["top_yield_t_ha"] - curve["unfed_yield_t_ha"]
    curvature, area = curve["curvature_ha_kg"], choices.area_ha[:, np.newaxis]
    first = curvature * gap * CROP_PRICE_T / choices.nutrient_price_kg

    def rates_at(earning):
        return np.clip(np.log(np.maximum(first / earning, 1.0)) / curvature, 0.0, 120.0)

    def spent_at(earning):
        return np.sum(rates_at(earning) * area * choices.nutrient_price_kg)

    budget = share * spent_at(1.0)
    earning = brentq(lambda e: spent_at(e) - budget, 1.0, first.max())
    plan = best_rates(choices, budget)
    # stated tolerance: one piece of 0.3 kg/ha, and 0.01 % of the return
    assert np.abs(plan.rate_kg_ha - rates_at(earning)).max() <= 0.3 + 1e-9
    assert plan.last_dollar_earned == pytest.approx(earning, rel=0.01)
    exact = np.sum(gap * -np.expm1(-curvature * rates_at(earning)) * area) * CROP_PRICE_T
    assert plan.crop_value == pytest.approx(exact, rel=1e-4)


def test_without_a_budget_each_place_gets_its_own_optimum():
    choices, curve = farm(pieces=400)
    plan = best_rates(choices, math.inf, extra_return=0.5)
    expected = mitscherlich_optimum(
        **curve,
        crop_price_t=CROP_PRICE_T,
        nutrient_price_kg=choices.nutrient_price_kg,
        extra_return=0.5,
    )
    assert np.abs(plan.rate_kg_ha - np.minimum(expected, 120.0)).max() <= 0.3 + 1e-9
    assert plan.last_dollar_earned == 1.5


@pytest.mark.parametrize("lowest", [0.0, 15.0])
@pytest.mark.parametrize("share", [0.13, 0.37, 0.71])
def test_the_last_dollar_earns_what_one_dollar_less_would_lose(lowest, share):
    choices, _ = farm(places=40, lowest=lowest)
    budget = share * best_rates(choices, math.inf).spent
    plan = best_rates(choices, budget)
    less, more = best_rates(choices, budget - 0.5), best_rates(choices, budget + 0.5)
    # one piece is worth hundreds of dollars, so this small step stays on it
    slope = (more.crop_value - less.crop_value) / (more.spent - less.spent)
    assert plan.last_dollar_earned == pytest.approx(slope, rel=1e-4)


def best_by_brute_force(choices, budget, *, asked, count=8):
    """Over every way to begin the first choices, the rest bought best first."""
    others = choices.need_kg_ha.size - count
    return max(
        greedy_net(choices, budget, begun=np.array([*begun, *[False] * others]), asked=asked)
        for begun in itertools.product([False, True], repeat=count)
    )


@pytest.mark.parametrize("extra", [0.0, 1.5])
@pytest.mark.parametrize("seed", range(6))
def test_whole_starts_are_the_best_of_all_that_could_be_begun(seed, extra):
    choices, _ = farm(places=4, nutrients=2, seed=seed, lowest=30.0, pieces=4)  # 30 is one piece
    budget = 0.35 * best_rates(choices, math.inf).spent
    plan = best_rates(choices, budget, extra_return=extra)
    asked = 1.0 + extra
    best = best_by_brute_force(choices, budget, asked=asked)
    assert plan.crop_value - asked * plan.spent == pytest.approx(best, rel=1e-5, abs=1e-6)
    assert plan.still_to_win <= 1e-6 * plan.crop_value


@pytest.mark.parametrize("seed", range(6))
def test_among_very_many_choices_no_more_is_left_to_win_than_is_told(seed):
    # eight choices as above, and three hundred that answer to nothing
    choices, _ = farm(places=4, nutrients=2, seed=seed, lowest=30.0, pieces=4)
    idle = 150
    many = SpendingChoices(
        np.append(choices.area_ha, np.full(idle, 5.0)),
        np.vstack([choices.need_kg_ha, np.zeros((idle, 2))]),
        np.concatenate([choices.rates_kg_ha, choices.rates_kg_ha[:, [0] * idle]], axis=1),
        np.concatenate([choices.yields_t_ha, np.full((5, idle, 2), 2.0)], axis=1),
        CROP_PRICE_T,
        choices.nutrient_price_kg,
        choices.lowest_kg_ha,
    )
    budget = 0.35 * best_rates(choices, math.inf).spent
    plan = best_rates(many, budget)
    best = best_by_brute_force(many, budget, asked=1.0)
    assert best - plan.still_to_win - 1e-6 <= plan.net_return <= best + 1e-6
    assert np.all(plan.rate_kg_ha[4:] == 0.0)


def test_a_rate_under_the_lowest_of_the_machine_is_never_given():
    choices, _ = farm(places=30, lowest=17.0)
    for share in (0.05, 0.2, 0.6):
        rates = best_rates(choices, share * 20_000.0).rate_kg_ha
        assert np.all((rates == 0) | (rates >= 17.0 - 1e-6))
        assert np.all(rates <= 120.0 + 1e-6)
        assert np.any(rates > 0)


def test_nothing_is_begun_where_the_lowest_rate_does_not_pay():
    # worth 0.02 x 300 = 6 on each kg up to 10 kg/ha, which costs 2; but 40 kg/ha cost 80
    rates, yields = known_along(
        partial(linear_plateau, unfed_yield_t_ha=2.0, slope_t_kg=0.02, knot_kg_ha=10.0),
        [[80.0]],
        pieces=8,
    )
    free = SpendingChoices(
        np.array([10.0]), np.array([[10.0]]), rates, yields, 300.0, np.array([2.0]), np.array([0.0])
    )
    bound = SpendingChoices(
        np.array([10.0]),
        np.array([[10.0]]),
        rates,
        yields,
        300.0,
        np.array([2.0]),
        np.array([40.0]),
    )
    assert best_rates(free, 1000.0).rate_kg_ha[0, 0] == pytest.approx(10.0)
    assert best_rates(bound, 1000.0).rate_kg_ha[0, 0] == 0.0
    assert best_rates(bound, 1000.0).shortfall_kg_ha[0, 0] == 10.0


def test_a_place_without_a_curve_stays_missing_and_costs_nothing():
    choices, _ = farm()
    yields = choices.yields_t_ha.copy()
    yields[:, 2, 0] = math.nan
    area = choices.area_ha.copy()
    area[4] = math.nan
    spoilt = SpendingChoices(
        area,
        choices.need_kg_ha,
        choices.rates_kg_ha,
        yields,
        CROP_PRICE_T,
        choices.nutrient_price_kg,
        choices.lowest_kg_ha,
    )
    plan = best_rates(spoilt, 3000.0)
    expected = np.zeros((6, 2), dtype=bool)
    expected[2, 0] = expected[4] = True
    assert np.array_equal(np.isnan(plan.rate_kg_ha), expected)
    assert np.array_equal(np.isnan(plan.shortfall_kg_ha), expected)
    assert plan.spent == pytest.approx(3000.0)


def test_a_nutrient_left_out_of_a_place_gets_nothing_there():
    choices, curve = farm(lowest=15.0)
    highest = np.full((6, 2), 120.0)
    highest[3, 1] = 0.0
    rates, yields = known_along(partial(mitscherlich, **curve), highest)
    left_out = SpendingChoices(
        choices.area_ha,
        choices.need_kg_ha,
        rates,
        yields,
        CROP_PRICE_T,
        choices.nutrient_price_kg,
        choices.lowest_kg_ha,
    )
    assert best_rates(left_out, math.inf).rate_kg_ha[3, 1] == 0.0


def test_no_places_and_no_money_give_nothing():
    choices, _ = farm()
    assert best_rates(choices, 0.0).spent == 0.0
    empty = SpendingChoices(
        np.empty(0),
        np.empty((0, 2)),
        np.empty((3, 0, 2)),
        np.empty((3, 0, 2)),
        CROP_PRICE_T,
        np.array([1.0, 2.0]),
        np.array([0.0, 10.0]),
    )
    assert best_rates(empty, 100.0).net_return == 0.0


def test_more_money_is_never_worth_less_and_each_dollar_earns_less():
    choices, _ = farm(places=20)
    plans = budget_curve(choices, np.linspace(0.0, 60_000.0, 13))
    returns = [plan.net_return for plan in plans]
    earned = [plan.last_dollar_earned for plan in plans[1:]]
    assert returns == sorted(returns)
    assert earned == sorted(earned, reverse=True)
    assert earned[-1] == 1.0


@pytest.mark.parametrize(("budget", "extra"), [(-1.0, 0.0), (math.nan, 0.0), (100.0, -0.1)])
def test_a_budget_that_cannot_be_is_refused(budget, extra):
    choices, _ = farm()
    with pytest.raises(MissingInputError):
        best_rates(choices, budget, extra_return=extra)


def test_the_added_gains_are_told():
    assert "too hopeful" in GAINS_ARE_ADDED


@settings(max_examples=40, deadline=None)
@given(
    st.integers(0, 10_000),
    st.floats(0.0, 1.4),
    st.sampled_from([0.0, 12.0, 37.0]),
    st.sampled_from([0.0, 0.5, 2.0]),
)
def test_money_and_rates_always_balance(seed, share, lowest, extra):
    choices, _ = farm(seed=seed, lowest=lowest, pieces=9)
    budget = share * best_rates(choices, math.inf).spent
    plan = best_rates(choices, budget, extra_return=extra)
    cost, value = money_of(choices, plan)
    assert plan.spent == pytest.approx(cost, rel=1e-6, abs=1e-6)
    # between zero and the lowest rate the curve is never used, so this agrees too
    assert plan.crop_value == pytest.approx(value, rel=1e-6, abs=1e-6)
    assert plan.spent <= budget * (1 + 1e-9) + 1e-6
    assert plan.crop_value >= (1 + extra) * plan.spent - 1e-6 * (1 + plan.spent)
    rates = plan.rate_kg_ha
    assert np.all((rates <= 1e-6) | (rates >= lowest - 1e-6))
    assert np.allclose(plan.shortfall_kg_ha, np.maximum(40.0 - rates, 0.0))
    assert plan.last_dollar_earned >= 1 + extra
