"""From a boundary without a soil test to rates by zone, through verbs alone."""

import csv
import json

import pytest

from vrxapp.shipped_files import shipped_folder

SAMPLE = shipped_folder("sample_fields")
RULE = """[Mine]
analyte = "colwell_p"
test_unit = "mg/kg"
depth_cm = "0-10"
element = "P"
shape = "straight lines"
breakpoints = [0, 50]
needs_kg_ha = [25, 0]
source = "worked by hand for this test"
"""
RESULTS = {"Zone 1": 10, "Zone 2": 15, "Zone 3": 20, "Zone 4": 25, "Zone 5": 30, "Zone 6": 35}


@pytest.fixture
def run(in_terminal):
    def typed(*words):
        ended = in_terminal(*words)
        assert ended.returncode == 0, ended.stderr
        return ended.stdout

    return typed


@pytest.fixture
def farm(run, tmp_path):
    """A farm drawn from a boundary: six zones by two lines down and one across, no soil test."""
    path = tmp_path / "farm.gpkg"
    ground = ("--boundary", SAMPLE / "boundary.geojson", "--exclusions")
    run("make-zones", *ground, SAMPLE / "exclusions.geojson", "--method", "squares",
        "--hectares", 100, "--yield", 4, "--out", path)  # fmt: skip
    for zone, line in (
        ("Zone 1", "147.1980,-35.08;147.1980,-35.12"),
        ("Zone 1", "147.2015,-35.08;147.2015,-35.12"),
        *((f"Zone {number}", "147.15,-35.0995;147.25,-35.0995") for number in (1, 2, 3)),
    ):
        run("zones", "split", zone, "--farm", path, "--line", line)
    return path


def planned(run, farm, tmp_path, *words):
    """A plan kept in the farm, and its bags as the sheet for the bags lists them."""
    out = tmp_path / "plan.csv"
    page = tmp_path / "plan.html"
    run("sample-plan", "--farm", farm, "--depth", "0-10", "--keep", *words,
        "--out", out, "--out", page)  # fmt: skip
    assert "<svg" in page.read_text("utf-8")
    rows = list(csv.DictReader(out.read_text("utf-8").splitlines()))
    return {row["sample"]: row["zone"] for row in rows}


def sheet(tmp_path, results):
    """A laboratory's sheet that names nothing but the bags."""
    path = tmp_path / "results.csv"
    lines = [f"{bag},{value},80" for bag, value in results.items()]
    path.write_text("\n".join(["Sample,Colwell P (mg/kg),PBI", *lines]))
    return path


def rates(run, farm, tmp_path):
    rule = tmp_path / "rule.toml"
    rule.write_text(RULE)
    run("plan", "own", rule, "--farm", farm)
    told = json.loads(run("prescribe", "--farm", farm, "--out", tmp_path / "job", "--json"))
    return {zone["zone"]: zone["need"] for zone in told["zones"]}


def test_six_composites_become_rates_by_zone_though_a_zone_was_renamed_meanwhile(
    run, farm, tmp_path
):
    bags = planned(run, farm, tmp_path, "--stops", 5)
    assert bags == {name: name for name in RESULTS}
    run("zones", "rename", "Zone 3", "Red rise", "--farm", farm)
    run("lab", "rows", sheet(tmp_path, RESULTS), "--farm", farm, "--save")
    # the rule is a line from 25 kg P/ha at 0 mg/kg down to none at 50
    wanted = {name.replace("Zone 3", "Red rise"): 25 - v / 2 for name, v in RESULTS.items()}
    assert rates(run, farm, tmp_path) == pytest.approx(wanted)


def test_bags_that_are_only_numbered_find_their_zones_too(run, farm, tmp_path):
    bags = planned(run, farm, tmp_path, "--stops", 1, "--each-its-bag")
    assert sorted(bags) == ["S1", "S2", "S3", "S4", "S5", "S6"]
    assert sorted(bags.values()) == sorted(RESULTS)
    results = {bag: RESULTS[zone] for bag, zone in bags.items()}
    run("lab", "rows", sheet(tmp_path, results), "--farm", farm, "--save")
    told = json.loads(run("lab", "rows", tmp_path / "results.csv", "--farm", farm, "--json"))
    assert {row["layer_cm"] for row in told} == {"0-10"}
    assert all("bag of the sample plan" in row["why"] for row in told)
    wanted = {zone: 25 - v / 2 for zone, v in RESULTS.items()}
    assert rates(run, farm, tmp_path) == pytest.approx(wanted)


def test_the_kept_plan_is_written_again_as_it_was(run, farm, tmp_path):
    planned(run, farm, tmp_path, "--seed", 3)
    again = tmp_path / "again.html"
    run("sample-plan", "--farm", farm, "--kept", "--out", again)
    assert again.read_bytes() == (tmp_path / "plan.html").read_bytes()


def test_without_a_kept_plan_there_is_none_to_write(in_terminal, farm, tmp_path):
    ended = in_terminal("sample-plan", "--farm", farm, "--kept", "--out", tmp_path / "p.html")
    assert ended.returncode == 1
    assert "Make one with --keep" in ended.stderr
    assert not (tmp_path / "p.html").exists()


def test_a_kept_plan_is_dropped_at_a_word(run, in_terminal, farm, tmp_path):
    planned(run, farm, tmp_path)
    assert "keeps no sample plan" in run("sample-plan", "--farm", farm, "--drop")
    assert in_terminal("sample-plan", "--farm", farm, "--kept").returncode == 1
    assert in_terminal("sample-plan", "--farm", farm, "--drop").returncode == 1
