"""The two paddocks beside Long Bend: likely sizes, a lane, a hole, zones that tile."""

import json

import numpy as np
import pyproj
import pytest
import shapely
from shapely.geometry import shape

from vrxapp.files.geojson import read_geojson

PADDOCKS = {"two_mile_sands": "EPSG:7855", "pan_block": "EPSG:7854"}


def features(remade, paddock, name):
    return json.loads((remade / paddock / f"{name}.geojson").read_text("utf-8"))["features"]


def lon_lat_shapes(remade, paddock, name):
    return [shape(feature["geometry"]) for feature in features(remade, paddock, name)]


def metric_shapes(remade, paddock, name):
    turn = pyproj.Transformer.from_crs("EPSG:4326", PADDOCKS[paddock], always_xy=True).transform
    return [
        shapely.transform(s, lambda xy: np.column_stack(turn(xy[:, 0], xy[:, 1])))
        for s in lon_lat_shapes(remade, paddock, name)
    ]


def test_the_acid_sand_lies_in_two_parts_with_a_lane_between_them(remade, geodesic_ha):
    (boundary,) = lon_lat_shapes(remade, "two_mile_sands", "boundary")
    assert boundary.geom_type == "MultiPolygon"
    assert 120.0 < geodesic_ha(boundary) < 200.0
    (metric,) = metric_shapes(remade, "two_mile_sands", "boundary")
    west, east = metric.geoms
    assert 18.0 < west.distance(east) < 30.0
    assert min(west.area, east.area) > 50e4


def test_the_calcareous_loam_has_a_hole_and_less_than_400_hectares(remade, geodesic_ha):
    (boundary,) = lon_lat_shapes(remade, "pan_block", "boundary")
    assert boundary.geom_type == "Polygon"
    assert 200.0 < geodesic_ha(boundary) < 400.0
    (hole,) = boundary.interiors
    assert geodesic_ha(shapely.Polygon(hole)) == pytest.approx(4.5, abs=1.5)


@pytest.mark.parametrize("paddock", PADDOCKS)
def test_the_zones_tile_the_paddock(remade, paddock):
    (boundary,) = metric_shapes(remade, paddock, "boundary")
    zones = metric_shapes(remade, paddock, "zones")
    names = [f["properties"]["zone"] for f in features(remade, paddock, "zones")]
    assert shapely.coverage_is_valid(zones)
    covered = shapely.union_all(zones)
    overlap_m2 = sum(zone.area for zone in zones) - covered.area
    assert covered.symmetric_difference(boundary).area + abs(overlap_m2) < 1.0
    assert len(set(names)) == len(zones) >= 3
    assert min(zone.area for zone in zones) > 20e4


@pytest.mark.parametrize("paddock", PADDOCKS)
def test_the_exclusions_take_some_of_the_paddock_and_not_much(remade, paddock):
    (boundary,) = metric_shapes(remade, paddock, "boundary")
    fields = [feature["properties"] for feature in features(remade, paddock, "exclusions")]
    shapes = metric_shapes(remade, paddock, "exclusions")
    taken = [s.buffer(f["setback_m"]) for s, f in zip(shapes, fields, strict=True)]
    assert all(shape_.intersection(boundary).area > 100.0 for shape_ in taken)
    assert shapely.union_all(taken).intersection(boundary).area < 0.05 * boundary.area
    assert len({f["kind"] for f in fields}) == len(fields) == 3


@pytest.mark.parametrize("paddock", PADDOCKS)
@pytest.mark.parametrize("name", ["boundary", "zones", "exclusions"])
def test_the_program_reads_them_and_they_say_that_they_are_invented(remade, paddock, name):
    read = read_geojson(remade / paddock / f"{name}.geojson")
    assert read.notes == ()
    assert all(
        feature["properties"]["note"].startswith("Invented")
        for feature in features(remade, paddock, name)
    )
