"""`vrxapp zones`: the farm file is changed by one verb after the other, and by errors never."""

import json
import re
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.shipped_files import shipped_folder
from vrxapp.workflows.sample_farm import sample_farm

VERBS = (
    "list",
    "worth",
    "split",
    "merge",
    "rename",
    "lock",
    "unlock",
    "mend",
    "whole",
    "from-file",
    "draw",
    "cut",
    "move-corner",
    "add-corner",
    "remove-corner",
)
SAMPLE = shipped_folder("sample_fields")


def vrxapp(*arguments):
    return subprocess.run(
        [sys.executable, "-m", "vrxapp", *map(str, arguments)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


@pytest.fixture
def farm(tmp_path):
    """One paddock of the sample farm in a file."""
    path, whole = tmp_path / "farm.gpkg", sample_farm()
    write_farm(replace(whole, seasons=whole.seasons[:1]), path)
    return path


def listed(farm):
    ended = vrxapp("zones", "list", "--farm", farm, "--json")
    assert ended.returncode == 0, ended.stderr
    return {record["zone"]: record for record in json.loads(ended.stdout)}


def line_across(zone):
    """A line in degrees from west to east through a zone of the sample farm."""
    season = sample_farm().seasons[0]
    row = season.zones.names.index(zone)
    shape = transformed(
        season.zones.shapes[row : row + 1].copy(), from_crs=season.paddock.crs, to_crs=LON_LAT
    )[0]
    west, _, east, _ = shape.bounds
    latitude = shape.representative_point().y
    return f"{west - 0.01:.7f},{latitude:.7f};{east + 0.01:.7f},{latitude:.7f}"


def test_a_zone_is_split_renamed_locked_and_merged_again(farm):
    before = listed(farm)
    ended = vrxapp("zones", "split", "Red rise", "--farm", farm, "--line", line_across("Red rise"))
    assert ended.returncode == 0, ended.stderr
    after = listed(farm)
    assert {"Red rise", "Red rise 2"} <= set(after)
    total = sum(record["area_ha"] for record in after.values())
    assert total == pytest.approx(sum(r["area_ha"] for r in before.values()), abs=1e-3)
    assert vrxapp("zones", "rename", "red rise 2", "Gravel cap", "--farm", farm).returncode == 0
    assert vrxapp("zones", "lock", "Gravel cap", "--farm", farm).returncode == 0
    assert listed(farm)["Gravel cap"]["locked"]
    refused = vrxapp("zones", "merge", "Red rise", "Gravel cap", "--farm", farm)
    assert refused.returncode == 1
    assert "'Gravel cap' is locked" in refused.stderr
    assert "Traceback" not in refused.stderr
    assert vrxapp("zones", "unlock", "Gravel cap", "--farm", farm).returncode == 0
    merged = [name for name in listed(farm) if name.startswith("Red rise") or name == "Gravel cap"]
    assert vrxapp("zones", "merge", *merged, "--farm", farm).returncode == 0
    again = listed(farm)
    assert set(again) == set(before)
    assert again["Red rise"]["area_ha"] == pytest.approx(before["Red rise"]["area_ha"], abs=1e-4)


def square(zone, half_m):
    """A square round a point inside a zone, and its middle, in degrees."""
    from vrxapp.ground.projected_crs import LON_LAT, transformed_xy

    season = sample_farm().seasons[0]
    middle = season.zones.shapes[season.zones.names.index(zone)].representative_point()
    corners = np.array([(0, 0), (-1, -1), (1, -1), (1, 1), (-1, 1)]) * half_m
    x, y = (corners + np.array([middle.x, middle.y])).T
    x, y = transformed_xy(x, y, from_crs=season.paddock.crs, to_crs=LON_LAT)
    told = [f"{lon:.9f},{lat:.9f}" for lon, lat in zip(x, y, strict=True)]
    return told[0], told[1:]


@pytest.mark.parametrize("words", [("draw",), ("cut", "Red rise")])
def test_a_zone_is_drawn_or_cut_out_by_its_corners(farm, words):
    before = listed(farm)
    _, corners = square("Red rise", 40.0)
    ended = vrxapp("zones", *words, "--farm", farm, "--outline", ";".join(corners), "--name", "Cap")
    assert ended.returncode == 0, ended.stderr
    after = listed(farm)
    assert after["Cap"]["area_ha"] == pytest.approx(0.64, abs=2e-3)  # 80 m x 80 m
    total = sum(record["area_ha"] for record in after.values())
    assert total == pytest.approx(sum(r["area_ha"] for r in before.values()), abs=1e-3)


def test_a_corner_is_moved_put_in_and_taken_out(farm):
    middle, corners = square("Red rise", 40.0)
    vrxapp("zones", "draw", "--farm", farm, "--outline", ";".join(corners), "--name", "Cap")
    whole = listed(farm)["Cap"]["area_ha"]
    ended = vrxapp("zones", "move-corner", "--farm", farm, "--at", corners[0], "--to", middle)
    assert ended.returncode == 0, ended.stderr
    # a triangle of 80 m by 40 m on each side of the diagonal is gone
    assert listed(farm)["Cap"]["area_ha"] == pytest.approx(whole / 2.0, abs=2e-3)
    assert vrxapp("zones", "remove-corner", "--farm", farm, "--at", middle).returncode == 0
    assert listed(farm)["Cap"]["area_ha"] == pytest.approx(whole / 2.0, abs=2e-3)
    lon, lat = np.mean([[float(n) for n in c.split(",")] for c in corners[1:3]], axis=0).tolist()
    put_in = vrxapp("zones", "add-corner", "--farm", farm, "--at", f"{lon:.9f},{lat:.9f}")
    assert put_in.returncode == 0, put_in.stderr
    assert "Nothing to change" not in put_in.stdout


def test_exclusions_are_left_out_of_what_is_to_be_spread(farm):
    records = listed(farm).values()
    assert any(r["spreadable_ha"] < r["area_ha"] - 0.1 for r in records)
    assert all(r["spreadable_ha"] <= r["area_ha"] for r in records)


def test_zones_are_taken_from_a_file_and_what_was_mended_is_told(farm, tmp_path):
    made = json.loads((SAMPLE / "zones.geojson").read_text("utf-8"))
    made["features"] = made["features"][:3]
    path = tmp_path / "three.geojson"
    path.write_text(json.dumps(made))
    ended = vrxapp("zones", "from-file", path, "--farm", farm)
    assert ended.returncode == 0, ended.stderr
    assert "of the paddock lay in no zone" in ended.stderr
    zones = read_farm(farm).seasons[0].zones
    assert "Rest of the paddock" in zones.names
    again = vrxapp("zones", "mend", "--farm", farm)
    assert "Nothing to change" in again.stdout


def test_beginning_anew_leaves_one_zone(farm):
    assert vrxapp("zones", "whole", "--farm", farm).returncode == 0
    assert set(listed(farm)) == {"Whole paddock"}


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("split", "Nowhere", "--line", "149,-35;149.1,-35"), "no zone is called 'Nowhere'"),
        (("split", "Red rise", "--line", "149;-35"), "cannot read '149;-35' as 2 or more points"),
        (("cut", "Red rise", "--outline", "149,-35;149,-36"), "as 3 or more points"),
        (("add-corner", "--at", "-35,149"), "as a point"),
        (("move-corner", "--at", "149,-35", "--to", "149,-36"), "corner"),
        (("split", "Red rise", "--line", "149,-35;149.001,-35"), "does not divide"),
        (("draw", "--outline", "140,-35;140.1,-35;140,-35.1"), "takes no ground from a zone"),
        (("cut", "Nowhere", "--outline", "149,-35;149.1,-35;149,-35.1"), "no zone is called"),
        (("rename", "Red rise", "CREEK flat"), "more than one zone"),
        (("merge", "Red rise", "Nowhere"), "Choose one of: Creek flat"),
        (("from-file", "missing.geojson"), "missing.geojson"),
    ],
)
def test_an_error_is_one_plain_sentence_and_the_farm_stays_as_it_was(farm, arguments, told):
    before = farm.read_bytes()
    ended = vrxapp("zones", *arguments, "--farm", farm)
    assert ended.returncode == 1
    assert told in ended.stderr
    assert "Traceback" not in ended.stderr
    assert farm.read_bytes() == before


@pytest.mark.parametrize("verb", VERBS)
def test_each_verb_has_help_with_an_example(verb):
    help_text = vrxapp("zones", *verb.split(), "--help").stdout
    assert re.search(rf"Example:\n\s+vrxapp zones {verb}", help_text)


def test_worth_tells_each_test_and_layer_in_words_and_as_records(farm):
    sheet = SAMPLE / "lab_georeferenced.csv"
    ended = vrxapp("zones", "worth", "--farm", farm, "--lab", sheet)
    assert ended.returncode == 0, ended.stderr
    said = ended.stdout.splitlines()
    assert len(said) == 5
    assert said[0].startswith("The zones explain 90 % of the variance of Colwell P in 36 samples")
    ended = vrxapp("zones", "worth", "--farm", farm, "--lab", sheet, "--of", "pbi", "--json")
    (record,) = json.loads(ended.stdout)
    assert (record["name"], record["kind"], record["count"]) == ("pbi", "test", 36)
    assert 0.9 < record["adjusted_share"] < record["share"] < 1.0


def test_worth_of_something_unknown_lists_what_there_is(farm):
    ended = vrxapp("zones", "worth", "--farm", farm, "--of", "nothing_such")
    assert ended.returncode == 1
    assert "no map layer 'nothing_such'" in ended.stderr
    assert "Apparent conductivity" in ended.stderr
