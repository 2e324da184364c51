"""Corners moved, put in and taken out: both sides follow."""

import pytest
import shapely
from shapely import box

from vrxapp.errors import GroundError
from vrxapp.ground.exclusions import Exclusion, ExclusionKind
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zone_corners import insert_corner, move_corner, remove_corner


def test_a_corner_moves_in_all_four_zones(quarters, flat, tiles):
    zones = move_corner(quarters, flat, (100, 100), (120, 90))
    # SW gains a triangle of 20 × 100 / 2 to the east and loses 10 × 100 / 2 to the north
    assert zones.shapes[0].area == pytest.approx(10_000 + 1000 - 500)
    tiles(zones, flat)


def test_a_corner_is_found_within_reach(quarters, flat):
    with pytest.raises(GroundError, match="no corner"):
        move_corner(quarters, flat, (103, 98), (120, 90))
    moved = move_corner(quarters, flat, (103, 98), (120, 90), reach_m=5.0)
    assert moved.shapes[0].area == pytest.approx(10_500)


def test_moving_a_corner_nowhere_changes_nothing(quarters, flat):
    assert move_corner(quarters, flat, (100, 100), (100, 100)) is quarters
    assert move_corner(quarters, flat, (100, 0), (100, -7)) is quarters


def test_the_end_of_a_line_slides_along_the_boundary(quarters, flat, tiles):
    zones = move_corner(quarters, flat, (100, 0), (130, 12))
    assert zones.shapes[0].area == pytest.approx(10_000 + 30 * 100 / 2)
    assert zones.shapes[1].area == pytest.approx(10_000 - 30 * 100 / 2)
    tiles(zones, flat)


def test_the_end_of_a_line_slides_round_a_corner_of_the_paddock(quarters, flat, tiles):
    zones = move_corner(quarters, flat, (100, 0), (1, 40))
    assert zones.shapes[0].area == pytest.approx((100 + 0) * 60 / 2)  # a triangle is left
    tiles(zones, flat)


def test_the_paddocks_own_corners_stay(quarters, flat):
    with pytest.raises(GroundError, match="paddock's own boundary"):
        move_corner(quarters, flat, (0, 0), (5, 5))
    with pytest.raises(GroundError, match="paddock's own boundary"):
        remove_corner(quarters, flat, (200, 200))


@pytest.mark.parametrize("goal", [(250, 100), (100, 205), (-20, -20)])
def test_a_corner_dragged_over_another_line_is_refused(quarters, flat, goal):
    with pytest.raises(GroundError):
        move_corner(quarters, flat, (100, 100), goal)


def test_an_edge_that_would_cross_itself_beside_a_dam_is_refused_in_plain_words(flat, quarters):
    dam = Exclusion("Dam", ExclusionKind.DAM, box(90, 40, 130, 60), 10.0)
    bent = insert_corner(quarters, flat, (100, 50))
    paddock = Paddock("Flat", "EPSG:7855", flat.boundary, (dam,))
    with pytest.raises(GroundError, match="cross"):
        move_corner(bent, paddock, (100, 50), (150, -20))


def test_a_corner_is_put_into_the_edge_of_both_zones(quarters, flat, tiles):
    zones = insert_corner(quarters, flat, (101, 50), reach_m=2.0)
    assert shapely.get_num_coordinates(zones.shapes).tolist() == [6, 6, 5, 5]
    bent = move_corner(zones, flat, (100, 50), (120, 50))
    assert bent.shapes[0].area == pytest.approx(10_000 + 20 * 100 / 2)
    tiles(bent, flat)
    straight = remove_corner(bent, flat, (120, 50))
    assert straight.shapes[0].area == pytest.approx(10_000)
    tiles(straight, flat)


def test_a_corner_that_is_there_is_not_put_in_again(quarters, flat):
    assert insert_corner(quarters, flat, (100, 100.0005), reach_m=1.0) is quarters


def test_far_from_any_edge_no_corner_is_put_in(quarters, flat):
    with pytest.raises(GroundError, match="no edge"):
        insert_corner(quarters, flat, (50, 50), reach_m=5.0)
    with pytest.raises(GroundError, match="no edge"):
        insert_corner(quarters, flat, (500, 50), reach_m=5.0)


def test_where_three_lines_meet_no_corner_is_taken_out(quarters, flat):
    with pytest.raises(GroundError, match="three lines meet"):
        remove_corner(quarters, flat, (100, 100))


def test_a_corner_on_a_straight_boundary_can_be_taken_out(quarters, flat, tiles):
    zones = insert_corner(quarters, flat, (40, 0))
    assert shapely.get_num_coordinates(zones.shapes[0]) == 6
    zones = remove_corner(zones, flat, (40, 0))
    assert shapely.get_num_coordinates(zones.shapes[0]) == 5
    tiles(zones, flat)
