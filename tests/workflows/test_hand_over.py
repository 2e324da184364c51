"""Handing over: files that read back to the plan, or nothing at all."""

import csv
import io
import json
import os
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapefile
import shapely
from shapely import LineString

from vrxapp.errors import MissingInputError, ReadBackError, TargetExistsError, WriteError
from vrxapp.files.formats import read_features
from vrxapp.ground.geodesic_area import lon_lat_area_ha
from vrxapp.ground.ground_points import POWERLINE_CAUTION, GroundPoint, GroundPointKind
from vrxapp.ground.guidance import GuidanceLine
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.progress import Cancelled
from vrxapp.workflows import hand_over as module
from vrxapp.workflows.guidance_files import GuidanceMachine, guidance_from_file
from vrxapp.workflows.hand_over import hand_over
from vrxapp.workflows.sample_farm import sample_farm


@pytest.fixture(scope="module")
def season():
    return sample_farm().seasons[0]


@pytest.fixture
def done(season, tmp_path):
    return hand_over(season, season.operations[0], tmp_path / "job")


def shapefile_of(folder):
    (path,) = Path(folder).rglob("*.shp")
    return path


def test_the_shapefile_holds_the_plan(done):
    with shapefile.Reader(str(shapefile_of(done.folder))) as reader:
        shapes = [shapely.geometry.shape(s.__geo_interface__) for s in reader.shapes()]
        rates = np.array([record["RATE_KGHA"] for record in reader.records()], dtype=float)
    total_kg = float((rates * lon_lat_area_ha(shapes)).sum())
    assert total_kg == pytest.approx(done.plan.totals.product_kg, rel=1e-3)
    assert set(rates) == {0.0, *done.plan.rates_kg_ha}
    assert all(shape.geom_type == "Polygon" and not shape.interiors for shape in shapes)


def test_the_geojson_holds_the_plan(done):
    (path,) = done.folder.rglob("*.geojson")
    collection = json.loads(path.read_text("utf-8"))
    shapes = [shapely.geometry.shape(f["geometry"]) for f in collection["features"]]
    rates = np.array([f["properties"]["rate_kg_ha"] for f in collection["features"]])
    total_kg = float((rates * lon_lat_area_ha(shapes)).sum())
    assert total_kg == pytest.approx(done.plan.totals.product_kg, rel=1e-3)
    assert "crs" not in collection
    assert all(ring_is_right_handed(shape) for shape in shapes)


def ring_is_right_handed(shape):
    return shape.exterior.is_ccw


def test_the_strip_is_in_the_files_with_nothing_on_it(done, season):
    (path,) = done.folder.rglob("*.geojson")
    features = json.loads(path.read_text("utf-8"))["features"]
    strips = [f for f in features if f["properties"]["use"] == "check strip"]
    assert {f["properties"]["rate_kg_ha"] for f in strips} == {0}
    area_ha = lon_lat_area_ha([shapely.geometry.shape(f["geometry"]) for f in strips]).sum()
    assert area_ha == pytest.approx(done.plan.totals.strip_ha, rel=1e-4)


def test_the_contractor_gets_no_price_and_no_laboratory_value(done, season):
    note = (done.folder / "for_the_contractor" / "read_me.txt").read_text("utf-8")
    (path,) = done.folder.rglob("*.geojson")
    fields = [f["properties"] for f in json.loads(path.read_text("utf-8"))["features"]]
    assert {name for row in fields for name in row} == {
        "id", "zone", "use", "rate_kg_ha", "unit", "product",
    }  # fmt: skip
    cost = f"{done.plan.totals.cost:,.0f}"
    assert all(word not in note for word in ("980", "AUD", "Colwell", "PBI", cost))


def test_the_trail_has_a_row_a_zone_with_units_and_sources(done):
    (path,) = done.folder.rglob("why_these_rates.csv")
    rows = list(csv.reader(io.StringIO(path.read_text("utf-8-sig"))))
    header, units, sources, *zones = rows
    assert [row[0] for row in zones] == list(done.plan.zone_names)
    column = header.index("rate")
    assert units[column] == "kg/ha"
    assert [float(row[column]) for row in zones] == done.plan.rates_kg_ha.tolist()
    assert "grdc-2020-p-budget" in sources
    assert {len(row) for row in rows} == {len(header)}


def test_a_folder_that_exists_is_left_alone(season, tmp_path):
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "precious.txt").write_text("mine")
    with pytest.raises(TargetExistsError):
        hand_over(season, season.operations[0], folder)
    assert (folder / "precious.txt").read_text() == "mine"
    hand_over(season, season.operations[0], folder, replace=True)
    assert not (folder / "precious.txt").exists()


def test_a_season_without_any_rate_writes_nothing(season, tmp_path):
    olsen = replace(
        season.tests,
        columns=tuple(c for c in season.tests.columns if "colwell" not in c.analyte.key),
    )
    with pytest.raises(MissingInputError, match="no zone has a rate"):
        hand_over(replace(season, tests=olsen), season.operations[0], tmp_path / "job")
    assert list(tmp_path.iterdir()) == []


def test_a_wrong_file_is_not_put_in_place(season, tmp_path, monkeypatch):
    def spoiled(rate_map, path, **named):
        write(replace(rate_map, rates=rate_map.rates + 1.0), path, **named)

    write = module.write_geojson
    monkeypatch.setattr(module, "write_geojson", spoiled)
    with pytest.raises(ReadBackError):
        hand_over(season, season.operations[0], tmp_path / "job")
    assert list(tmp_path.iterdir()) == []


def test_a_cancelled_hand_over_leaves_no_trace(season, tmp_path):
    class Impatient:
        def step(self, done, total, stage):
            if done == 2:
                raise Cancelled

    with pytest.raises(Cancelled):
        hand_over(season, season.operations[0], tmp_path / "job", progress=Impatient())
    assert list(tmp_path.iterdir()) == []


def test_a_swap_that_is_refused_leaves_nothing(season, tmp_path, monkeypatch):
    def refuse(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "rename", refuse)
    with pytest.raises(WriteError, match="job"):
        hand_over(season, season.operations[0], tmp_path / "job")
    assert list(tmp_path.iterdir()) == []


def run_hand_over(folder, preamble):
    code = f"""
{preamble}
from pathlib import Path
from vrxapp.errors import WriteError
from vrxapp.workflows.guidance_files import GuidanceMachine, guidance_from_file
from vrxapp.workflows.hand_over import hand_over
from vrxapp.workflows.sample_farm import sample_farm
season = sample_farm().seasons[0]
try:
    hand_over(season, season.operations[0], Path({str(folder)!r}))
except WriteError as error:
    print(error)
"""
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)


def test_a_full_disk_is_told_and_leaves_nothing(tmp_path):
    limit = "\n".join(
        (
            "import resource, signal",
            "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)",
            "import vrxapp.files.shapefile, pyogrio, shapefile",
            "resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))",
        )
    )
    ended = run_hand_over(tmp_path / "job", limit)
    assert ended.returncode == 0, ended.stderr
    assert "could not be written" in ended.stdout
    assert list(tmp_path.iterdir()) == []


def test_a_kill_before_the_swap_leaves_the_target_alone(tmp_path, season):
    folder = tmp_path / "job"
    kill = "import os, signal\nos.rename = lambda *_: os.kill(os.getpid(), signal.SIGKILL)"
    ended = run_hand_over(folder, kill)
    assert ended.returncode == -signal.SIGKILL
    assert not folder.exists()
    assert all(path.name.startswith(".") for path in tmp_path.iterdir())
    hand_over(season, season.operations[0], folder)
    assert shapefile_of(folder).is_file()


def test_gates_and_powerlines_go_to_the_contractor_with_their_cautions(season, tmp_path):
    x, y, _, _ = season.paddock.boundary.bounds
    points = (
        GroundPoint("North gate", GroundPointKind.GATE, x, y, "key at the house"),
        GroundPoint("Line", GroundPointKind.POWERLINE, x + 50, y + 60),
    )
    with_points = replace(season, ground_points=points)
    folder = hand_over(with_points, season.operations[0], tmp_path / "job").folder
    contractor = folder / "for_the_contractor"
    told = read_features(contractor / "ground_points.gpx")
    assert [(f["name"], f["type"]) for f in told.fields] == [
        ("North gate", "gate"),
        ("Line", "powerline"),
    ]
    on_map = read_features(contractor / "ground_points.geojson")
    spots = transformed(on_map.shapes, from_crs=LON_LAT, to_crs=season.paddock.crs)
    assert shapely.get_coordinates(spots) == pytest.approx(np.array([(x, y), (x + 50, y + 60)]))
    note = (contractor / "read_me.txt").read_text("utf-8")
    assert "gate: North gate (key at the house)" in note
    assert POWERLINE_CAUTION in note


def test_guidance_lines_go_to_the_contractor_and_can_be_taken_in_again(season, tmp_path):
    x, y = season.paddock.boundary.centroid.coords[0]
    lines = (
        GuidanceLine("South fence", "Spreader", LineString([(x, y), (x + 80, y + 80)]), 24.0, 3.0),
        GuidanceLine("Along the creek", "", LineString([(x, y), (x + 50, y), (x + 90, y + 70)])),
    )
    with_lines = replace(season, guidance=lines)
    done = hand_over(with_lines, season.operations[0], tmp_path / "job")
    contractor = done.folder / "for_the_contractor"
    note = (contractor / "read_me.txt").read_text("utf-8")
    assert "South fence: Spreader, 45.0°, swath 24 m, wheel track 3 m" in note
    assert "Along the creek: any machine, curve" in note
    again, _ = guidance_from_file(season, contractor / "guidance_lines.geojson", GuidanceMachine())
    told = [(g.name, g.machine, g.swath_m, g.wheel_track_m) for g in again.guidance]
    assert told[0] == ("South fence", "Spreader", 24.0, 3.0)
    assert told[1][:2] == ("Along the creek", "")
    assert np.isnan(told[1][2:]).all()
    for before, after in zip(lines, again.guidance, strict=True):
        assert shapely.equals_exact(before.line, after.line, tolerance=0.002)


def test_without_guidance_lines_the_contractor_reads_nothing_of_them(done):
    assert not list(done.folder.rglob("guidance*"))
    assert "Guidance" not in (done.folder / "for_the_contractor" / "read_me.txt").read_text("utf-8")


def test_without_ground_points_there_is_no_file_of_them(done):
    assert not list(done.folder.rglob("ground_points*"))
