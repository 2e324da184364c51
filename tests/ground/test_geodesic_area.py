"""Hectares against published values, the handbook's ids and an independent call."""

import numpy as np
import pyproj
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, box

from vrxapp.ground.geodesic_area import areas_ha_beside, geodesic_area_ha, lon_lat_area_ha
from vrxapp.ground.projected_crs import transformed

GRID_SQUARES = [  # handbook, file standards, section 10
    pytest.param(box(772000, 6123000, 773000, 6124000), 998970.23, id="CRS-07"),
    pytest.param(box(499500, 6126500, 500500, 6127500), 1000800.47, id="CRS-08"),
    pytest.param(box(793000, 6899000, 794000, 6900000), 998674.58, id="CRS-09"),
]


def test_a_hundredth_of_a_degree_at_35_south():  # CRS-05
    assert lon_lat_area_ha([box(149.0, -35.0, 149.01, -34.99)])[0] * 1e4 == pytest.approx(
        1012816.963, abs=0.01
    )


@pytest.mark.parametrize(("square", "square_metres"), GRID_SQUARES)
def test_a_square_kilometre_of_the_grid_is_not_a_hundred_hectares(square, square_metres):
    assert geodesic_area_ha([square], "EPSG:7855")[0] * 1e4 == pytest.approx(square_metres, abs=1.0)


def test_a_hole_is_taken_off_whichever_way_it_is_drawn():
    hole = box(149.002, -34.998, 149.004, -34.996)
    ring = list(hole.exterior.coords)
    outer = box(149.0, -35.0, 149.01, -34.99)
    for inner in (ring, ring[::-1]):
        holed = Polygon(outer.exterior.coords, [inner])
        expected = lon_lat_area_ha([outer])[0] - lon_lat_area_ha([hole])[0]
        assert lon_lat_area_ha([holed])[0] == pytest.approx(expected, rel=1e-9)


@given(st.floats(115, 152), st.floats(-42, -12), st.floats(0.001, 0.02))
def test_areas_equal_those_of_pyproj(longitude, latitude, size):
    shape = box(longitude, latitude, longitude + size, latitude + size)
    x, y = np.array(shape.exterior.coords).T
    square_metres, _ = pyproj.Geod(ellps="GRS80").polygon_area_perimeter(x, y)
    assert lon_lat_area_ha([shape])[0] * 1e4 == pytest.approx(abs(square_metres), rel=1e-12)


def test_the_plane_of_the_grid_has_another_area_than_the_ellipsoid():  # CRS-06
    shape = np.array([box(149.0, -35.0, 149.01, -34.99)], dtype=object)
    projected = transformed(shape, from_crs="EPSG:7844", to_crs="EPSG:7855")
    assert projected[0].area == pytest.approx(1012842.644, abs=0.01)


def test_a_projected_shape_has_the_area_of_its_longitudes_and_latitudes():
    shape = np.array([box(149.0, -35.0, 149.01, -34.99)], dtype=object)
    projected = transformed(shape, from_crs="EPSG:4326", to_crs="EPSG:7855")
    assert geodesic_area_ha(projected, "EPSG:7855") == pytest.approx(
        lon_lat_area_ha(shape), rel=1e-9
    )


def test_areas_of_shapes_that_were_there_before_are_taken_over(monkeypatch):
    first = np.array([box(682_000, 6_124_000, 682_100, 6_124_100)] * 2, dtype=object)
    first[1] = box(682_100, 6_124_000, 682_300, 6_124_100)
    nothing = (np.array([], dtype=object), np.array([]), "")
    before = areas_ha_beside(first, "EPSG:7855", before=nothing)
    assert before[1] == pytest.approx(geodesic_area_ha(first, "EPSG:7855"))
    asked = []

    def noting(shapes, crs):
        asked.extend(shapes)
        return geodesic_area_ha(shapes, crs)

    monkeypatch.setattr("vrxapp.ground.geodesic_area.geodesic_area_ha", noting)
    second = np.array([first[1], box(0, 6_124_000, 50, 6_124_050)], dtype=object)
    after = areas_ha_beside(second, "EPSG:7855", before=before)
    assert asked == [second[1]]
    assert after[1][0] == before[1][1]
    areas_ha_beside(second, "EPSG:7854", before=after)  # of another system all are new
    assert len(asked) == 3
