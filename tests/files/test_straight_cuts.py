import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.files.straight_cuts import pieces
from vrxapp.ground.geodesic_area import lon_lat_area_ha


def wobbly(longitude, latitude, *, radius, corners, wobble):
    """A polygon round a point whose corners lie nearer and farther. [degrees]"""
    angles = np.arange(corners) * 2 * math.pi / corners
    lengths = radius * (1 - wobble * np.abs(np.sin(angles * 7.3 + corners)))
    return shapely.Polygon(
        np.column_stack([longitude + lengths * np.cos(angles), latitude + lengths * np.sin(angles)])
    )


def corner_set(*shapes):
    return {tuple(point) for point in shapely.get_coordinates(shapes).tolist()}


def assert_whole(polygon, found, *, most_points):
    """The pieces are plain, few-cornered, and together the polygon on its own corners."""
    assert all(p.is_valid and not p.interiors for p in found)
    assert all(len(p.exterior.coords) <= most_points for p in found)
    assert shapely.coverage_is_valid(np.array(found, dtype=object))
    assert corner_set(*found) == corner_set(polygon)
    assert lon_lat_area_ha(found).sum() == pytest.approx(lon_lat_area_ha([polygon])[0], abs=1e-9)
    assert shapely.union_all(found).symmetric_difference(polygon).area <= 1e-12 * polygon.area


def test_a_plain_polygon_stays_as_it_is():
    square = shapely.box(149.0, -35.0, 149.01, -34.99)
    assert pieces(square, most_points=1000) == (square,)


def test_one_hole_takes_two_pieces():
    hole = shapely.box(149.004, -34.996, 149.006, -34.994)
    ring = shapely.box(149.0, -35.0, 149.01, -34.99) - hole
    found = pieces(ring, most_points=1000)
    assert len(found) == 2
    assert_whole(ring, found, most_points=1000)


def test_four_holes_in_a_square_need_no_more_than_three_pieces():
    holes = [
        shapely.Point(149 + x, -35 + y).buffer(0.001) for x in (2e-3, 7e-3) for y in (2e-3, 6e-3)
    ]
    sieve = shapely.box(149.0, -35.0, 149.01, -34.99) - shapely.union_all(holes)
    found = pieces(sieve, most_points=1000)
    assert 2 <= len(found) <= 3
    assert_whole(sieve, found, most_points=1000)


def test_a_hole_that_touches_the_outline_is_cut_there():
    notch = shapely.Polygon(
        [(149.0, -35.0), (149.005, -35.0), (149.01, -35.0), (149.01, -34.99), (149.0, -34.99)],
        [[(149.005, -35.0), (149.006, -34.995), (149.004, -34.995)]],
    )
    assert notch.is_valid
    assert_whole(notch, pieces(notch, most_points=1000), most_points=1000)


def test_holes_that_touch_each_other_are_cut():
    left = [(149.004, -34.996), (149.005, -34.995), (149.004, -34.994)]
    right = [(149.006, -34.996), (149.005, -34.995), (149.006, -34.994)]
    sieve = shapely.Polygon(shapely.box(149.0, -35.0, 149.01, -34.99).exterior, [left, right])
    assert sieve.is_valid
    assert_whole(sieve, pieces(sieve, most_points=1000), most_points=1000)


def test_a_long_outline_is_cut_until_each_piece_has_few_points():
    lake = wobbly(149.0, -35.0, radius=0.01, corners=2500, wobble=0.3)
    found = pieces(lake, most_points=1000)
    assert 3 <= len(found) <= 4
    assert min(len(piece.exterior.coords) for piece in found) > 300
    assert_whole(lake, found, most_points=1000)


def test_corners_on_a_straight_edge_are_kept():
    edge = [(149.0 + n / 1000, -35.0) for n in range(11)]
    hole = [(149.004, -34.996), (149.006, -34.996), (149.005, -34.994)]
    polygon = shapely.Polygon([*edge, (149.01, -34.99), (149.0, -34.99)], [hole])
    assert_whole(polygon, pieces(polygon, most_points=1000), most_points=1000)


def test_four_points_a_piece_leave_triangles():
    square = shapely.box(149.0, -35.0, 149.01, -34.99)
    found = pieces(square, most_points=4)
    assert len(found) == 2
    assert_whole(square, found, most_points=4)


holes = st.lists(
    st.tuples(st.integers(-60, 60), st.integers(-60, 60), st.integers(3, 20), st.integers(3, 40)),
    max_size=8,
)


@given(st.integers(4, 120), st.integers(0, 6), holes, st.sampled_from([6, 40, 1000]))
def test_any_polygon_comes_apart_into_plain_pieces_that_are_the_whole(
    corners, wobble, taken_out, most_points
):
    shell = wobbly(149.0, -35.0, radius=0.01, corners=corners, wobble=wobble / 10)
    islands = [
        wobbly(149 + x / 1e4, -35 + y / 1e4, radius=r / 1e4, corners=n, wobble=0.2)
        for x, y, r, n in taken_out
    ]
    left = shell - shapely.union_all(islands)
    for polygon in shapely.get_parts(left):
        assert_whole(polygon, pieces(polygon, most_points=most_points), most_points=most_points)
