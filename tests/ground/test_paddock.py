"""The paddock, its exclusions with setbacks, and zones that cannot be confused."""

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, box

from vrxapp.errors import GroundError
from vrxapp.ground.exclusions import Exclusion, ExclusionKind
from vrxapp.ground.paddock import Paddock, excluded_ground
from vrxapp.ground.zones import Zones

SQUARE = box(0, 0, 1000, 1000)


def test_a_creek_takes_out_its_setback_on_both_sides():
    creek = Exclusion("Creek", ExclusionKind.WATERCOURSE, LineString([(0, 500), (1000, 500)]), 15.0)
    taken = excluded_ground(Paddock("Flat", "EPSG:7855", SQUARE, (creek,)))
    assert taken.intersection(SQUARE).area == pytest.approx(30_000.0, rel=1e-6)
    assert taken.contains(Point(500, 514.9))
    assert not taken.contains(Point(500, 515.1))


def test_without_exclusions_nothing_is_taken_out():
    assert excluded_ground(Paddock("Flat", "EPSG:7855", SQUARE)).is_empty


def test_a_line_without_a_setback_is_refused():
    with pytest.raises(GroundError, match="setback"):
        Exclusion("Creek", ExclusionKind.WATERCOURSE, LineString([(0, 0), (9, 9)]), 0.0)


@pytest.mark.parametrize("setback_m", [-1.0, float("nan"), 1e6])
def test_a_setback_that_is_no_distance_is_refused(setback_m):
    with pytest.raises(GroundError, match="setback"):
        Exclusion("Dam", ExclusionKind.DAM, SQUARE, setback_m)


def test_a_boundary_that_crosses_itself_is_refused():
    with pytest.raises(GroundError, match="crosses itself"):
        Paddock("Flat", "EPSG:7855", Polygon([(0, 0), (9, 9), (9, 0), (0, 9)]))


def test_two_zones_may_not_share_a_name():
    shapes = np.array([SQUARE, SQUARE], dtype=object)
    with pytest.raises(GroundError, match="more than one zone"):
        Zones(("a", "b"), ("Red rise", "red  RISE"), shapes)
