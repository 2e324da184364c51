from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.errors import GroundError
from vrxapp.ground.walking_route import route_length_m, route_order


def with_start(x, y, start):
    return np.append(start[0], x), np.append(start[1], y)


def length_from(start, x, y, order):
    x, y = with_start(x, y, start)
    return route_length_m(x, y, np.append(0, np.asarray(order) + 1))


def test_points_on_a_line_are_walked_from_end_to_end():
    x = np.array([40.0, 10.0, 30.0, 20.0, 50.0])
    assert route_order(x, np.zeros(5), start=(0.0, 0.0)).tolist() == [1, 3, 2, 0, 4]
    assert route_order(x, np.zeros(5), start=(60.0, 0.0)).tolist() == [4, 0, 2, 3, 1]


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(1, 60))
def test_each_point_is_visited_once_and_no_turn_shortens_the_way(seed, count):
    x, y = np.random.default_rng(seed).uniform(0, 1000, (2, count))
    order = route_order(x, y, start=(0.0, 0.0))
    assert sorted(order.tolist()) == list(range(count))
    length = length_from((0.0, 0.0), x, y, order)
    for first in range(count - 1):
        for last in range(first + 1, count):
            turned = np.concatenate(
                [order[:first], order[first : last + 1][::-1], order[last + 1 :]]
            )
            assert length_from((0.0, 0.0), x, y, turned) >= length - 1e-5


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_the_way_is_near_the_shortest_of_all(seed):
    x, y = np.random.default_rng(seed).uniform(0, 1000, (2, 7))
    best = min(length_from((0.0, 0.0), x, y, p) for p in permutations(range(7)))
    assert length_from((0.0, 0.0), x, y, route_order(x, y, start=(0.0, 0.0))) <= 1.3 * best


def test_without_a_gate_it_begins_in_the_south_west():
    x, y = np.array([100.0, 5.0, 50.0]), np.array([100.0, 8.0, 40.0])
    assert route_order(x, y).tolist() == [1, 2, 0]


def test_no_point_is_no_way_and_too_many_are_refused():
    assert route_order(np.zeros(0), np.zeros(0)).size == 0
    with pytest.raises(GroundError, match="too many"):
        route_order(np.zeros(1001), np.zeros(1001))
