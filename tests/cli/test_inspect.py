"""What is in a file: shapes, a lab sheet, a raster, or a plain word that it is none."""

import json
import subprocess
import sys

import pytest
import shapely
from click.testing import CliRunner

from vrxapp.cli.main import vrxapp
from vrxapp.ground.geodesic_area import lon_lat_area_ha
from vrxapp.shipped_files import shipped_folder

SAMPLE = shipped_folder("sample_fields")


def inspected(path, *more):
    return subprocess.run(
        [sys.executable, "-m", "vrxapp", "inspect", str(path), *more],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


@pytest.mark.parametrize(
    "name",
    [
        "boundary.geojson",
        "other_formats/long_bend.kml",
        "other_formats/long_bend.kmz",
        "other_formats/long_bend.gpkg",
        "other_formats/long_bend_shapefile.zip",
        "other_formats/long_bend_shapefile/long_bend.shp",
    ],
)
def test_the_same_boundary_is_described_alike_in_each_format(name):
    (layer,) = json.loads(inspected(SAMPLE / name, "--json").stdout)["layers"]
    assert layer["features"] == 1
    assert layer["area, ha"] == pytest.approx(81.3346, abs=0.01)
    assert layer["extent, degrees"][0] == pytest.approx(147.2, abs=0.02)


def test_a_lab_sheet_tells_its_samples_and_tests():
    record = json.loads(inspected(SAMPLE / "lab_composites.csv", "--json").stdout)
    assert (record["samples"], record["depths, cm"]) == (4, ["0-10"])
    assert "Colwell P, mg/kg" in record["tests"]


def test_a_raster_tells_its_bands():
    said = inspected(SAMPLE / "layers" / "conductivity.tif").stdout
    assert "GeoTIFF" in said
    assert "bands:" in said


def test_what_is_none_of_these_is_refused_in_one_sentence(tmp_path):
    path = tmp_path / "notes.shp"
    path.write_text("sow on Tuesday")
    ended = inspected(path)
    assert ended.returncode == 1
    assert ended.stderr.startswith("Error: notes.shp")
    assert "Traceback" not in ended.stderr


def test_what_a_prescription_really_holds_is_told(tmp_path):
    square = [[147.0, -35.0], [147.01, -35.0], [147.01, -34.99], [147.0, -34.99], [147.0, -35.0]]
    path = tmp_path / "job.geojson"
    features = [
        {
            "type": "Feature",
            "properties": {"zone": "A", "rate_kg_ha": rate},
            "geometry": {"type": "Polygon", "coordinates": [[[x + step, y] for x, y in square]]},
        }
        for step, rate in ((0.0, 80), (0.02, 0.0), (0.04, 80))
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    found = CliRunner().invoke(vrxapp, ["inspect", str(path)])
    area_ha = lon_lat_area_ha(shapely.polygons([square]))[0]
    assert f"0 on {area_ha:.2f} ha, 80 on {2 * area_ha:.2f} ha" in found.stdout
    assert f"rate times area is {2 * 80 * area_ha:,.1f} in all" in found.stdout
