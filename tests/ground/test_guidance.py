"""Guidance lines as values."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString

from vrxapp.errors import GroundError
from vrxapp.ground.guidance import GuidanceLine, bearing_degree, is_straight


@given(st.floats(0.0, 359.9), st.floats(1.0, 5_000.0))
def test_the_bearing_is_that_of_the_line_clockwise_from_north(angle_degree, length_m):
    angle = math.radians(angle_degree)
    end = (length_m * math.sin(angle), length_m * math.cos(angle))
    found = bearing_degree(GuidanceLine("A", "", LineString([(0, 0), end])))
    assert min(abs(found - angle_degree), 360 - abs(found - angle_degree)) < 1e-6


def test_a_line_of_two_points_is_straight_and_one_of_three_is_none():
    assert is_straight(GuidanceLine("A", "", LineString([(0, 0), (5, 0)])))
    assert not is_straight(GuidanceLine("A", "", LineString([(0, 0), (5, 0), (9, 1)])))


@pytest.mark.parametrize(
    ("swath_m", "track_m", "said"),
    [(0.0, 3.0, "swath of 0 m"), (24.0, -1.0, "wheel track of -1 m"), (400.0, 3.0, "swath of 400")],
)
def test_spacings_that_cannot_be_are_refused(swath_m, track_m, said):
    with pytest.raises(GroundError, match=said):
        GuidanceLine("A", "", LineString([(0, 0), (5, 0)]), swath_m, track_m)


def test_a_line_without_length_is_refused():
    with pytest.raises(GroundError, match="leads nowhere"):
        GuidanceLine("A", "", LineString([(2, 2), (2, 2)]))
