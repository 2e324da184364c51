"""Which feature a place stands for."""

import numpy as np
import pytest
import shapely

from vrxapp.desktop.map.line_layer import LineLayer
from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.desktop.map.picking import Picker
from vrxapp.desktop.map.point_layer import PointLayer
from vrxapp.desktop.map.zone_layer import ZoneLayer
from vrxapp.legend import LineStyle, Step

STEP = Step("60", "#8e4b97")


@pytest.fixture
def feature_at(place):
    def find(layers, east, north, *, reach=9.0, fine_reach=5.0):
        picker = Picker()
        picker.set_layers(layers)
        return picker.feature_at(*place(east, north), reach_m=reach, fine_reach_m=fine_reach)

    return find


@pytest.fixture
def samples(place):
    return MarkerLayer("samples", *np.transpose([place(50, 50), place(60, 50)]), (STEP,))


@pytest.fixture
def track(place):
    line = shapely.LineString([place(0, 80), place(400, 80)])
    return LineLayer("tracks", [line], (LineStyle("track"),))


def test_a_zone_is_found_and_a_hole_is_not(feature_at, zones):
    assert feature_at([zones], 20, 20) == ("zones", 0)
    assert feature_at([zones], 220, 20) == ("zones", 1)
    assert feature_at([zones], 300, 150) is None
    assert feature_at([zones], 500, 20) is None


def test_of_two_zones_the_one_drawn_last_is_found(feature_at, block):
    layer = ZoneLayer("zones", [block(0, 0, 100, 100), block(40, 40, 60, 60)], (STEP,))
    assert feature_at([layer], 50, 50) == ("zones", 1)
    upper = ZoneLayer("strips", [block(0, 40, 100, 60)], (STEP,))
    assert feature_at([layer, upper], 50, 50) == ("strips", 0)
    assert feature_at([upper, layer], 50, 50) == ("zones", 1)


def test_samples_come_before_lines_and_lines_before_zones(feature_at, zones, samples, track):
    layers = [samples, track, zones]
    assert feature_at(layers, 53, 52) == ("samples", 0)
    assert feature_at(layers, 120, 84) == ("tracks", 0)
    assert feature_at(layers, 120, 90) == ("zones", 0)


def test_the_nearest_sample_within_reach_is_found(feature_at, samples):
    assert feature_at([samples], 56, 50) == ("samples", 1)
    assert feature_at([samples], 54, 50) == ("samples", 0)
    assert feature_at([samples], 30, 50) is None
    assert feature_at([samples], 30, 50, reach=25.0) == ("samples", 0)


def test_one_of_many_points_is_found_within_its_finer_reach(feature_at, place):
    random = np.random.default_rng(2)
    west, south = place(0, 0)
    easting, northing = west + 400 * random.random(30_000), south + 300 * random.random(30_000)
    layer = PointLayer("points", easting, northing, np.zeros(30_000, np.uint32))
    apart = np.hypot(easting - west - 123.0, northing - south - 77.0)
    nearest = int(apart.argmin())
    assert feature_at([layer], 123, 77) == ("points", nearest)
    assert feature_at([layer], 123, 77, fine_reach=apart.min() / 2) is None


def test_what_may_not_be_picked_is_looked_through(feature_at, zones, block):
    cover = ZoneLayer("paddock", [block(0, 0, 400, 300)], (STEP,), is_pickable=False)
    assert feature_at([zones, cover], 20, 20) == ("zones", 0)


def test_empty_shapes_and_missing_places_are_never_found(feature_at, place, block):
    zones = ZoneLayer("zones", [shapely.Polygon(), block(0, 0, 10, 10)], (STEP,))
    _, northing = place(5, 5)
    samples = MarkerLayer("samples", [np.nan], [northing], (STEP,))
    assert feature_at([zones, samples], 5, 5) == ("zones", 1)
    assert feature_at([MarkerLayer("samples", [], [], (STEP,))], 5, 5) is None
