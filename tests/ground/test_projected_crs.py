"""The metric system is chosen from the place, and easting always comes first."""

import numpy as np
import pytest
import shapely
from shapely import Point

from vrxapp.errors import GroundError
from vrxapp.ground.projected_crs import projected_crs, transformed


@pytest.mark.parametrize(
    ("longitude", "code"),
    [(115.9, 7850), (138.6, 7854), (149.0, 7855), (153.0, 7856)],  # CRS-15
)
def test_crs_15_australia_uses_the_map_grid_of_2020(longitude, code):
    assert projected_crs(longitude, -34.0) == f"EPSG:{code}"


@pytest.mark.parametrize(
    ("longitude", "latitude", "code"), [(175.0, -39.0, 32760), (9.0, 48.0, 32632), (180, 0, 32660)]
)
def test_elsewhere_it_is_utm(longitude, latitude, code):
    assert projected_crs(longitude, latitude) == f"EPSG:{code}"


@pytest.mark.parametrize(
    ("longitude", "latitude"), [(200.0, -35.0), (149.0, -89.0), (-35.0, 149.0)]
)
def test_a_place_off_the_map_is_refused(longitude, latitude):
    with pytest.raises(GroundError, match="longitude comes first"):
        projected_crs(longitude, latitude)


def test_crs_10_easting_and_northing():
    (point,) = transformed(np.array([Point(149, -35)]), from_crs="EPSG:4326", to_crs="EPSG:7855")
    assert (point.x, point.y) == pytest.approx((682516.0936, 6125129.3654), abs=1e-3)


def test_there_and_back_is_the_same_place():
    points = shapely.points([148.2, 150.9], [-35.7, -29.1])
    there = transformed(points, from_crs="EPSG:4326", to_crs="EPSG:7855")
    back = transformed(there, from_crs="EPSG:7855", to_crs="EPSG:4326")
    assert shapely.equals_exact(points, back, tolerance=1e-9).all()


def test_a_coordinate_that_the_system_cannot_hold_is_refused():
    with pytest.raises(GroundError, match="outside"):
        transformed(np.array([Point(1e30, 0)]), from_crs="EPSG:7855", to_crs="EPSG:4326")
