"""The verb that interprets a sheet or a season, as a person types it."""

import json
import re
from dataclasses import replace

import pytest
from click.testing import CliRunner

from vrxapp.cli.main import vrxapp
from vrxapp.errors import MissingInputError
from vrxapp.files.farm_file import write_farm
from vrxapp.soil.results_table import column_of
from vrxapp.workflows.sample_farm import sample_farm

SHEET = """\
Sample,Depth (cm),EC 1:5 (dS/m),Clay (%),Chloride (mg/kg),Exchangeable K (cmol(+)/kg)
A,0-10,0.5,30,50,0.5
B,0-10,0.5,50,700,0.1
C,0-10,0.05,30,3000,0.1
"""
OLDER = """\
Sample,Depth (cm),Chloride (mg/kg),EC 1:5 (dS/m)
A,0-10,50,0.2
B,0-10,<10,0.49
"""


@pytest.fixture
def run(monkeypatch, tmp_path):
    """A function that runs the verb in the process, with a memory of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))

    def verb(*arguments, given=None):
        words = ["interpret", *map(str, arguments)]
        ended = CliRunner().invoke(vrxapp, words, input=given)
        if ended.exception is not None and not isinstance(ended.exception, SystemExit):
            raise ended.exception
        return ended

    return verb


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "lab.csv"
    path.write_text(SHEET, "utf-8")
    return path


@pytest.fixture
def farm_file(tmp_path):
    """The sample farm, the paddock of which was tested a season before."""
    farm = sample_farm()
    now = farm.seasons[0]
    phosphorus = column_of(now.tests, "colwell_p")
    columns = (replace(phosphorus, values=phosphorus.values * 0.5),)
    older = replace(now, id="older", name="Year before", tests=replace(now.tests, columns=columns))
    path = tmp_path / "farm.gpkg"
    write_farm(replace(farm, seasons=(older, now)), path)
    return path, now.id


def test_each_class_comes_with_its_source(run, sheet):
    record = json.loads(run("--lab", sheet, "--json").stdout)
    told = {(c["place"], c["analyte"]): c for c in record["classes"]}
    # CLASS-03 and CLASS-04, rayment-lyons-2011, Table 3.1
    assert told["A", "ec_1_5"]["class"] == "high: tolerant crops cope"
    assert told["B", "ec_1_5"]["class"] == "medium: moderately tolerant crops cope"
    for c in record["classes"]:
        assert bool(c["class"]) == bool(c["source"] and c["where"] and c["grade"])
        assert bool(c["class"]) != bool(c["reason"])
    salt = told["B", "chloride"]
    assert (salt["class_number"], salt["class_count"], salt["range"]) == (4, 5, "600 to 2000 mg/kg")
    assert 0.6 < salt["position"] < 0.8


def test_a_table_shows_class_source_and_queries(run, sheet):
    told = run("--lab", sheet).stdout
    assert "A, 0-10 cm" in told
    assert "very low, 1 of 5" in told
    assert "rayment-lyons-2011" in told
    assert "no class: none is" in told  # exchangeable potassium has no published scale
    queries = told[told.index("Queries") :]
    assert "row 4" in queries
    assert "chloride" in queries.casefold()


def test_an_unverified_scale_is_marked_and_only_by_choice(run, sheet):
    assert "(unverified)" not in run("--lab", sheet).stdout
    without = json.loads(run("--lab", sheet, "--json").stdout)["classes"]
    assert all(c["grade"] == "published" for c in without if c["class"])
    told = run("--lab", sheet, "--scale", "exch-k-metson").stdout
    assert "(unverified)" in told


def test_an_older_sheet_tells_what_has_changed(run, sheet, tmp_path):
    older = tmp_path / "older.csv"
    older.write_text(OLDER, "utf-8")
    record = json.loads(run("--lab", sheet, "--before", older, "--json").stdout)
    told = {(c["place"], c["analyte"]): c["change"] for c in record["changes"]}
    assert record["since"] == "older.csv"
    assert told["A", "ec_1_5"] == "risen"
    assert told["B", "ec_1_5"] == "no change that the laboratory could tell"
    assert told["B", "chloride"].startswith("not comparable")
    assert "Since older.csv" in run("--lab", sheet, "--before", older).stdout


def test_a_season_is_compared_with_the_one_before(run, farm_file):
    path, season = farm_file
    record = json.loads(run("--farm", path, "--season", season, "--json").stdout)
    assert record["since"] == "Year before"
    topsoil = [c for c in record["changes"] if c["depth_cm"] == "0-10"]
    assert {(c["analyte"], c["change"]) for c in topsoil} == {("colwell_p", "risen")}
    assert {c["place"] for c in record["classes"]} >= {"Creek flat", "Red rise"}
    first = json.loads(run("--farm", path, "--season", "Year before", "--json").stdout)
    assert first["changes"] == []


def test_pasted_cells_are_read_from_standard_input(run):
    record = json.loads(run("--lab", "-", "--json", given=SHEET.replace(",", "\t")).stdout)
    assert record["classes"]


@pytest.mark.parametrize("both", [True, False])
def test_one_thing_is_interpreted_at_a_time(run, sheet, farm_file, both):
    with pytest.raises(MissingInputError, match="one thing"):
        run(*(("--lab", sheet, "--farm", farm_file[0]) if both else ()))


def test_help_has_an_example(run):
    assert re.search(r"Example:\n\s+vrxapp interpret", run("--help").stdout)
