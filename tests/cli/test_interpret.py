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


def classes(ended):
    found = json.loads(ended.stdout)["classes"]
    return {(c["place"], c["analyte"]): c for c in found}


PHOSPHORUS = """\
Sample,Depth (cm),Colwell P (mg/kg),Mehlich-3 P (mg/kg),Organic carbon (%),Chloride (mg/kg)
A,0-10,17,17,1.6,50
B,0-10,40,17,1.6,50
"""


@pytest.fixture
def phosphorus(tmp_path):
    path = tmp_path / "phosphorus.csv"
    path.write_text(PHOSPHORUS, "utf-8")
    return path


OWN = ("--crop", "wheat", "--own-critical", 34, "--own-critical-reason", "our strips")


def test_a_result_below_ones_own_critical_value_stands_with_the_problems(run, phosphorus):
    told = classes(run("--lab", phosphorus, *OWN, "--json"))
    standing = told["A", "colwell_p"]["standing"]
    assert standing["text"] == "below the critical value of 34 mg/kg (wheat, your own)"
    assert (standing["low"], standing["grade"]) == (34.0, "the agronomist's own")
    assert (standing["where"], standing["source"]) == ("our strips", "")
    assert next(key for place, key in told if place == "A") == "colwell_p"
    assert told["B", "colwell_p"]["standing"]["side"] == "above"
    assert next(key for place, key in told if place == "B") != "colwell_p"
    assert "(wheat, your" in run("--lab", phosphorus, *OWN).stdout


def test_no_other_method_gets_that_value(run, phosphorus):
    told = classes(run("--lab", phosphorus, *OWN, "--json"))
    assert told["A", "mehlich3_p"]["standing"] is None
    assert told["A", "mehlich3_p"]["class"] == ""
    other = classes(run("--lab", phosphorus, *OWN, "--own-critical-test", "mehlich3_p", "--json"))
    assert other["A", "mehlich3_p"]["standing"]["side"] == "below"
    assert other["A", "colwell_p"]["standing"] is None


def test_a_crop_brings_its_published_value_and_no_crop_none(run, phosphorus):
    told = classes(run("--lab", phosphorus, "--crop", "wheat", "--json"))
    # bell-2013: 19 to 27 mg/kg, the default of wheat
    assert told["A", "colwell_p"]["standing"]["text"] == (
        "below the critical range of 19 to 27 mg/kg (wheat, most Australian soils)"
    )
    assert classes(run("--lab", phosphorus, "--json"))["A", "colwell_p"]["standing"] is None


def test_a_value_without_a_crop_is_refused(run, phosphorus):
    with pytest.raises(MissingInputError, match="none is named"):
        run("--lab", phosphorus, *OWN[2:])


def test_a_season_brings_its_own_value(run, farm_file):
    path, season = farm_file
    found = json.loads(run("--farm", path, "--season", season, "--json").stdout)["classes"]
    ours = [c for c in found if (c["place"], c["analyte"]) == ("Creek flat", "colwell_p")]
    by_layer = {c["depth_cm"]: c["standing"] for c in ours}
    standing = by_layer.pop("0-10")
    assert (standing["side"], standing["purpose"]) == ("below", "phosphorus")
    # the value was made for 0-10 cm, so no deeper layer is held against it
    assert by_layer
    assert set(by_layer.values()) == {None}


def test_a_value_beside_that_of_a_season_is_refused(run, farm_file):
    with pytest.raises(MissingInputError, match="of its own"):
        run("--farm", farm_file[0], "--season", farm_file[1], *OWN)


def test_an_estimate_is_marked_with_its_range_source_and_grade(run, sheet):
    told = classes(run("--lab", sheet, "--json"))["A", "ec_e"]
    assert told["is_estimate"]
    # ECE-04 is the least of the lines at 0.5 dS/m, 6.5 x the most
    assert (told["low"], told["high"]) == (pytest.approx(2.103), pytest.approx(3.25))
    assert told["worked_out_by"] == "rayment-lyons-2011; published"
    printed = run("--lab", sheet).stdout
    assert "~2.1 to 3.25 dS/m" in printed
    assert "(rayment-lyons-2011; published)" in printed


def test_unverified_factors_and_losses_are_told_only_once_asked_for(run, sheet):
    plain = run("--lab", sheet, "--crop", "wheat", "--texture", "loam", "--json").stdout
    assert "unverified" not in plain
    asked = classes(
        run("--lab", sheet, "--crop", "wheat", "--texture", "loam", "--ece", "texture",
            "--salt-loss", "--json")
    )["A", "ec_e"]  # fmt: skip
    assert asked["value"] == pytest.approx(4.75)  # ECE-01: 9.5 x 0.5
    assert "from memory, unverified" in asked["worked_out_by"]
    assert "nothing is lost up to 6 dS/m" in asked["salt_loss"]
    assert "from memory, unverified" in asked["salt_loss"]


def test_a_range_of_salt_is_a_range_of_loss(run, tmp_path):
    path = tmp_path / "salty.csv"
    path.write_text("Sample,Depth (cm),EC 1:5 (dS/m)\nA,0-10,1.5\n", "utf-8")
    told = classes(run("--lab", path, "--crop", "wheat", "--salt-loss", "--json"))["A", "ec_e"]
    # Shaw 8.18 dS/m to Loveday 9.75: 100 - 7.1 x 3.75 = 73.4 and 100 - 7.1 x 2.183 = 84.5
    assert "would yield 73 to 85 %" in told["salt_loss"]
    printed = run("--lab", path, "--crop", "wheat", "--salt-loss").stdout
    assert "A, 0-10 cm: Wheat (unverified) would yield 73 to 85 %" in printed
    assert "In soil that holds gypsum, plants bear about 2 dS/m more" in printed


def test_total_carbon_follows_from_a_factor(run, phosphorus):
    told = classes(run("--lab", phosphorus, "--carbon-factor", 1.08, "--json"))
    assert told["A", "total_oc"]["value"] == pytest.approx(1.728)


def test_replicates_tell_how_likely_each_class_is(run, tmp_path):
    path = tmp_path / "repeats.csv"
    path.write_text(
        "Sample,Depth (cm),Replicate,Colwell P (mg/kg)\nA,0-10,1,29\nA,0-10,2,31\n", "utf-8"
    )
    found = json.loads(run("--lab", path, *OWN, "--json").stdout)["classes"]
    chances = {c["class"]: c["chance"] for c in found[0]["chances"]}
    # mean 30, with the laboratory's 13.8 % a standard error of 4.26: 34 lies 0.94 of it above
    assert chances["below"] == pytest.approx(0.826, abs=0.005)
    assert sum(chances.values()) == pytest.approx(1.0)
    assert found[0]["chances_from"].startswith("2 results, mean 30 mg/kg, standard error 1 mg/kg")
    printed = run("--lab", path, *OWN).stdout
    assert "chance 83 %" in printed
    assert printed.count("below 83 %, above 17 %") == 1  # once for both replicates


def test_pasted_cells_are_read_from_standard_input(run):
    record = json.loads(run("--lab", "-", "--json", given=SHEET.replace(",", "\t")).stdout)
    assert record["classes"]


@pytest.mark.parametrize("both", [True, False])
def test_one_thing_is_interpreted_at_a_time(run, sheet, farm_file, both):
    with pytest.raises(MissingInputError, match="one thing"):
        run(*(("--lab", sheet, "--farm", farm_file[0]) if both else ()))


def test_help_has_an_example(run):
    assert re.search(r"Example:\n\s+vrxapp interpret", run("--help").stdout)


def test_each_sample_is_classed_by_its_own_texture(verb, tmp_path):
    lab = tmp_path / "salt.csv"
    lab.write_text("Sample,Texture,EC 1:5 (dS/m)\nA,SL,0.5\nB,Heavy clay,0.5\nC,,0.5\n")
    code, out, _ = verb("interpret", "--lab", lab, "--json")
    assert code == 0
    classes = {
        line["place"]: line["class"]
        for line in json.loads(out)["classes"]
        if line["analyte"] == "ec_1_5"
    }
    assert classes["A"] != classes["B"]
    assert "" not in (classes["A"], classes["B"])
