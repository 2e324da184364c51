"""Shapes clipped by a boundary: the same as their intersection with it."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.ground.clipped_shapes import clipped

EAST, NORTH = 682_000.0, 6_124_000.0
CORNER = np.array([EAST, NORTH])


def boundaries():
    """Paddocks with bays, a hole, and two parts."""
    angle = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    radius = 150 + 35 * np.sin(3 * angle) + 12 * np.cos(7 * angle)
    ring = np.column_stack([EAST + radius * np.cos(angle), NORTH + radius * np.sin(angle)])
    bays = shapely.polygons(ring)
    hole = bays.difference(shapely.box(EAST - 31.7, NORTH - 22.3, EAST + 18.9, NORTH + 41.1))
    parts = shapely.union_all([bays, shapely.box(EAST + 260, NORTH - 90, EAST + 391.3, NORTH + 77)])
    return {"bays": bays, "hole": hole, "two parts": parts}


BOUNDARIES = boundaries()


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), name=st.sampled_from(sorted(BOUNDARIES)))
def test_a_clip_is_the_intersection(seed, name):
    rng = np.random.default_rng(seed)
    corners = rng.uniform(-220, 380, (40, 2)) + CORNER
    size = rng.uniform(5, 120, (40, 2))
    shapes = shapely.box(*corners.T, *(corners + size).T)
    cut = clipped(shapes, BOUNDARIES[name])
    exact = shapely.intersection(shapes, BOUNDARIES[name])
    assert shapely.area(cut) == pytest.approx(shapely.area(exact), abs=1e-6)
    assert shapely.area(shapely.symmetric_difference(cut, exact)) == pytest.approx(0.0, abs=1e-6)
    assert set(shapely.get_type_id(cut)) <= {3, 6}


def test_a_shape_wholly_inside_is_the_same_object():
    inside = shapely.box(EAST + 60, NORTH - 5, EAST + 70, NORTH + 5)
    (cut,) = clipped(np.array([inside], dtype=object), BOUNDARIES["bays"])
    assert cut is inside
