"""Partition: faces without gap or overlap, each whole in one shape of a layer."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, box

from vrxapp.ground.partition import partition


def as_layer(*shapes):
    return np.array(shapes, dtype=object)


def test_a_strip_cuts_the_zones_that_it_crosses():
    zones = as_layer(box(0, 0, 100, 100), box(100, 0, 200, 100))
    strip = as_layer(box(-10, 40, 210, 60))
    cut = partition(zones, strip)
    zone_rows, strip_rows = cut.members
    areas = shapely.area(cut.faces)
    assert areas[(zone_rows >= 0) & (strip_rows == 0)].sum() == pytest.approx(4000.0)
    assert areas[(zone_rows == 0) & (strip_rows < 0)].sum() == pytest.approx(8000.0)
    assert shapely.coverage_is_valid(cut.faces)


def test_ground_that_two_shapes_claim_is_marked():
    cut = partition(as_layer(box(0, 0, 10, 10), box(8, 0, 20, 10)))
    assert shapely.area(cut.faces)[cut.crowded[0]].sum() == pytest.approx(20.0)


def test_an_empty_layer_claims_nothing():
    cut = partition(as_layer(box(0, 0, 10, 10)), as_layer())
    assert cut.members[1].tolist() == [-1]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0, 400), st.floats(0, 400), st.floats(0, 400), st.floats(0, 400)),
        max_size=4,
    ),
    st.floats(2.0, 60.0),
)
def test_faces_tile_the_ground_whatever_cuts_it(ends, width_m):
    boundary = box(0, 0, 400, 400)
    lines = [LineString([(a, b), (c, d)]) for a, b, c, d in ends if np.hypot(a - c, b - d) > 1]
    strips = as_layer(*(line.buffer(width_m / 2, cap_style="flat") for line in lines))
    cut = partition(as_layer(boundary), strips)
    inside = cut.faces[cut.members[0] == 0]
    assert shapely.area(inside).sum() == pytest.approx(boundary.area, abs=1.0)
    assert shapely.coverage_is_valid(inside)
