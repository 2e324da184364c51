import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import GroundError
from vrxapp.files.geojson_crs import declared_crs
from vrxapp.files.geojson_shapes import shape_from_json
from vrxapp.ground.projected_crs import transformed

SQUARE = [[149.0, -35.0], [149.01, -35.0], [149.01, -34.99], [149.0, -34.99], [149.0, -35.0]]
HOLE = [[149.004, -34.996], [149.006, -34.996], [149.006, -34.994], [149.004, -34.996]]


def read(kind, coordinates, *, code=None):
    crs = code and declared_crs({"crs": {"properties": {"name": f"EPSG:{code}"}}})
    return shape_from_json({"type": kind, "coordinates": coordinates}, crs)


def ring(*points):
    return [[list(point) for point in points]]


@pytest.mark.parametrize(
    ("kind", "coordinates", "wkt"),
    [
        ("Point", [149, -35], "POINT (149 -35)"),
        ("MultiPoint", [[149, -35]], "MULTIPOINT ((149 -35))"),
        ("LineString", [[149, -35], [150, -35]], "LINESTRING (149 -35, 150 -35)"),
        (
            "MultiLineString",
            [[[149, -35], [150, -35]]],
            "MULTILINESTRING ((149 -35, 150 -35))",
        ),
        (
            "Polygon",
            [SQUARE, HOLE],
            "POLYGON ((149 -35, 149.01 -35, 149.01 -34.99, 149 -34.99, 149 -35), (149.004 -34.996, "
            "149.006 -34.996, 149.006 -34.994, 149.004 -34.996))",
        ),
        (
            "MultiPolygon",
            [[HOLE]],
            "MULTIPOLYGON (((149.004 -34.996, 149.006 -34.996, 149.006 -34.994, 149.004 -34.996)))",
        ),
    ],
)
def test_each_kind_is_read_as_it_stands(kind, coordinates, wkt):
    found = read(kind, coordinates)
    assert shapely.equals_exact(found.shape, shapely.from_wkt(wkt))
    assert not found.has_heights
    assert found.closed_gaps_m == ()


@pytest.mark.parametrize("kind", ["GeometryCollection", "Circle", None, 7])
def test_another_kind_is_refused_and_the_mend_lists_what_can_be_read(kind):
    with pytest.raises(GroundError, match="cannot be used") as caught:
        read(kind, [])
    assert "MultiPolygon" in caught.value.note.mend


@pytest.mark.parametrize(
    ("kind", "coordinates"),
    [("Point", None), ("MultiPoint", []), ("LineString", []), ("Polygon", []), ("Polygon", [[]])],
)
def test_a_shape_without_coordinates_is_refused(kind, coordinates):
    with pytest.raises(GroundError, match="no coordinates"):
        read(kind, coordinates)


@pytest.mark.parametrize(
    ("kind", "coordinates"),
    [("Polygon", [149.0, -35.0]), ("LineString", "149 -35"), ("MultiPoint", 7)],
)
def test_coordinates_that_are_not_nested_deep_enough_are_refused(kind, coordinates):
    with pytest.raises(GroundError, match="not nested"):
        read(kind, coordinates)


@pytest.mark.parametrize(
    "position", [["149", "-35"], [149], [True, False], None, {"x": 1}, [149, None], [10**400, 1]]
)
def test_a_position_that_is_not_two_numbers_is_refused(position):
    with pytest.raises(GroundError, match="not made of two numbers") as caught:
        read("MultiPoint", [[149, -35], position])
    assert caught.value.note.value == repr(position)[:60]


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_a_coordinate_that_is_not_finite_is_refused_by_its_place(number):
    with pytest.raises(GroundError, match="position 2 is not finite"):
        read("LineString", [[149, -35], [149, number]])


def test_heights_are_left_out_and_told():
    found = read("LineString", [[149, -35, 612.0], [150, -35]])
    assert found.has_heights
    assert not found.shape.has_z


def test_metres_without_a_coordinate_system_are_told_as_such():
    with pytest.raises(GroundError, match="look like metres") as caught:
        read("Point", [682516.0936, 6125129.3654])
    assert caught.value.note.value == "682516.0936, 6125129.365"
    assert "WGS 84" in caught.value.note.mend


def test_metres_that_declare_degrees_are_told_as_such():
    with pytest.raises(GroundError, match="look like metres"):
        read("Point", [682516.0936, 6125129.3654], code=7844)


def test_degrees_that_declare_metres_are_told_as_such():
    with pytest.raises(GroundError, match="declares EPSG:7855") as caught:
        read("Polygon", [SQUARE], code=7855)
    assert "Take the crs member out" in caught.value.note.mend


@pytest.mark.parametrize("point", [[-35.0, 149.0], [-9.0, 112.0], [-44.0, 154.0], [51.0, 170.0]])
def test_latitude_before_longitude_looks_swapped(point):
    with pytest.raises(GroundError, match="look swapped") as caught:
        read("Point", point)
    assert "longitude first" in caught.value.note.mend


def test_a_map_grid_is_turned_into_longitude_and_latitude():  # GJ-02
    found = read("Point", [682516.0936, 6125129.3654], code=7855)
    assert found.shape.x == pytest.approx(149.0, abs=1e-7)
    assert found.shape.y == pytest.approx(-35.0, abs=1e-7)


def test_gda94_moves_by_the_published_shift_to_gda2020():  # CRS-12
    found = read("Point", [149.0, -35.0], code=4283)
    assert found.shape.x == pytest.approx(149.000005609, abs=1e-8)
    assert found.shape.y == pytest.approx(-34.999987128, abs=1e-8)


def test_a_small_gap_at_the_end_of_a_ring_is_closed_and_told():
    # 0.00001 degree of latitude are 1.11 m, in a ring of 4 km
    found = read("Polygon", [[*SQUARE[:-1], [149.0, -34.99999]]])
    assert found.shape.exterior.is_ring
    assert found.closed_gaps_m == pytest.approx([1.11], abs=0.01)
    assert len(found.shape.exterior.coords) == 6


@pytest.mark.parametrize(
    ("points", "metres"),
    [
        (SQUARE[:-1], "1109.4"),  # the fourth side is missing
        ([*SQUARE[:-1], [149.0, -34.9999]], "11.1"),  # below 1 % of 4 km, but 11 m
        # 1.8 m of 36 m: below 5 m, but 5 %
        ([[149.0, -35.0], [149.0001, -35.0], [149.0001, -34.9999], [149.00002, -35.0]], "1.8"),
    ],
)
def test_a_larger_gap_is_refused_with_its_length(points, metres):
    with pytest.raises(GroundError, match=f"not closed.* {metres} m apart"):
        read("Polygon", [points])


def test_an_open_hole_is_refused_too():
    with pytest.raises(GroundError, match="not closed"):
        read("Polygon", [SQUARE, HOLE[:-1]])


def test_a_ring_of_two_corners_is_refused():
    with pytest.raises(GroundError, match="fewer than three corners"):
        read("Polygon", ring((149, -35), (149.01, -35), (149, -35)))


def test_a_line_of_one_position_is_refused():
    with pytest.raises(GroundError, match="only one position"):
        read("LineString", [[149, -35]])


def test_a_line_without_length_is_refused():
    with pytest.raises(GroundError, match="too few corners"):
        read("LineString", [[149, -35], [149, -35]])


def test_an_outline_that_crosses_itself_is_refused_with_the_place():
    with pytest.raises(GroundError, match="crosses itself near") as caught:
        read(
            "Polygon", ring((149, -35), (149.02, -34.98), (149.02, -35), (149, -34.98), (149, -35))
        )
    assert "longitude 149.010000, latitude -34.990000" in caught.value.note.message
    assert "Move the corners there" in caught.value.note.mend


@pytest.mark.parametrize(
    ("coordinates", "words"),
    [
        ([SQUARE, [[x + 1, y] for x, y in HOLE]], "a hole lies outside its outline"),
        ([SQUARE, HOLE, [[149.0055, -34.9957], [149.0057, -34.9957], [149.0056, -34.9956],
                         [149.0055, -34.9957]]], "a hole lies in another hole"),
        ([[*SQUARE[:1], [149.02, -35.0], [149.02, -34.99], [149.0, -35.0], [148.98, -34.98],
           [148.98, -35.0], [149.0, -35.0]]], "touches itself"),
    ],
)  # fmt: skip
def test_other_faults_are_told_in_words_with_the_place(coordinates, words):
    with pytest.raises(GroundError, match=f"{words} near longitude 1"):
        read("Polygon", coordinates)


def test_the_place_of_a_crossing_is_in_degrees_in_a_map_grid_too():
    east, north = 682516.0936, 6125129.3654
    bow = ring(
        (east - 100, north - 100), (east + 100, north + 100), (east + 100, north - 100),
        (east - 100, north + 100), (east - 100, north - 100),
    )  # fmt: skip
    with pytest.raises(GroundError, match=r"longitude 149\.0000\d+, latitude -3[45]\.[09]"):
        read("Polygon", bow, code=7855)


@given(
    st.lists(st.tuples(st.floats(149.0, 149.1), st.floats(-35.1, -35.0)), min_size=1, max_size=30)
)
def test_any_points_come_back_as_they_were(points):
    found = read("MultiPoint", [list(point) for point in points])
    assert shapely.get_coordinates(found.shape).tolist() == [list(point) for point in points]


@given(st.floats(200_000, 800_000), st.floats(6_000_000, 8_000_000))
def test_a_place_on_the_map_grid_comes_back_from_degrees(east, north):
    found = read("Point", [east, north], code=7855)
    back = transformed(np.array([found.shape]), from_crs="EPSG:4326", to_crs="EPSG:7855")[0]
    assert (back.x, back.y) == pytest.approx((east, north), abs=1e-3)
