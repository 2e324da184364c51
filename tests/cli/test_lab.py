"""The lab verbs as a person types them."""

import json

import pytest
from click.testing import CliRunner

from vrxapp.cli.main import vrxapp
from vrxapp.errors import MissingInputError, UnknownChoiceError, VrxError
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.workflows.sample_farm import sample_farm

SHEET = """\
Report of analysis;;;
Mark;P;PBI;pH (CaCl2)
LB creek 0-10;31;95;5,6
LB sandy 0-10;23;120;4,5
Q7;18;210;5,0
"""
TOLD = ("--column", "Mark=sample", "--column", "P=colwell_p [mg/kg]")


@pytest.fixture
def run(monkeypatch, tmp_path):
    """A function that runs a verb in the process, with a memory of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))

    def verb(*arguments, given=None):
        ended = CliRunner().invoke(vrxapp, list(map(str, arguments)), input=given)
        if ended.exception is not None and not isinstance(ended.exception, SystemExit):
            raise ended.exception
        return ended

    return verb


@pytest.fixture
def sheet(tmp_path):
    """Three composites without coordinates, depth and paddock inside the name."""
    path = tmp_path / "lab.csv"
    path.write_text(SHEET, "utf-8")
    return path


@pytest.fixture
def farm(tmp_path):
    """The sample farm in a file."""
    path = tmp_path / "farm.gpkg"
    write_farm(sample_farm(), path)
    return path


def test_columns_shows_the_guess_and_changes_nothing(run, sheet, tmp_path):
    record = json.loads(run("lab", "columns", sheet, "--json").stdout)
    assert [column["use"] for column in record["columns"]] == [
        "",
        "",
        "Phosphorus buffering index",
        "pH in calcium chloride",
    ]
    assert record["columns"][1]["first_values"] == ["31", "23", "18"]
    assert "Colwell or Olsen" in record["columns"][1]["doubt"]
    assert not (tmp_path / "data").exists()


def test_columns_put_right_once_are_remembered_until_forgotten(run, sheet):
    ended = run("lab", "columns", sheet, *TOLD)
    assert "Read 3 rows" in ended.stderr
    assert "Colwell P, mg/kg" in ended.stdout
    assert json.loads(run("lab", "columns", sheet, "--json").stdout)["remembered"]
    needed = run("needs", "--lab", sheet, "--yield", "4", "--json")
    assert len(json.loads(needed.stdout)) == 3
    assert "Forgotten" in run("lab", "columns", sheet, "--forget").stderr
    with pytest.raises(VrxError):
        run("needs", "--lab", sheet, "--yield", "4")


def test_a_layout_that_cannot_be_read_is_not_kept(run, sheet):
    with pytest.raises(VrxError, match="sample"):
        run("lab", "columns", sheet, "--column", "P=colwell_p [mg/kg]")
    assert not json.loads(run("lab", "columns", sheet, "--json").stdout)["remembered"]


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ("P", "NAME=USE"),
        ("Boron=sample", "Choose one of: Mark, P"),
        ("P=phosphorus", "colwell_p"),
        ("P=colwell_p [dS/m]", "mg/kg"),
    ],
)
def test_a_column_that_cannot_be_so_is_refused_in_words(run, sheet, told, said):
    with pytest.raises((MissingInputError, UnknownChoiceError)) as caught:
        run("lab", "columns", sheet, "--column", told)
    assert said in str(caught.value)


def test_rows_proposes_and_saves_what_was_confirmed(run, sheet, farm):
    run("lab", "columns", sheet, *TOLD)
    before = farm.read_bytes()
    shown = json.loads(run("lab", "rows", sheet, "--farm", farm, "--json").stdout)
    assert [(r["paddock"], r["zone"], r["layer_cm"]) for r in shown[:2]] == [
        ("Long Bend", "Creek flat", "0-10"),
        ("Long Bend", "Sandy top", "0-10"),
    ]
    assert (shown[2]["zone"], shown[2]["layer_cm"]) == ("", "")
    assert farm.read_bytes() == before
    told = ("--row", "Q7=Long Bend/Red rise@0-10", "--row", "4=-")
    saved = run("lab", "rows", sheet, "--farm", farm, *told, "--save")
    assert "2 of 3 rows left out" in saved.stderr  # one as told, one only proposed
    run("lab", "rows", sheet, "--farm", farm, "--row", "Q7=Long Bend/Red rise@0-10", "--save",
        "--take-proposals")  # fmt: skip
    season = next(s for s in read_farm(farm).seasons if s.paddock.name == "Long Bend")
    assert season.tests.sample_ids == ("LB creek 0-10", "LB sandy 0-10", "Q7")
    assert season.tests.zone_names == ("Creek flat", "Sandy top", "Red rise")
    again = json.loads(run("lab", "rows", sheet, "--farm", farm, "--json").stdout)
    assert again[2]["zone"] == "Red rise"
    assert "as last time" in again[2]["why"]


def test_cells_are_pasted_through_standard_input(run, farm):
    cells = "Sample\tColwell P (mg/kg)\tPBI\nCreek flat 0-10\t9\t80\n"
    shown = json.loads(run("lab", "rows", "-", "--farm", farm, "--json", given=cells).stdout)
    assert shown[0]["zone"] == "Creek flat"
    needed = run("needs", "--lab", "-", "--yield", "4", "--json", given=cells)
    assert json.loads(needed.stdout)[0]["sample"] == "Creek flat 0-10"


def test_results_are_typed_in(run, farm):
    run(
        "lab", "type", "--farm", farm, "--result", "A1@0-10: colwell_p 12, pbi 80",
        "--row", "A1=Long Bend/Creek flat", "--save",
    )  # fmt: skip
    season = next(s for s in read_farm(farm).seasons if s.paddock.name == "Long Bend")
    assert season.tests.sample_ids == ("A1",)
    for typed, said in (("A1 colwell_p", "SAMPLE@LAYER"), ("A1: nonsense 3", "nonsense")):
        with pytest.raises(VrxError, match=said):
            run("lab", "type", "--farm", farm, "--result", typed)


def test_an_unknown_sample_or_zone_is_refused_and_nothing_is_saved(run, sheet, farm):
    run("lab", "columns", sheet, *TOLD)
    before = farm.read_bytes()
    for told in ("Nobody=Creek flat", "Q7=Long Bend/Nowhere", "Q7"):
        with pytest.raises((MissingInputError, UnknownChoiceError)):
            run("lab", "rows", sheet, "--farm", farm, "--row", told, "--save")
    assert farm.read_bytes() == before


def test_without_a_lab_sheet_needs_says_what_to_give(run):
    with pytest.raises(MissingInputError, match="--lab FILE"):
        run("needs", "--yield", "4")


def test_results_by_area_are_read_once_their_mass_is_told(run, tmp_path):
    path = tmp_path / "area.csv"
    path.write_text("Sample,Depth (cm),Colwell P (lb/ac)\nA,0-10,60\n", "utf-8")
    with pytest.raises(VrxError, match="--acre-convention"):
        run("interpret", "--lab", path)
    run("lab", "columns", path, "--acre-convention")
    record = json.loads(run("interpret", "--lab", path, "--json").stdout)
    (told,) = record["classes"]
    assert (told["value"], told["is_estimate"]) == (30.0, True)
    run("lab", "columns", path, "--bulk-density", "1.3")
    (told,) = json.loads(run("interpret", "--lab", path, "--json").stdout)["classes"]
    assert told["value"] == pytest.approx(51.73, rel=1e-3)
