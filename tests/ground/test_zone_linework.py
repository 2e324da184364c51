"""Linework: corners held once, edges with two sides, and the zones out of it again."""

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from vrxapp.ground.zone_linework import (
    OUTSIDE,
    edges_of,
    linework,
    nodes_of,
    shapes_of,
    with_points,
    without_point,
)


def as_layer(*shapes):
    return np.array(shapes, dtype=object)


RING = Polygon(box(0, 0, 30, 30).exterior, [box(10, 10, 20, 20).exterior])
ISLAND = box(10, 10, 20, 20)
TWO_PARTS = MultiPolygon([box(30, 0, 40, 30), box(60, 0, 70, 10)])
ZONES = as_layer(RING, ISLAND, TWO_PARTS)


def test_neighbours_share_their_corners(quarters):
    assert len(linework(quarters.shapes).points) == 9  # three by three


def test_zones_come_back_as_they_went_in():
    back = shapes_of(linework(ZONES))
    assert shapely.equals(back, ZONES).all()
    assert [shape.geom_type for shape in back] == ["Polygon", "Polygon", "MultiPolygon"]


def test_each_edge_knows_the_zones_on_both_sides():
    edges = edges_of(linework(ZONES))
    between = {tuple(sorted(pair)) for pair in edges.sides.tolist()}
    assert between == {(OUTSIDE, 0), (0, 1), (0, 2), (OUTSIDE, 2)}
    # 4 round the island, 4 round the ring, 3 + 4 more round the parts of the third zone
    assert len(edges.ends) == 15


def test_the_zone_of_an_edge_lies_on_the_side_that_is_told():
    lines = linework(ZONES)
    edges = edges_of(lines)
    start, end = lines.points[edges.ends[:, 0]], lines.points[edges.ends[:, 1]]
    way = end - start
    left = (start + end) / 2 + np.column_stack([-way[:, 1], way[:, 0]]) / 100
    for place, zone in zip(left, edges.sides[:, 0], strict=True):
        held = shapely.contains_xy(ZONES, *place)
        assert held[zone] if zone >= 0 else not held.any()


def test_four_zones_meet_in_one_node_and_two_at_each_side(quarters):
    lines = linework(quarters.shapes)
    places = {tuple(point) for point in lines.points[nodes_of(lines)].tolist()}
    assert places == {(100, 100), (0, 100), (200, 100), (100, 0), (100, 200)}


def test_a_corner_put_into_an_edge_is_put_into_both_zones(quarters):
    lines = with_points(linework(quarters.shapes), np.array([[100.0, 50.0], [100.0, 25.0]]))
    after = shapes_of(lines)
    assert shapely.get_num_coordinates(after).tolist() == [7, 7, 5, 5]
    assert shapely.coverage_is_valid(after)
    assert shapely.equals(after, quarters.shapes).all()


def test_points_off_the_edges_or_on_corners_add_nothing(quarters):
    lines = linework(quarters.shapes)
    assert with_points(lines, np.array([[50.0, 50.0], [100.0, 100.0]])) is lines


@pytest.mark.parametrize("corner", [(10.0, 10.0), (20.0, 20.0), (20.0, 10.0)])
def test_a_corner_taken_out_is_gone_from_every_zone(corner):
    lines = linework(ZONES)
    point = int(np.flatnonzero((lines.points == corner).all(axis=1))[0])
    after = shapes_of(without_point(lines, point))
    assert after[0].area == pytest.approx(800.0 + 50.0)
    assert after[1].area == pytest.approx(50.0)
    assert shapely.is_valid(after).all()
    assert shapely.coverage_is_valid(after)
