"""Speed of sharing out a budget, beside sorting the same pieces."""

import math
import time
from functools import partial

import numpy as np
import pytest
from known_curves import known_along

from vrxapp.agronomy.response_curve import mitscherlich
from vrxapp.prescription.budget import best_rates
from vrxapp.prescription.spending_choices import SpendingChoices

pytestmark = pytest.mark.benchmark
PLACES, NUTRIENTS = 500, 5


def best_of(times, work):
    """Shortest of several runs, in seconds."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def sorted_in_python(choices, budget):
    """The same optimum without a lowest rate: a plain loop over pieces, best first."""
    area = choices.area_ha[:, np.newaxis]
    cost = np.diff(choices.rates_kg_ha, axis=0) * area * choices.nutrient_price_kg
    value = np.diff(choices.yields_t_ha, axis=0) * area * choices.crop_price_t
    pieces = sorted(zip(cost.ravel(), value.ravel(), strict=True), key=lambda p: -p[1] / p[0])
    left, net = budget, 0.0
    for piece_cost, piece_value in pieces:
        if left <= 0 or piece_value <= piece_cost:
            break
        spent = min(left, piece_cost)
        left -= spent
        net += spent * (piece_value / piece_cost - 1.0)
    return net


@pytest.mark.parametrize("lowest", [0.0, 15.0, 40.0])
def test_five_hundred_zones_and_five_nutrients_take_a_few_sorts(capsys, lowest):
    draw = np.random.default_rng(0)
    shape = (PLACES, NUTRIENTS)
    unfed = draw.uniform(1.5, 4.0, shape)
    curve = partial(
        mitscherlich,
        unfed_yield_t_ha=unfed,
        top_yield_t_ha=unfed + draw.uniform(0.0, 2.0, shape),
        curvature_ha_kg=draw.uniform(0.01, 0.05, shape),
    )
    rates, yields = known_along(curve, np.full(shape, 120.0))
    choices = SpendingChoices(
        area_ha=draw.uniform(1.0, 20.0, PLACES),
        need_kg_ha=np.full(shape, 40.0),
        rates_kg_ha=rates,
        yields_t_ha=yields,
        crop_price_t=300.0,
        nutrient_price_kg=np.array([1.5, 4.0, 1.2, 2.0, 5.0]),
        lowest_kg_ha=np.full(NUTRIENTS, lowest),
    )
    budget = 0.3 * best_rates(choices, math.inf).spent
    ours = best_of(3, lambda: best_rates(choices, budget))
    peer = best_of(3, lambda: sorted_in_python(choices, budget))
    with capsys.disabled():
        print(
            f"\nbudget, {PLACES} x {NUTRIENTS}, lowest {lowest:g}: {ours:.3f} s; "
            f"{ours / peer:.1f} x a loop in Python that knows no lowest rate"
        )
    assert ours / peer < 20
