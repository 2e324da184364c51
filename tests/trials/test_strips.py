"""A check strip covers its line to both sides, and nothing beyond its ends."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString

from vrxapp.errors import GroundError
from vrxapp.trials.strips import CheckStrip, strip_shape


@given(st.floats(1.0, 900.0), st.floats(1.0, 5000.0))
def test_a_straight_strip_is_a_rectangle(width_m, length_m):
    strip = CheckStrip("s", LineString([(0, 0), (length_m, 0)]), width_m)
    assert strip_shape(strip).area == pytest.approx(width_m * length_m, rel=1e-9)
    assert strip_shape(strip).bounds == pytest.approx((0, -width_m / 2, length_m, width_m / 2))


@pytest.mark.parametrize(
    ("line", "width_m"),
    [([(0, 0), (9, 0)], 0.0), ([(0, 0), (9, 0)], float("nan")), ([(3, 3), (3, 3)], 24.0)],
)
def test_a_strip_without_ground_is_refused(line, width_m):
    with pytest.raises(GroundError, match="covers no ground"):
        CheckStrip("s", LineString(line), width_m)
