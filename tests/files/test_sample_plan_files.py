"""A sample plan as GPX, CSV and GeoJSON: the same stops in each."""

import csv
import json
from dataclasses import replace

import numpy as np
import pytest
import shapely

from vrxapp.errors import InputFileError, ReadBackError
from vrxapp.files import sample_plan_files
from vrxapp.files.formats import read_features
from vrxapp.files.lab_sheets.reader import read_lab_sheet
from vrxapp.files.sample_plan_files import write_sample_plan
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind
from vrxapp.ground.sample_plan import SamplePlan
from vrxapp.ground.sample_positions import SamplingDesign

CRS = "EPSG:7855"


@pytest.fixture
def plan():
    return SamplePlan(
        paddock="Flat",
        sample_ids=("Red, loam", "Red, loam", 'Sand "top"'),
        zone_names=("Red, loam", "Red, loam", ""),
        longitude_degree=np.array([147.20123456, 147.2023, 147.2031]),
        latitude_degree=np.array([-35.09812345, -35.0991, -35.1002]),
        cores=np.array([9, 9, 17]),
        depth_cm="0-10",
        design=SamplingDesign.BY_ZONE,
        seed=0,
        walk_m=300.0,
        points=(GroundPoint("North gate", GroundPointKind.GATE, 518_500.0, 6_116_500.0, "key 3"),),
    )


def test_a_csv_has_a_row_a_stop_that_a_spreadsheet_reads(plan, tmp_path):
    path = tmp_path / "plan.csv"
    write_sample_plan(plan, path, crs=CRS)
    rows = list(csv.DictReader(path.read_text("utf-8").splitlines()))
    assert [row["sample"] for row in rows] == list(plan.sample_ids)
    assert [row["cores"] for row in rows] == ["9", "9", "17"]
    assert rows[0]["longitude"] == "147.20123456"


def test_a_result_column_added_to_stops_with_their_own_bag_makes_a_lab_sheet(plan, tmp_path):
    path = tmp_path / "plan.csv"
    plan = replace(plan, sample_ids=("S1", "S2", "S3"))
    write_sample_plan(plan, path, crs=CRS)
    lines = path.read_text("utf-8").splitlines()
    lines = [lines[0] + ",Colwell P (mg/kg)", *(line + ",30" for line in lines[1:])]
    path.write_text("\n".join(lines), "utf-8")
    sheet = read_lab_sheet(path)
    assert sheet.sample_ids == plan.sample_ids
    assert sheet.depths_cm == ("0-10",) * 3
    assert sheet.longitude_degree == pytest.approx(plan.longitude_degree, abs=1e-8)


def test_a_geojson_holds_points_by_the_standard(plan, tmp_path):
    path = tmp_path / "plan.geojson"
    write_sample_plan(plan, path, crs=CRS)
    root = json.loads(path.read_text("utf-8"))
    assert root["type"] == "FeatureCollection"
    assert "crs" not in root
    first = root["features"][0]
    assert first["geometry"] == {"type": "Point", "coordinates": [147.20123456, -35.09812345]}
    assert first["properties"]["sample"] == "Red, loam"


def test_a_gpx_has_the_stops_and_the_gate_and_a_route_past_the_stops(plan, tmp_path):
    path = tmp_path / "plan.gpx"
    write_sample_plan(plan, path, crs=CRS)
    points = read_features(path, layer="waypoints")
    assert [row["name"] for row in points.fields][:2] == ["1 Red, loam", "2 Red, loam"]
    assert points.fields[3]["name"] == "North gate"
    assert points.fields[3]["type"] == "gate"
    assert points.fields[3]["desc"] == "key 3"
    assert points.fields[0]["desc"] == "9 cores into bag Red, loam, 0-10 cm; zone Red, loam"
    (route,) = read_features(path, layer="routes").shapes
    assert len(shapely.get_coordinates(route)) == 3


def test_another_suffix_is_refused(plan, tmp_path):
    with pytest.raises(InputFileError, match=r"not written as '\.pdf'"):
        write_sample_plan(plan, tmp_path / "plan.pdf", crs=CRS)


@pytest.mark.parametrize(
    ("suffix", "of", "wanted", "instead"),
    [
        (".csv", "_csv_text", "147.20123456", "147.20123556"),
        (".csv", "_csv_text", ",17,", ",71,"),
        (".geojson", "_geojson_text", '"cores": 17', '"cores": 18'),
        (".geojson", "_geojson_text", "147.2031", "147.3031"),
    ],
)
def test_a_spoilt_file_is_noticed_and_not_put_in_place(
    plan, tmp_path, monkeypatch, suffix, of, wanted, instead
):
    right = getattr(sample_plan_files, of)
    assert wanted in right(plan)
    monkeypatch.setattr(sample_plan_files, of, lambda p: right(p).replace(wanted, instead))
    with pytest.raises(ReadBackError, match="not those of the plan"):
        write_sample_plan(plan, tmp_path / f"plan{suffix}", crs=CRS)
    assert not list(tmp_path.iterdir())
