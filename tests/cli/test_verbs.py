"""The terminal as its users meet it: tables, JSON, plain errors, nothing overwritten."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from vrxapp.shipped_files import shipped_folder

SAMPLE = shipped_folder("sample_fields")
OWN_FILES = (
    "--boundary", SAMPLE / "boundary.geojson",
    "--zones", SAMPLE / "zones.geojson",
    "--exclusions", SAMPLE / "exclusions.geojson",
    "--strips", SAMPLE / "check_strips.geojson",
    "--lab", SAMPLE / "lab_composites.csv",
    "--yield", "4",
)  # fmt: skip


def vrxapp(*arguments, cwd=None):
    """Run the program as a user does."""
    return subprocess.run(
        [sys.executable, "-m", "vrxapp", *map(str, arguments)],
        cwd=cwd,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


def refused(ended):
    """The one sentence of a refusal."""
    assert ended.returncode == 1, ended.stderr
    assert ended.stdout == ""
    lines = [line for line in ended.stderr.splitlines() if line.startswith("Error: ")]
    assert len(lines) == 1
    assert "Traceback" not in ended.stderr
    return lines[0]


@pytest.fixture(scope="module")
def demo_folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo") / "out"
    ended = vrxapp("demo", "--out", folder)
    assert ended.returncode == 0, ended.stderr
    return folder, ended.stdout


def test_demo_says_where_the_files_are(demo_folder):
    folder, said = demo_folder
    listed = [Path(line.strip()) for line in said.splitlines() if line.startswith("  /")]
    assert [path.name for path in listed] == [
        "long_bend_map_before_sowing",
        "two_mile_sands_lime_in_summer",
        "two_mile_sands_map_before_sowing",
        "pan_block_map_before_sowing",
    ]
    for path in listed:
        written = {file.suffix for file in path.rglob("*") if file.is_file()}
        assert written >= {".shp", ".dbf", ".geojson", ".csv", ".txt"}
    assert (folder / "farm.gpkg").is_file()
    assert "invented" in said
    assert len(re.findall(r"Total: [\d,]+ kg = [\d.]+ t on [\d.]+ ha", said)) == 4
    assert said.count("Two Mile Sands\n") == 1


def test_demo_answers_programs_too(tmp_path):
    record = json.loads(vrxapp("demo", "--out", tmp_path / "out", "--json").stdout)
    assert [job["paddock"] for job in record["jobs"]] == [
        "Long Bend", "Two Mile Sands", "Two Mile Sands", "Pan Block",
    ]  # fmt: skip
    assert all(Path(path).is_file() for job in record["jobs"] for path in job["files"])


def test_demo_leaves_a_folder_that_is_there_alone(tmp_path):
    (tmp_path / "mine").write_text("mine")
    assert "mine" in refused(vrxapp("demo", "--out", tmp_path / "mine"))
    assert (tmp_path / "mine").read_text() == "mine"


def test_demo_takes_the_next_free_name(tmp_path):
    for _ in range(2):
        assert vrxapp("demo", cwd=tmp_path).returncode == 0
    assert sorted(p.name for p in tmp_path.iterdir()) == ["vrxapp-demo", "vrxapp-demo-2"]


def test_the_command_that_demo_proposes_works(demo_folder):
    _, said = demo_folder
    command = re.search(r'Next: vrxapp why "(.+)" --farm "(.+)" --paddock "(.+)"', said)
    zone, farm, paddock = command.groups()
    ended = vrxapp("why", zone, "--farm", farm, "--paddock", paddock)
    assert ended.returncode == 0, ended.stderr
    assert "Replacement: 4 t/ha × 3 kg P/t" in ended.stdout
    assert "Sources" in ended.stdout


def test_why_answers_programs_too(demo_folder):
    folder, _ = demo_folder
    ended = vrxapp("why", "red RISE", "--farm", folder / "farm.gpkg", "--paddock", "long bend",
                   "--json")  # fmt: skip
    steps = json.loads(ended.stdout)
    assert steps[0]["text"].startswith("Colwell P is 14 mg/kg")
    assert any(step["grade"] == "published" for step in steps)


def test_prescribe_writes_what_it_says(tmp_path):
    ended = vrxapp("prescribe", *OWN_FILES, "--out", tmp_path / "job", "--json")
    assert ended.returncode == 0, ended.stderr
    record = json.loads(ended.stdout)
    assert all(Path(path).is_file() for path in record["files"])
    assert {back["reader"].split()[0] for back in record["read_back"]} == {"pyshp", "GDAL"}
    for back in record["read_back"]:
        assert back["written_kg"] == pytest.approx(record["product_kg"], rel=1e-3)
    assert record["cost"] is None  # the typical product has no price


def test_a_saved_farm_gives_the_same_plan(tmp_path):
    farm = tmp_path / "farm.gpkg"
    first = vrxapp("prescribe", *OWN_FILES, "--build-up-factor", "3", "--build-up-years", "3",
                   "--out", tmp_path / "a", "--save-farm", farm, "--json")  # fmt: skip
    again = vrxapp("prescribe", "--farm", farm, "--out", tmp_path / "b", "--json")
    first, again = json.loads(first.stdout), json.loads(again.stdout)
    assert again["zones"] == first["zones"]
    assert again["product_kg"] == pytest.approx(first["product_kg"], rel=1e-12)


def test_the_georeferenced_sheet_is_joined_by_position(tmp_path):
    files = [SAMPLE / "lab_georeferenced.csv" if "composites" in str(f) else f for f in OWN_FILES]
    ended = vrxapp("prescribe", *files, "--out", tmp_path / "job", "--json")
    zones = json.loads(ended.stdout)["zones"]
    assert all(zone["reason"] == "" for zone in zones)
    told = vrxapp("why", "Red rise", *files)
    assert re.search(r"the mean of \d+ samples \(standard error", told.stdout)


def test_a_sheet_is_matched_by_hand(tmp_path):
    lab = tmp_path / "lab.csv"
    lab.write_text("Sample,Colwell P (mg/kg)\nX1,20\n")
    files = [lab if "composites" in str(f) else f for f in OWN_FILES]
    told = vrxapp("why", "Red rise", *files, "--match", "X1=Red rise")
    assert "Colwell P is 20 mg/kg" in told.stdout


def test_an_unverified_value_says_so_and_ones_own_is_ones_own():
    curve = vrxapp("why", "Red rise", *OWN_FILES, "--critical", "wheat-pbi-curve")
    assert "from memory, unverified" in curve.stdout
    own = vrxapp("why", "Red rise", *OWN_FILES, "--own-critical", "25",
                 "--own-critical-reason", "ten years of strips")  # fmt: skip
    assert "ten years of strips" in own.stdout
    assert "the agronomist's own" in own.stdout


def test_without_a_factor_build_up_is_left_out_and_says_why():
    told = vrxapp("why", "Red rise", *OWN_FILES)
    assert "Build-up is left out: no factor has been chosen" in told.stdout


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "--boundary"),
        (("--boundary", "nowhere.geojson", "--yield", "4"), "nowhere.geojson"),
        (("--boundary", SAMPLE / "boundary.geojson"), "--yield"),
        ((*OWN_FILES, "--product", "sand"), "triple_superphosphate"),
        ((*OWN_FILES, "--match", "A1"), "SAMPLE=ZONE"),
        ((*OWN_FILES, "--match", "A9=Red rise"), "A9"),
        ((*OWN_FILES, "--cap", "-5"), "cap"),
        ((*OWN_FILES, "--swath", "0"), "swath"),
        ((*OWN_FILES, "--own-critical", "30"), "reason"),
        (("--farm", SAMPLE / "products.csv"), "products.csv"),
        ((*OWN_FILES, "--lab", SAMPLE / "zones.geojson"), "zones.geojson"),
    ],
)
def test_a_mistake_is_one_plain_sentence_and_nothing_is_written(tmp_path, arguments, said):
    ended = vrxapp("prescribe", *arguments, "--out", tmp_path / "job")
    assert said in refused(ended)
    assert list(tmp_path.iterdir()) == []


def test_an_unknown_zone_lists_the_zones():
    assert "Creek flat" in refused(vrxapp("why", "Moon", *OWN_FILES))


def test_what_stands_there_is_replaced_only_when_told(tmp_path):
    job, farm = tmp_path / "job", tmp_path / "farm.gpkg"
    job.mkdir()
    farm.write_text("mine")
    assert "job" in refused(vrxapp("prescribe", *OWN_FILES, "--out", job))
    saved = ("prescribe", *OWN_FILES, "--out", tmp_path / "new", "--save-farm", farm)
    assert "farm.gpkg" in refused(vrxapp(*saved))
    assert farm.read_text() == "mine"
    assert not (tmp_path / "new").exists()
    assert vrxapp(*saved, "--replace").returncode == 0
    assert farm.read_bytes().startswith(b"SQLite")


@pytest.mark.parametrize("verb", ["demo", "prescribe", "why"])
def test_each_verb_has_help_with_an_example(verb):
    said = vrxapp(verb, "--help").stdout
    assert re.search(rf"Example:\n\s+vrxapp {verb}", said)


@pytest.mark.parametrize("verb", ["demo", "prescribe", "why"])
def test_the_example_of_the_help_runs(verb, tmp_path, demo_folder):
    text = vrxapp(verb, "--help").stdout.split("Example:\n", 1)[1].split("\n\n", 1)[0]
    words = re.findall(r'"[^"]*"|\S+', text.replace("\\\n", " "))
    for file in SAMPLE.glob("*.*"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    (tmp_path / "farm.gpkg").write_bytes((demo_folder[0] / "farm.gpkg").read_bytes())
    ended = vrxapp(*(word.strip('"') for word in words[1:]), cwd=tmp_path)
    assert ended.returncode == 0, ended.stderr


@pytest.mark.parametrize("verb", [("why", "Long sand"), ("prescribe", "--out", "job")])
def test_a_farm_of_several_paddocks_asks_which(verb, tmp_path, demo_folder):
    farm = demo_folder[0] / "farm.gpkg"
    said = refused(vrxapp(*verb, "--farm", farm, cwd=tmp_path))
    assert "--paddock" in said
    assert "Long Bend, Two Mile Sands, Pan Block" in said
    assert "Long Bend" in refused(vrxapp(*verb, "--farm", farm, "--paddock", "Moon", cwd=tmp_path))
    ended = vrxapp(*verb, "--farm", farm, "--paddock", "two mile sands", cwd=tmp_path)
    assert ended.returncode == 0, ended.stderr


def test_the_passes_of_a_paddock_are_listed_by_its_name(demo_folder):
    farm = demo_folder[0] / "farm.gpkg"
    assert "Pan Block" in refused(vrxapp("operation", "list", "--farm", farm))
    listed = vrxapp("operation", "list", "--farm", farm, "--paddock", "Two Mile Sands", "--json")
    assert [o["purpose"] for o in json.loads(listed.stdout)] == ["lime", "phosphorus"]
