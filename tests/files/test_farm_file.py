"""The farm file: what was saved comes back, and what is damaged is said to be so."""

import json
import signal
import sqlite3
import struct
import subprocess
import sys
from contextlib import closing
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import LineString

from vrxapp.agronomy.critical_values import own_critical_value
from vrxapp.agronomy.humate_policy import FertiliserPolicy
from vrxapp.edits.lab_tests import match_sample
from vrxapp.edits.rates import set_critical_value
from vrxapp.edits.zones import lock
from vrxapp.errors import FarmFileError, WriteError
from vrxapp.farm import Farm
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.files.farm_settings import StoredFarm, StoredSeason, settings_from, settings_text
from vrxapp.files.farm_tables import ground_points_from, layer_rows, zones_from
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind
from vrxapp.ground.guidance import GuidanceLine
from vrxapp.inputs.products import typical_products
from vrxapp.inputs.seed_groups import SeedRow
from vrxapp.inputs.seed_safe_rates import SeedSoil
from vrxapp.prescription.pipeline import prescription
from vrxapp.season import HumateShare, SeasonBudget
from vrxapp.workflows.sample_farm import sample_farm
from vrxapp.workflows.sample_plan import planned_samples
from vrxapp.workflows.sample_settings import SampleSettings


@pytest.fixture(scope="module")
def sample():
    return sample_farm()


@pytest.fixture
def saved(sample, tmp_path):
    path = tmp_path / "farm.gpkg"
    write_farm(sample, path)
    return path


def planned(farm):
    season = farm.seasons[0]
    return prescription(season, season.operations[0])


def test_a_farm_comes_back_as_it_was(sample, saved):
    back = read_farm(saved)
    season, again = sample.seasons[0], back.seasons[0]
    assert repr(again.operations) == repr(season.operations)
    assert repr(back.products) == repr(sample.products)
    assert (back.name, back.machines) == (sample.name, sample.machines)
    assert (again.id, again.name, again.crop) == (season.id, season.name, season.crop)
    assert repr(again.phosphorus) == repr(season.phosphorus)
    assert again.paddock.boundary.equals_exact(season.paddock.boundary, 0.0)
    assert shapely.equals_exact(again.zones.shapes, season.zones.shapes, 0.0).all()
    assert again.tests.notes == season.tests.notes
    assert again.tests.sample_ids == season.tests.sample_ids
    assert np.array_equal(planned(back).rates_kg_ha, planned(sample).rates_kg_ha)
    assert planned(back).totals.product_kg == planned(sample).totals.product_kg


def test_a_farm_without_tests_strips_or_exclusions_comes_back(season, tmp_path):
    bare = replace(season, tests=None, strips=(), paddock=replace(season.paddock, exclusions=()))
    path = tmp_path / "bare.gpkg"
    write_farm(Farm("Bare", (bare,), typical_products(), ()), path)
    again = read_farm(path).seasons[0]
    assert (again.tests, again.strips, again.paddock.exclusions) == (None, (), ())


def test_an_estimate_is_still_one_when_it_comes_back(season, tmp_path):
    (column,) = season.tests.columns
    marked = replace(season.tests, columns=(replace(column, basis="from lb/ac"),))
    path = tmp_path / "marked.gpkg"
    write_farm(Farm("F", (replace(season, tests=marked),), typical_products(), ()), path)
    assert [c.basis for c in read_farm(path).seasons[0].tests.columns] == ["from lb/ac"]


def test_textures_come_back_and_a_sheet_without_keeps_none(season, tmp_path):
    textures = ("SL", *[""] * (len(season.tests.sample_ids) - 1))
    told = replace(season, id="told", tests=replace(season.tests, textures=textures))
    path = tmp_path / "textures.gpkg"
    write_farm(Farm("F", (season, told), typical_products(), ()), path)
    assert [s.tests.textures for s in read_farm(path).seasons] == [(), textures]


def test_locked_zones_come_back_locked(season, tmp_path):
    path = tmp_path / "locked.gpkg"
    write_farm(Farm("Farm", (lock(season, "East"),), typical_products(), ()), path)
    assert read_farm(path).seasons[0].zones.locked_ids == {"e"}


def test_a_file_from_before_zones_could_be_locked_has_none_locked(season):
    rows = {layer.name: layer for layer in layer_rows(Farm("F", (season,), (), ()))}
    zone = rows["zone"]
    rows["zone"] = replace(zone, fields=zone.fields[:3], columns=zone.columns[:3])
    assert zones_from(rows, season.id).locked_ids == frozenset()


def test_hand_made_matches_own_values_and_positions_come_back(season, sheet, tmp_path):
    table = sheet([("1", "", 20.0), ("2", "", 30.0)])
    table = replace(
        table,
        longitude_degree=np.array([149.0, np.nan]),
        latitude_degree=np.array([-35.0, np.nan]),
        depths_cm=("", "0-10"),
    )
    table.columns[0].limits[1] = "<"
    own = own_critical_value("wheat", "colwell_p", 30.0, reason="strips of ’24")
    season = match_sample(set_critical_value(replace(season, tests=table), own), "2", "East")
    path = tmp_path / "farm.gpkg"
    write_farm(Farm("Höfe", (season,), (), ()), path)
    back = read_farm(path)
    again = back.seasons[0]
    assert back.name == "Höfe"
    assert again.row_matches == season.row_matches
    assert again.phosphorus.critical == own
    assert again.tests.columns[0].limits.tolist() == ["", "<"]
    assert again.tests.longitude_degree[0] == 149.0
    assert np.isnan(again.tests.longitude_degree[1])
    assert again.tests.depths_cm == ("", "0-10")


def test_a_policy_and_a_seed_row_come_back_with_the_same_plan(season, tmp_path):
    humate = next(p for p in typical_products() if p.key == "soluble_humate")
    share = HumateShare(humate, 5.0, 2.0, FertiliserPolicy.SHARE_OFF, 0.25)
    row = SeedRow(SeedSoil.MEDIUM, 25.0, 300.0)
    operation = replace(season.operations[0], humate=share, seed_row=row)
    farm = Farm("F", (replace(season, operations=(operation,)),), (), (operation.machine,))
    write_farm(farm, tmp_path / "farm.gpkg")
    before, again = planned(farm), planned(read_farm(tmp_path / "farm.gpkg"))
    assert repr(again.operation) == repr(operation)
    assert again.cut_kg_ha[0] == before.cut_kg_ha[0] > 0
    assert again.notes == before.notes


def test_the_file_is_a_geopackage(saved):
    # handbook GPK-01 to GPK-03: application id, version, checks, registered contents
    head = saved.read_bytes()[:100]
    assert head[:16] == b"SQLite format 3\0"
    assert head[68:72] == b"GPKG"
    assert struct.unpack(">I", head[60:64])[0] >= 10_200
    with closing(sqlite3.connect(saved)) as database:
        assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []
        contents = dict(database.execute("SELECT table_name, data_type FROM gpkg_contents"))
    assert contents["zone"] == "features"
    assert contents["lab_result"] == contents["project_setting"] == "attributes"


def test_saving_again_replaces_the_older_farm(sample, saved):
    smaller = replace(sample, name="Smaller")
    write_farm(smaller, saved)
    assert read_farm(saved).name == "Smaller"
    assert [p.name for p in saved.parent.iterdir()] == ["farm.gpkg"]


def edit(path, statement, *values):
    with closing(sqlite3.connect(path)) as database, database:
        database.execute(statement, values)


@pytest.mark.parametrize(
    ("statement", "values", "said"),
    [
        ("UPDATE project_setting SET json = '99' WHERE key = 'format'", (), "newer version"),
        ("UPDATE lab_result SET value = 99 WHERE analyte = 'colwell_p'", (), "changed or damaged"),
        ("UPDATE project_setting SET json = '{}' WHERE key = 'farm'", (), "changed or damaged"),
        ("DELETE FROM zone", (), "changed or damaged"),
        ("DELETE FROM project_setting WHERE key = 'format'", (), "format number is missing"),
        ("DROP TABLE project_setting", (), "no farm file of this program"),
        ("CREATE VIEW v AS SELECT 1", (), "view or trigger"),
        (
            "CREATE TRIGGER t AFTER INSERT ON zone BEGIN SELECT 1; END",
            (),
            "view or trigger",
        ),
    ],
)
def test_a_file_that_was_tampered_with_is_refused(saved, statement, values, said):
    edit(saved, statement, *values)
    with pytest.raises(FarmFileError, match=said) as raised:
        read_farm(saved)
    assert raised.value.note.file == "farm.gpkg"
    assert raised.value.note.mend


@pytest.mark.parametrize("length", [0, 50, 4096, 40_000])
def test_a_truncated_file_is_refused(saved, length):
    saved.write_bytes(saved.read_bytes()[:length])
    with pytest.raises(FarmFileError):
        read_farm(saved)


def test_a_wrecked_page_is_noticed_or_held_nothing(saved, sample):
    # handbook GPK-05: the structure check alone misses garbage inside a page
    whole, page = saved.read_bytes(), 4096
    noticed = 0
    for start in range(0, len(whole), page):
        saved.write_bytes(whole[:start] + b"\xff" * page + whole[start + page :])
        try:
            back = read_farm(saved)
        except FarmFileError:
            noticed += 1
        else:  # a page of tables that other programs use, or an empty one
            assert repr(planned(back).rates_kg_ha) == repr(planned(sample).rates_kg_ha)
            assert back.seasons[0].paddock.boundary.equals(sample.seasons[0].paddock.boundary)
    assert noticed > len(whole) / page * 0.8


def test_text_named_gpkg_is_no_farm_file(tmp_path):
    path = tmp_path / "notes.gpkg"
    path.write_text("sow on Tuesday")
    with pytest.raises(FarmFileError, match=r"notes\.gpkg"):
        read_farm(path)


def test_a_missing_file_is_said_to_be_missing(tmp_path):
    with pytest.raises(FarmFileError, match="no such file"):
        read_farm(tmp_path / "nowhere.gpkg")


def test_a_folder_that_is_not_there_leaves_nothing(sample, tmp_path):
    with pytest.raises(WriteError):
        write_farm(sample, tmp_path / "nowhere" / "farm.gpkg")
    assert list(tmp_path.iterdir()) == []


SAVING = """
import os, signal
from pathlib import Path
from vrxapp.errors import WriteError
from vrxapp.files import farm_file
from vrxapp.season import HumateShare
from vrxapp.workflows.sample_farm import sample_farm
from vrxapp.workflows.sample_plan import planned_samples
from vrxapp.workflows.sample_settings import SampleSettings
farm, path = sample_farm(), Path({path!r})
{fault}
try:
    farm_file.write_farm(farm, path)
except WriteError as error:
    print(error)
"""


def save_with(fault, path):
    code = SAVING.format(path=str(path), fault=fault)
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)


def test_a_kill_before_the_swap_leaves_the_older_farm(saved):
    before = saved.read_bytes()
    ended = save_with("os.replace = lambda *_: os.kill(os.getpid(), signal.SIGKILL)", saved)
    assert ended.returncode == -signal.SIGKILL
    assert saved.read_bytes() == before
    assert read_farm(saved).name == "Sample farm (invented)"


@pytest.mark.parametrize("limit", [3_000, 60_000])
def test_a_full_disk_leaves_the_older_farm_and_says_so(saved, limit):
    before = saved.read_bytes()
    fault = (
        "import pyogrio, resource\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        f"resource.setrlimit(resource.RLIMIT_FSIZE, ({limit}, {limit}))"
    )
    ended = save_with(fault, saved)
    assert ended.returncode == 0, ended.stderr
    assert "farm.gpkg" in ended.stdout
    assert saved.read_bytes() == before
    assert [p.name for p in saved.parent.iterdir()] == ["farm.gpkg"]


def test_a_budget_is_kept_and_older_files_open_without_one(season, tmp_path):
    kept = replace(season, budget=SeasonBudget(5000.0, "AUD", ("op-1",)))
    path = tmp_path / "farm.gpkg"
    write_farm(Farm("Farm", (kept,), (), ()), path)
    assert read_farm(path).seasons[0].budget == kept.budget


def test_settings_of_an_older_file_without_a_budget_open(season):
    stored = StoredSeason("s", "S", "P", season.crop, season.phosphorus, (), (), None, (), ())
    text = settings_text(StoredFarm("Farm", (), (), (stored,)))
    older = json.loads(text)
    del older["seasons"][0]["budget"]
    assert settings_from(json.dumps(older), file="farm.gpkg").seasons[0].budget is None


def test_ground_points_come_back_each_to_its_season(season, tmp_path):
    points = (
        GroundPoint("Gate", GroundPointKind.GATE, 682_000.25, 6_124_000.5, "key at the house"),
        GroundPoint("Line", GroundPointKind.POWERLINE, 682_001.0, 6_124_002.0),
    )
    other = replace(season, id="t", name="Other", ground_points=points[:1])
    path = tmp_path / "points.gpkg"
    both = (replace(season, ground_points=points), other)
    write_farm(Farm("F", both, typical_products(), ()), path)
    assert [s.ground_points for s in read_farm(path).seasons] == [points, points[:1]]


def test_a_farm_file_from_before_ground_points_has_none(season):
    layers = {layer.name: layer for layer in layer_rows(Farm("F", (season,), (), ()))}
    assert "ground_point" not in layers
    assert ground_points_from(layers, season.id) == ()


def test_a_farm_file_of_the_format_before_is_still_read(sample, tmp_path):
    path = tmp_path / "older.gpkg"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("vrxapp.files.farm_file.FORMAT", 3)
        write_farm(sample, path)
    assert read_farm(path).seasons[0].paddock.name == "Long Bend"


def test_a_sample_plan_comes_back_in_walking_order(season, tmp_path):
    plan = planned_samples(season, SampleSettings(stops=3, depth_cm="0-10", seed=4))
    path = tmp_path / "planned.gpkg"
    write_farm(Farm("F", (replace(season, sample_plan=plan),), typical_products(), ()), path)
    back = read_farm(path).seasons[0].sample_plan
    for name in ("sample_ids", "zone_names", "depth_cm", "design", "seed", "walk_m", "advice"):
        assert getattr(back, name) == getattr(plan, name), name
    assert np.array_equal(back.longitude_degree, plan.longitude_degree)
    assert np.array_equal(back.latitude_degree, plan.latitude_degree)
    assert np.array_equal(back.cores, plan.cores)


def test_guidance_lines_come_back_with_what_is_not_known_of_them(season, tmp_path):
    straight = LineString([(682_000.0, 6_124_000.0), (682_900.0, 6_124_010.0)])
    curve = LineString([(682_000.0, 6_124_000.0), (682_400.0, 6_124_200.0), (682_900.0, 6.12e6)])
    lines = (
        GuidanceLine("North", "Spreader", straight, 24.0, 3.0),
        GuidanceLine("Creek", "", curve),
    )
    path = tmp_path / "lines.gpkg"
    write_farm(Farm("F", (replace(season, guidance=lines),), typical_products(), ()), path)
    back = read_farm(path).seasons[0].guidance
    assert [(g.name, g.machine) for g in back] == [("North", "Spreader"), ("Creek", "")]
    assert [g.line.equals(w.line) for g, w in zip(back, lines, strict=True)] == [True, True]
    assert (back[0].swath_m, back[0].wheel_track_m) == (24.0, 3.0)
    assert np.isnan([back[1].swath_m, back[1].wheel_track_m]).all()
