"""A budget cut by the agronomist's own order."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from vrxapp.errors import MissingInputError, SoilInputError
from vrxapp.prescription.budget_cut import cut_to_budget

NEED = np.array([[8.0, 10.0], [4.0, 10.0]])
AREA = np.array([10.0, 10.0])
PRICE = np.array([3.0, 1.0])


def test_the_first_need_is_met_before_the_second():
    # (80 + 40) kg x 3 = 360 for the first; 140 of 200 left for the second: 0.7
    cut = cut_to_budget(NEED, AREA, price_kg=PRICE, order=(0, 1), budget=500.0)
    assert cut.rate_kg_ha.tolist() == [[8.0, 7.0], [4.0, 7.0]]
    assert cut.shortfall_kg_ha.tolist() == [[0.0, 3.0], [0.0, 3.0]]
    assert cut.cost.tolist() == pytest.approx([360.0, 140.0])
    assert cut.unspent == pytest.approx(0.0)


def test_the_order_is_the_agronomists():
    # 200 for the second need first; 300 of 360 left for the first: five sixths
    cut = cut_to_budget(NEED, AREA, price_kg=PRICE, order=(1, 0), budget=500.0)
    assert cut.share.tolist() == pytest.approx([5 / 6, 1.0])


def test_a_rate_too_low_for_the_machine_is_none_and_its_money_stays():
    # at 250 the first need gets 250/360: 5.56 and 2.78 kg/ha; the machine spreads from 3
    cut = cut_to_budget(
        NEED, AREA, price_kg=PRICE, order=(0, 1), budget=250.0, lowest_kg_ha=[3.0, 0.0]
    )
    assert cut.rate_kg_ha[:, 0].tolist() == pytest.approx([8 * 250 / 360, 0.0])
    assert cut.too_little_to_spread.tolist() == [[False, False], [True, False]]
    assert cut.shortfall_kg_ha[1, 0] == 4.0
    assert cut.unspent == pytest.approx(10 * 3 * 4 * 250 / 360)


def test_an_unknown_need_stays_unknown_and_costs_nothing():
    need = np.array([[math.nan, 10.0], [4.0, 10.0]])
    cut = cut_to_budget(need, AREA, price_kg=PRICE, order=(0, 1), budget=1000.0)
    assert np.isnan(cut.rate_kg_ha).tolist() == [[True, False], [False, False]]
    assert np.isnan(cut.shortfall_kg_ha[0, 0])
    assert cut.cost.tolist() == [120.0, 200.0]
    nowhere = cut_to_budget(
        NEED, np.array([10.0, math.nan]), price_kg=PRICE, order=(0, 1), budget=1000.0
    )
    assert np.isnan(nowhere.rate_kg_ha[1]).all()


@pytest.mark.parametrize(
    ("order", "budget"), [((0,), 5.0), ((0, 0), 5.0), ((0, 1), -1.0), ((0, 1), math.nan)]
)
def test_an_order_that_leaves_a_need_out_is_refused(order, budget):
    with pytest.raises(MissingInputError, match="order"):
        cut_to_budget(NEED, AREA, price_kg=PRICE, order=order, budget=budget)


@pytest.mark.parametrize(
    ("need", "area", "price"),
    [
        (NEED[:1], AREA, PRICE),
        (-NEED, AREA, PRICE),
        (NEED, AREA, -PRICE),
        (NEED, np.array([10.0, math.inf]), PRICE),
    ],
)
def test_what_cannot_be_is_refused(need, area, price):
    with pytest.raises(SoilInputError):
        cut_to_budget(need, area, price_kg=price, order=(0, 1), budget=5.0)


@given(
    hnp.arrays(float, (5, 3), elements=st.one_of(st.just(math.nan), st.floats(0, 100))),
    hnp.arrays(float, 5, elements=st.floats(0, 50)),
    hnp.arrays(float, 3, elements=st.floats(0, 9)),
    st.sampled_from(list(itertools.permutations(range(3)))),
    st.floats(0, 50_000),
    st.sampled_from([0.0, 10.0]),
)
def test_mass_and_money_balance(need, area, price, order, budget, lowest):
    cut = cut_to_budget(need, area, price_kg=price, order=order, budget=budget, lowest_kg_ha=lowest)
    # what is given and what is short make the need, everywhere
    assert np.allclose(cut.rate_kg_ha + cut.shortfall_kg_ha, need, equal_nan=True)
    assert np.all(cut.shortfall_kg_ha[~np.isnan(need)] >= -1e-9)
    # the money spent is that of the rates, and with the rest it is the budget
    spent = np.nansum(cut.rate_kg_ha * area[:, np.newaxis] * price)
    assert cut.cost.sum() == pytest.approx(spent)
    assert cut.cost.sum() + cut.unspent == pytest.approx(budget)
    assert cut.unspent >= -1e-6 * (1 + budget)
    # no money reaches a later need while an earlier one is short
    shares = cut.share[list(order)]
    assert np.all(np.diff(shares[cut.cost[list(order)] > 0]) <= 1e-9)
    rates = cut.rate_kg_ha[~np.isnan(need)]
    assert np.all((rates == 0) | (rates >= lowest))
