import json
import os
import subprocess
import sys
from dataclasses import replace

import jsonschema
import numpy as np
import pyproj
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vrxapp.errors import ReadBackError, WriteError
from vrxapp.files.file_checks import check_written
from vrxapp.files.geojson import DECIMALS, read_geojson, read_geojson_rates, write_geojson
from vrxapp.files.spreader_parts import spreader_parts
from vrxapp.ground.geodesic_area import lon_lat_area_ha
from vrxapp.spreading.rate_map import GroundUse, RateMap, total_kg

POSITION = {"type": "array", "minItems": 2, "maxItems": 3, "items": {"type": "number"}}
RING = {"type": "array", "minItems": 4, "items": POSITION}
POLYGON = {"type": "array", "minItems": 1, "items": RING}
# RFC 7946, sections 3.1.1 (position), 3.1.6 and 3.1.7 (polygons), 3.2 (feature),
# 3.3 (collection) and 4 (no crs member), for files that hold polygons only.
RFC_7946 = {
    "type": "object",
    "required": ["type", "features"],
    "not": {"required": ["crs"]},
    "properties": {
        "type": {"const": "FeatureCollection"},
        "features": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["type", "properties", "geometry"],
                "properties": {
                    "type": {"const": "Feature"},
                    "id": {"type": ["string", "number"]},
                    "properties": {"type": ["object", "null"]},
                    "geometry": {
                        "oneOf": [
                            {"type": "null"},
                            {
                                "type": "object",
                                "required": ["type", "coordinates"],
                                "properties": {
                                    "type": {"const": "Polygon"},
                                    "coordinates": POLYGON,
                                },
                            },
                            {
                                "type": "object",
                                "required": ["type", "coordinates"],
                                "properties": {
                                    "type": {"const": "MultiPolygon"},
                                    "coordinates": {"type": "array", "items": POLYGON},
                                },
                            },
                        ]
                    },
                },
            },
        },
    },
}


def faults(root):
    """What the schema finds wrong, feature by feature."""
    return list(jsonschema.Draft7Validator(RFC_7946).iter_errors(root))


def rings_of(root):
    """Every ring of every polygon: whether it is an outline, and its points."""
    for feature in root["features"]:
        geometry = feature["geometry"]
        several = geometry["type"] == "MultiPolygon"
        for polygon in geometry["coordinates"] if several else [geometry["coordinates"]]:
            for index, ring in enumerate(polygon):
                yield index == 0, np.array(ring)


def assert_rfc_7946(root):
    """What the schema can say, and what it cannot: direction, closure and range."""
    assert faults(root) == []
    for is_outline, ring in rings_of(root):
        assert np.array_equal(ring[0], ring[-1])
        assert shapely.is_ccw(shapely.linearrings(ring)) == is_outline
        assert np.all(np.abs(ring) <= [180.0, 90.0])


@pytest.fixture
def ring_and_island():
    """A clockwise box with a counter-clockwise hole, and another box in two parts."""
    hole = shapely.box(149.004, -34.996, 149.006, -34.994)
    box = shapely.box(149.0, -35.0, 149.01, -34.99)
    two = shapely.MultiPolygon(
        [shapely.box(149.01, -35.0, 149.02, -34.99), shapely.box(149.03, -35.0, 149.04, -34.99)]
    )
    shapes = shapely.orient_polygons(np.array([box - hole, two]), exterior_cw=True)
    return RateMap(
        product="Starter 10-22",
        unit="kg/ha",
        shapes=shapes,
        labels=("Nördlich", "2025-06-01"),
        uses=np.array([GroundUse.SPREAD, GroundUse.CHECK_STRIP]),
        rates=np.array([80.5, 0.0]),
    )


@pytest.fixture
def path(ring_and_island, tmp_path):
    write_geojson(ring_and_island, tmp_path / "rates.geojson")
    return tmp_path / "rates.geojson"


def as_json(path):
    return json.loads(path.read_text("utf-8"))


def test_a_written_file_follows_rfc_7946(path):  # GJ-01
    assert_rfc_7946(as_json(path))
    assert [is_outline for is_outline, _ in rings_of(as_json(path))] == [True, False, True, True]


@pytest.mark.parametrize(
    ("change", "least"),
    [
        (lambda root: None, 0),
        (lambda root: root["features"][0]["geometry"]["coordinates"][0].__delitem__(slice(2)), 1),
        (lambda root: root["features"][0].pop("properties"), 1),
        (lambda root: root["features"][0]["geometry"]["coordinates"][0].reverse(), 0),
        (lambda root: root["features"][0]["geometry"]["coordinates"][0].pop(), 0),
        (lambda root: root.update(crs=None), 1),
    ],
)
def test_the_schema_sees_structure_but_neither_direction_nor_closure(path, change, least):  # GJ-04
    root = as_json(path)
    change(root)
    assert (len(faults(root)) >= 1) == (least == 1)


def test_each_feature_tells_number_zone_use_rate_unit_and_product(path):
    assert [feature["properties"] for feature in as_json(path)["features"]] == [
        {"id": 1, "zone": "Nördlich", "use": "spread", "rate_kg_ha": 80.5, "unit": "kg/ha",
         "product": "Starter 10-22"},
        {"id": 2, "zone": "2025-06-01", "use": "check strip", "rate_kg_ha": 0.0, "unit": "kg/ha",
         "product": "Starter 10-22"},
    ]  # fmt: skip


def test_gdal_finds_the_rates_labels_uses_and_shapes(path, ring_and_island):
    found = read_geojson_rates(path)
    assert found.reader.startswith("GDAL ")
    assert (found.unit, found.product) == ("kg/ha", "Starter 10-22")
    assert found.rates.tolist() == [80.5, 0.0]
    assert found.labels == ("Nördlich", "2025-06-01")
    assert found.uses == ("spread", "check strip")
    assert all(shapely.equals(found.shapes, ring_and_island.shapes))
    assert check_written(ring_and_island, found, file=path.name).parts == 2


def test_zones_that_are_all_called_like_dates_keep_their_names(ring_and_island, tmp_path):
    plan = replace(ring_and_island, labels=("2024/06/01", "2025-06-01"))
    write_geojson(plan, tmp_path / "dates.geojson")
    assert read_geojson_rates(tmp_path / "dates.geojson").labels == plan.labels


def test_the_own_reader_finds_the_same_shapes_and_fields(path, ring_and_island):
    found = read_geojson(path)
    assert all(shapely.equals(found.shapes, ring_and_island.shapes))
    assert [fields["rate_kg_ha"] for fields in found.fields] == [80.5, 0.0]
    assert found.notes == ()


def test_shared_corners_stay_shared(paddock_map, tmp_path):
    parts = spreader_parts(paddock_map)
    write_geojson(parts, tmp_path / "rates.geojson")
    found = read_geojson_rates(tmp_path / "rates.geojson")
    assert shapely.coverage_is_valid(found.shapes)
    before, after = (
        {tuple(p) for p in shapely.get_coordinates(s)} for s in (parts.shapes, found.shapes)
    )
    assert len(before) == len(after)


def test_rounding_moves_a_corner_by_a_thousandth_of_a_millimetre_at_most():
    # half of the last decimal, both ways, at the equator where a degree is longest
    off = 0.5 * 10.0**-DECIMALS
    _, _, metres = pyproj.Geod(ellps="GRS80").inv(0.0, 0.0, off, off)
    assert metres < 1e-6


def test_a_millionth_of_a_degree_between_neighbours_is_a_hundred_square_metres():  # GJ-07
    gap = shapely.box(149.01, -35.0, 149.010001, -34.99)
    assert lon_lat_area_ha([gap])[0] * 1e4 == pytest.approx(101.282, abs=0.01)


def test_the_same_map_gives_the_same_bytes(path, ring_and_island, tmp_path):
    write_geojson(ring_and_island, tmp_path / "again.geojson")
    assert path.read_bytes() == (tmp_path / "again.geojson").read_bytes()


def test_heights_are_not_written(ring_and_island, tmp_path):
    high = replace(ring_and_island, shapes=shapely.force_3d(ring_and_island.shapes, z=612.0))
    write_geojson(high, tmp_path / "rates.geojson")
    assert {ring.shape[1] for _, ring in rings_of(as_json(tmp_path / "rates.geojson"))} == {2}


@pytest.mark.parametrize("rate", [np.nan, np.inf, -1.0])
def test_a_rate_that_is_none_is_refused_by_part_and_nothing_is_written(  # GJ-05
    ring_and_island, tmp_path, rate
):
    plan = replace(ring_and_island, rates=np.array([80.5, rate]))
    with pytest.raises(WriteError, match="part 2") as caught:
        write_geojson(plan, tmp_path / "rates.geojson")
    note = caught.value.note
    assert (note.file, note.row, note.column) == ("rates.geojson", 2, "rate_kg_ha")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "shape",
    [
        shapely.Point(149, -35),
        shapely.Polygon(),
        shapely.Polygon([(149, -35), (150, -34), (150, -35), (149, -34.5)]),
        shapely.box(680_000, 6_125_000, 680_100, 6_125_100),
    ],
)
def test_a_shape_that_cannot_stand_in_the_file_is_refused_by_part(ring_and_island, tmp_path, shape):
    shapes = np.array([ring_and_island.shapes[0], shape], dtype=object)
    with pytest.raises(WriteError, match="part 2") as caught:
        write_geojson(replace(ring_and_island, shapes=shapes), tmp_path / "rates.geojson")
    assert caught.value.note.column == "geometry"


def test_another_unit_than_the_field_says_is_refused(ring_and_island, tmp_path):
    with pytest.raises(WriteError, match="in L/ha"):
        write_geojson(replace(ring_and_island, unit="L/ha"), tmp_path / "rates.geojson")


def test_a_map_without_parts_is_refused(tmp_path):
    nothing = RateMap("Lime", "kg/ha", np.array([]), (), np.array([]), np.array([]))
    with pytest.raises(WriteError, match="no part"):
        write_geojson(nothing, tmp_path / "rates.geojson")


def test_an_older_file_stays_if_the_new_one_cannot_be_written(path, tmp_path):
    code = """
import resource, signal, sys
from pathlib import Path
import numpy as np, shapely
from vrxapp.errors import WriteError
from vrxapp.files.geojson import write_geojson
from vrxapp.spreading.rate_map import RateMap
lake = shapely.Point(149, -35).buffer(0.01, quad_segs=200)
plan = RateMap("Lime", "kg/ha", np.array([lake]), ("Z",), np.array(["spread"]), np.ones(1))
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
try:
    write_geojson(plan, Path(sys.argv[1]))
except WriteError as error:
    print(error)
"""
    before = path.read_bytes()
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
    )
    assert done.stdout.startswith("rates.geojson: it could not be written"), done.stderr
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["rates.geojson"]


@pytest.mark.parametrize("field", ["zone", "use", "rate_kg_ha", "unit", "product"])
def test_a_file_without_one_of_its_fields_cannot_be_read_back(path, field):
    root = as_json(path)
    for feature in root["features"]:
        del feature["properties"][field]
    path.write_text(json.dumps(root), "utf-8")
    with pytest.raises(ReadBackError, match="field is missing") as caught:
        read_geojson_rates(path)
    assert caught.value.note.column == field


@pytest.mark.parametrize("left_bytes", [0, 40, 300])
def test_a_truncated_file_cannot_be_read_back(path, left_bytes):
    path.write_bytes(path.read_bytes()[:left_bytes])
    with pytest.raises(ReadBackError, match="cannot be read back"):
        read_geojson_rates(path)


def test_a_file_that_the_reader_warns_of_cannot_be_read_back(path):
    root = as_json(path)
    root["features"][1]["properties"]["id"] = 1
    path.write_text(json.dumps(root), "utf-8")
    with pytest.raises(ReadBackError, match="the reader warns"):
        read_geojson_rates(path)


def test_two_units_in_one_file_cannot_be_read_back(path):
    root = as_json(path)
    root["features"][1]["properties"]["unit"] = "t/ha"
    path.write_text(json.dumps(root), "utf-8")
    with pytest.raises(ReadBackError, match="2 values instead of one") as caught:
        read_geojson_rates(path)
    assert caught.value.note.column == "unit"


def test_a_rate_that_is_text_is_found_to_be_none(path):
    root = as_json(path)
    for feature in root["features"]:
        feature["properties"]["rate_kg_ha"] = "many"
    path.write_text(json.dumps(root), "utf-8")
    assert np.isnan(read_geojson_rates(path).rates).all()


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_any_map_survives_with_its_rates_and_its_total(random_maps, tmp_path_factory, data):
    plan = data.draw(random_maps)
    if data.draw(st.booleans()):
        plan = spreader_parts(plan)
    path = tmp_path_factory.mktemp("map") / "rates.geojson"
    write_geojson(plan, path)
    assert_rfc_7946(as_json(path))
    found = read_geojson_rates(path)
    assert np.array_equal(found.rates, plan.rates)
    figures = check_written(plan, found, file=path.name)
    assert figures.written_kg == pytest.approx(total_kg(plan), rel=1e-3)
