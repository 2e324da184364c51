"""Leaf tests, the budget and the next sample in the terminal."""

import json

import pytest
from click.testing import CliRunner

from vrxapp.cli.main import vrxapp
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.prescription.pipeline import prescription
from vrxapp.workflows.sample_farm import sample_farm


def run(*arguments):
    ended = CliRunner().invoke(vrxapp, [str(a) for a in arguments])
    if ended.exception is not None and not isinstance(ended.exception, SystemExit):
        raise ended.exception
    return ended


@pytest.fixture
def farm(tmp_path):
    path = tmp_path / "farm.gpkg"
    write_farm(sample_farm(), path)
    return path


@pytest.fixture
def leaves(tmp_path):
    path = tmp_path / "leaves.csv"
    path.write_text("Sample,Cu (mg/kg),Zn (mg/kg),N (%)\nA1,1.5,30,3\nA2,4,90,3\n", "utf-8")
    return path


PADDOCK = ("--paddock", "Long Bend")
WHEAT = ("--crop", "wheat", "--part", "young_leaf", "--stage", "25")


def test_leaf_tells_each_class_with_its_range_source_and_action(leaves):
    record = json.loads(run("leaf", leaves, *WHEAT, "--json").stdout)
    zinc = next(r for r in record["results"] if r["sample"] == "A2" and r["nutrient"] == "Zn")
    assert zinc["class"] == "high"
    assert zinc["source"] == "cimmyt-wheat, Table 1; published"
    assert zinc["cut_percent"] == 25.0
    nitrogen = next(r for r in record["results"] if r["nutrient"] == "N")
    assert nitrogen["class"] == ""
    assert "Ranges were made for" in nitrogen["reason"]


def test_leaf_prints_a_table_the_ranges_the_advice_and_the_sources(leaves):
    told = run("leaf", leaves, *WHEAT).stdout
    for part in (
        "marginal",
        "Zn: deficient below 12, adequate from 15, high above 70, toxic from 200 mg/kg",
        "No class for N",
        "A1, Cu (marginal): Give the planned corrective rate.",
        "Wheat doctor",
    ):
        assert part in told


def test_leaf_tells_what_whole_tops_hold(tmp_path):
    path = tmp_path / "tops.csv"
    path.write_text("Sample,P (%)\nA1,0.3\n", "utf-8")
    tops = ("--crop", "wheat", "--part", "whole_shoot", "--stage", "31", "--dry-matter", 2)
    record = json.loads(run("leaf", path, *tops, "--json").stdout)
    assert record["results"][0]["uptake_kg_ha"] == pytest.approx(6.0)  # 2 t/ha at 0.3 %
    assert "A1: the tops hold P 6 kg/ha" in run("leaf", path, *tops).stdout


def test_leaf_hints_at_phosphorus_that_keeps_zinc_down(tmp_path):
    path = tmp_path / "ear_leaves.csv"
    path.write_text("Sample,P (%),Zn (mg/kg)\nA1,0.6,12\n", "utf-8")
    maize = ("--crop", "maize", "--part", "ear_leaf", "--stage", "tassel to silk")
    named = (*maize, "--source", "campbell-2000")
    record = json.loads(run("leaf", path, *named, "--json").stdout)
    assert record["phosphorus_may_keep_zinc_down"] == ["A1"]
    assert "hold phosphorus back before you add zinc" in run("leaf", path, *named).stdout


def test_leaf_without_a_stage_lists_the_stages_there_are(leaves):
    with pytest.raises(UnknownChoiceError, match="Zadoks 30"):
        run("leaf", leaves, "--crop", "wheat", "--part", "young_leaf")


def test_budget_shows_what_falls_short_and_saves_only_when_told(farm):
    record = json.loads(run("budget", "--farm", farm, *PADDOCK, "--money", 5000, "--json").stdout)
    (only,) = record["operations"]
    assert record["full_cost"] == pytest.approx(8091, abs=1)
    assert record["cost"] <= 5000
    creek = next(zone for zone in only["zones"] if zone["zone"] == "Creek flat")
    assert (creek["full_kg_ha"], creek["rate_kg_ha"]) == (89.0, 55.0)
    # 19.5 kg P/ha needed, 55 kg/ha of 22 % bring 12.1; in full 0.08 more than needed
    assert creek["short"] == pytest.approx(7.4)
    assert read_farm(farm).seasons[0].budget is None


def test_a_saved_budget_holds_for_the_plan_and_is_taken_off_again(farm):
    told = run("budget", "--farm", farm, *PADDOCK, "--money", 5000, "--save").stdout
    assert "with the budget 4,984" in told
    season = read_farm(farm).seasons[0]
    assert season.budget.currency == "AUD"
    assert prescription(season, season.operations[0]).totals.cost <= 5000
    again = json.loads(run("budget", "--farm", farm, *PADDOCK, "--json").stdout)
    assert again["budget"] == 5000.0
    run("budget", "--farm", farm, *PADDOCK, "--off")
    assert read_farm(farm).seasons[0].budget is None


def test_a_priority_names_operations_that_are_there(farm):
    with pytest.raises(UnknownChoiceError, match="MAP before sowing"):
        run("budget", "--farm", farm, *PADDOCK, "--money", 10, "--priority", "Lime")
    with pytest.raises(MissingInputError, match="no budget yet"):
        run("budget", "--farm", farm, *PADDOCK)


CURVES = (
    "--crop-price", 330, "--curve", "MAP before sowing=4.2,0.9,0.12",
    "--curve", "MAP before sowing/Creek flat=4.6,0.1,0.12",
)  # fmt: skip


def test_with_curves_the_money_goes_where_it_earns_most(farm):
    record = json.loads(
        run("budget", "--farm", farm, *PADDOCK, "--money", 3000, *CURVES, "--json").stdout
    )
    rates = {z["zone"]: z["rate_kg_ha"] for z in record["operations"][0]["zones"]}
    assert rates["Creek flat"] == 0.0  # it hardly answers
    assert all(30.0 <= rate <= 140.0 for zone, rate in rates.items() if zone != "Creek flat")
    assert record["spent"] == pytest.approx(3000)
    assert record["last_dollar_earned"] > 1.0
    returns = [line["net_return"] for line in record["return_against_budget"]]
    assert returns == sorted(returns)
    assert any("too hopeful" in note for note in record["notes"])


def test_curves_print_the_last_dollar_and_the_note_that_gains_are_added(farm):
    told = run("budget", "--farm", farm, *PADDOCK, "--money", 3000, *CURVES).stdout
    assert "The last dollar earned" in told
    assert "Return against budget" in told
    assert "Gains of several nutrients in one place are added up" in told
    plotted = told.partition("Return against budget")[2].splitlines()
    bars = [line.count("█") for line in plotted if line.strip() and line.strip()[0].isdigit()]
    assert len(bars) == 11
    assert bars == sorted(bars)
    assert bars[0] == 0
    assert bars[-1] >= 23  # of 24, up to an eighth of a block


def test_each_curve_tells_its_own_best_rate_and_margin_beside_the_budget(farm):
    curves = (
        "--crop-price", 330, "--curve", "MAP before sowing=linear-plateau:3,0.05,12",
        "--curve", "MAP before sowing/Creek flat=quadratic:4,0.06,-0.004",
    )  # fmt: skip
    given = ("budget", "--farm", farm, *PADDOCK, "--money", 1000, *curves)
    record = json.loads(run(*given, "--json").stdout)
    zones = {z["zone"]: z for z in record["operations"][0]["zones"]}
    # 12 kg P/ha at the knot; the top of the parabola lies at 7.5 kg P/ha, dearer than its best
    flat = zones.pop("Creek flat")
    per_kg = 0.22
    assert {round(z["best_rate_kg_ha"] * per_kg, 3) for z in zones.values()} == {12.0}
    assert 0 < flat["best_rate_kg_ha"] * per_kg < 7.5
    assert all(z["margin_per_ha"] <= z["best_margin_per_ha"] for z in zones.values())
    printed = run(*given).stdout
    assert "(rates in kg/ha, margins in AUD/ha)" in printed
    assert "best rate" in printed
    assert "its margin" in printed


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("--curve", "MAP before sowing=cubic:4,5,1"), "cannot read the curve"),
        (("--curve", "MAP before sowing=4,5"), "cannot read the curve"),
        (("--curve", "MAP before sowing=4,5,0.1", "--crop-price", 300), "no response curve"),
        (("--curve", "MAP before sowing=4,1,0.1"), "--crop-price"),
        ((*CURVES, "--save"), "not saved"),
    ],
)
def test_a_curve_that_cannot_be_is_refused(farm, given, said):
    crop = () if "--crop-price" in given or "=4,1," in given[1] else ("--crop-price", 300)
    with pytest.raises(MissingInputError, match=said):
        run("budget", "--farm", farm, *PADDOCK, "--money", 100, *given, *crop)


def test_next_sample_ranks_by_hectares_and_with_stakes_by_money(farm):
    plain = json.loads(run("next-sample", "--farm", farm, *PADDOCK, "--json").stdout)
    assert plain[0]["zone"] == "Creek flat"
    assert plain[0]["expected_cost"] is None
    assert "taken for short, with a chance of at least 18 %" in plain[0]["reason"]
    money = json.loads(
        run(
            "next-sample", "--farm", farm, *PADDOCK, "--loss-if-short", 0.5, "--crop-price", 330,
            "--sample-price", 50, "--json",
        ).stdout
    )  # fmt: skip
    costs = [zone["expected_cost"] for zone in money]
    assert costs == sorted(costs, reverse=True)
    assert [zone["sample_pays"] for zone in money] == [True, False, False, False]
    assert (
        "expected cost"
        in run(
            "next-sample", "--farm", farm, *PADDOCK, "--loss-if-short", 0.5, "--crop-price", 330
        ).stdout
    )


@pytest.mark.parametrize("verb", ["budget", "next-sample"])
def test_of_several_paddocks_one_must_be_named(farm, verb):
    with pytest.raises(MissingInputError, match="Two Mile Sands"):
        run(verb, "--farm", farm)
