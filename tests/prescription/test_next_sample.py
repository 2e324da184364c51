"""Where one more sample would pay."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from vrxapp.errors import SoilInputError
from vrxapp.prescription.next_sample import next_sample

STAKES = {"loss_if_short_t_ha": 0.5, "crop_price_t": 300.0, "waste_if_ample_ha": 40.0}


def test_the_expected_cost_is_area_by_chance_by_loss():
    found = next_sample([0.4, 0.7], [20.0, 10.0], **STAKES)
    # called ample: 20 ha x 0.4 x 0.5 t/ha x 300; called short: 10 ha x 0.3 x 40
    assert found.expected_cost.tolist() == pytest.approx([1200.0, 120.0])
    assert found.chance_wrong.tolist() == pytest.approx([0.4, 0.3])
    assert found.order.tolist() == [0, 1]


def test_a_place_never_sampled_comes_first_and_the_larger_of_two():
    found = next_sample([0.4, math.nan, math.nan], [20.0, 1.0, 2.0], **STAKES)
    assert found.order.tolist() == [2, 1, 0]
    assert found.never_sampled.tolist() == [False, True, True]
    assert np.isnan(found.expected_cost[1:]).all()


def test_where_nothing_is_known_the_dearer_mistake_is_at_stake():
    # 10 ha: 150 of yield against 40 of waste, or 15 of yield against 40 of waste
    lost = {"crop_price_t": 300.0, "waste_if_ample_ha": 40.0}
    found = next_sample([math.nan] * 2, [10.0, 30.0], loss_if_short_t_ha=[0.5, 0.05], **lost)
    assert found.order.tolist() == [0, 1]  # 1500 against 1200
    less = next_sample([math.nan] * 2, [10.0, 40.0], loss_if_short_t_ha=[0.5, 0.05], **lost)
    assert less.order.tolist() == [1, 0]  # 1500 against 1600


def test_a_place_of_unknown_worth_comes_last():
    found = next_sample([0.4, 0.4, math.nan], [math.nan, 20.0, math.nan], **STAKES)
    assert found.order[0] == 1
    assert sorted(found.order[1:].tolist()) == [0, 2]


def test_a_sure_class_needs_no_sample():
    assert next_sample([0.0, 1.0], [20.0, 20.0], **STAKES).expected_cost.tolist() == [0.0, 0.0]


@pytest.mark.parametrize(
    ("chance", "area"), [([1.1], [20.0]), ([-0.1], [20.0]), ([0.5], [-1.0]), ([0.5], [math.inf])]
)
def test_what_cannot_be_is_refused(chance, area):
    with pytest.raises(SoilInputError):
        next_sample(chance, area, **STAKES)


maybe = st.one_of(st.just(math.nan), st.floats(0, 1))


@given(hnp.arrays(float, 12, elements=maybe), hnp.arrays(float, 12, elements=st.floats(0, 90)))
def test_every_place_is_ranked_once_and_the_dearest_mistake_first(chance, area):
    found = next_sample(chance, area, **STAKES)
    assert sorted(found.order.tolist()) == list(range(12))
    known = found.order[~found.never_sampled[found.order]]
    assert np.all(np.diff(found.expected_cost[known]) <= 0)
    assert np.array_equal(np.isnan(found.expected_cost), np.isnan(chance))
    assert np.all(found.chance_wrong[~np.isnan(chance)] <= 0.5)


@given(st.floats(0, 1), st.floats(0.1, 100), st.floats(1, 3))
def test_a_larger_place_never_has_less_at_stake(chance, area, factor):
    small, large = next_sample([chance] * 2, [area, area * factor], **STAKES).expected_cost
    assert large >= small
