"""How needs are planned from the terminal, and what the farm file remembers of it."""

import json

import pytest
from click.testing import CliRunner

from vrxapp.agronomy.crops import crops
from vrxapp.agronomy.lime_upkeep import LimeUpkeep
from vrxapp.cli.main import vrxapp
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.farm import season_called
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.need_plans import Purpose
from vrxapp.prescription.pipeline import needs
from vrxapp.shipped_files import shipped_folder
from vrxapp.workflows.sample_farm import sample_farm

PADDOCK = ("--paddock", "Long Bend")


@pytest.fixture
def farm(tmp_path):
    """The sample farm in a file."""
    path = tmp_path / "farm.gpkg"
    write_farm(sample_farm(), path)
    return path


@pytest.fixture
def run():
    """A function that runs a verb in the process."""

    def verb(*arguments):
        ended = CliRunner().invoke(vrxapp, list(map(str, arguments)))
        if ended.exception is not None and not isinstance(ended.exception, SystemExit):
            raise ended.exception
        assert ended.exit_code == 0, ended.output
        return ended.stdout

    return verb


def season_of(path):
    return season_called(read_farm(path), "Long Bend")


def listed(run, farm):
    told = json.loads(run("plan", "list", "--farm", farm, *PADDOCK, "--json"))
    return {row["need"]: row["worked out by"] for row in told}


def test_every_plan_goes_into_the_farm_file_and_comes_back(run, farm):
    assert listed(run, farm)["sulfur"] == "not chosen"
    run("plan", "gypsum", "--farm", farm, *PADDOCK, "--method", "exchange", "--target-esp", "5",
        "--dispersion", "disperses", "--bulk-density", "1.3")  # fmt: skip
    run("plan", "nitrogen", "--farm", farm, *PADDOCK, "--efficiency", "efficiency_rule",
        "--protein", "11.5", "--rain", "250", "--bulk-density", "1.4")  # fmt: skip
    run("plan", "nutrient", "potassium", "--farm", farm, *PADDOCK, "--test", "exch_k",
        "--own-low", "0.3", "--reason", "district trials", "--bulk-density", "1.4")  # fmt: skip
    run("plan", "trace", "copper", "--farm", farm, *PADDOCK, "--rate", "copper-worked-in")
    run("plan", "lime", "--farm", farm, *PADDOCK, "--lime-method", "tolerated-aluminium",
        "--tolerated-aluminium", "10")  # fmt: skip
    told = listed(run, farm)
    assert "ESP of 5 %" in told["gypsum"]
    assert "efficiency 0.5, 11.5 % protein" in told["nitrogen"]
    assert "0.3 to 0.3 cmol(+)/kg (the agronomist's own" in told["potassium"]
    assert "2 kg/ha where it tested low" in told["copper"]
    season = season_of(farm)
    assert season.nutrients[0].critical.where == "district trials"
    assert season.nitrogen.layers_cm[0] == "0-10"
    assert season.lime is not None
    assert "no longer" in run("plan", "drop", "gypsum", "--farm", farm, *PADDOCK)
    assert season_of(farm).gypsum is None


def test_a_planned_need_gives_a_pass_its_rates(run, farm):
    run("plan", "nitrogen", "--farm", farm, *PADDOCK, "--efficiency", "efficiency_rule",
        "--rain", "250", "--bulk-density", "1.4")  # fmt: skip
    run("operation", "add", "Top-dress", "--farm", farm, *PADDOCK, "--product", "urea",
        "--purpose", "nitrogen")  # fmt: skip
    told = run("why", "Creek flat", "--farm", farm, *PADDOCK, "--operation", "Top-dress")
    assert "Urea holds 46 % nitrogen" in told


def test_a_lab_sheet_alone_is_read_by_the_plans_of_a_farm(run, farm, tmp_path):
    run("plan", "nutrient", "potassium", "--farm", farm, *PADDOCK, "--test", "exch_k",
        "--own-low", "0.3", "--reason", "district trials", "--bulk-density", "1.4")  # fmt: skip
    sheet = tmp_path / "lab.csv"
    sheet.write_text("Sample,Colwell P (mg/kg),Exch K (cmol(+)/kg)\nA,20,0.2\nB,40,0.6\n")
    told = json.loads(run("needs", "--lab", sheet, "--plans", farm, *PADDOCK, "--json"))
    found = {(row["sample"], row["need"]): row["amount"] for row in told}
    assert found["A", "Potassium"] > found["B", "Potassium"] == 0.0
    assert found["A", "Phosphorus"] > 0


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("nitrogen",), "efficiency of nitrogen has no default"),
        (("nutrient", "potassium", "--own-low", "0.3"), "needs the soil test"),
        (("nutrient", "potassium", "--test", "exch_k", "--own-low", "0.3"), "needs a reason"),
        (("nutrient", "potassium", "--range", "s-canola-30"), "was made for S"),
        (
            (
                "nutrient",
                "magnesium",
            ),
            "no published range of Mg",
        ),
        (("trace", "zinc", "--test", "edta_zn"), "no classes of zinc"),
        (("trace", "boron", "--rate", "x"), "no rate of boron"),
        (("lime",), "no default method"),
    ],
)
def test_what_has_no_default_must_be_given_and_nothing_is_saved(run, farm, options, said):
    before = farm.read_bytes()
    with pytest.raises((MissingInputError, UnknownChoiceError), match=said):
        run("plan", *options, "--farm", farm, *PADDOCK)
    assert farm.read_bytes() == before


def test_a_mehlich_sheet_gets_no_colwell_class_but_a_rate_by_ones_own_value(run, tmp_path):
    sheet = tmp_path / "lab.csv"
    sheet.write_text("Sample,Mehlich-3 P (ppm)\nA,20\nB,60\n")
    plain = json.loads(run("needs", "--lab", sheet, "--yield", "4", "--json"))
    assert [row["amount"] for row in plain] == [None, None]
    assert "no Colwell P result" in plain[0]["reason"]
    own = ("--own-critical", "30", "--own-critical-test", "mehlich3_p", "--own-critical-reason",
           "district trials", "--build-up-factor", "4")  # fmt: skip
    told = json.loads(run("needs", "--lab", sheet, "--yield", "4", *own, "--json"))
    # replacement 4 x 3 = 12, and (30 - 20) x 4 = 40 on top where it is below
    assert [row["amount"] for row in told] == [52.0, 12.0]
    why = run("needs", "--lab", sheet, "--yield", "4", *own, "--why", "A")
    assert "Mehlich-3 P" in why
    assert "the agronomist's own" in why
    assert "no published factor for this test is known here" in why


RULES = """
["My potash"]
analyte = "exch_k"
test_unit = "cmol(+)/kg"
depth_cm = "0-10"
element = "K"
shape = "straight lines"
breakpoints = [0, 2]
needs_kg_ha = [100, 0]
source = "District trials"

["Phosphorus by steps"]
analyte = "colwell_p"
test_unit = "mg/kg"
depth_cm = "0-10"
element = "P"
shape = "steps"
breakpoints = [0, 1000]
needs_kg_ha = [12.5, 0]
source = "District trials"
"""


@pytest.fixture
def rules(tmp_path):
    """A file with two rules of one's own."""
    path = tmp_path / "rules.toml"
    path.write_text(RULES)
    return path


def test_a_rule_of_ones_own_goes_before_the_standard_way_and_can_be_dropped(run, farm, rules):
    standard = listed(run, farm)["phosphorus"]
    said = run("plan", "own", rules, "--rule", "phosphorus by STEPS", "--farm", farm, *PADDOCK)
    assert "Phosphorus: own rule 'Phosphorus by steps' (Colwell P, 0-10 cm)" in said
    assert listed(run, farm)["phosphorus"].startswith("own rule")
    whole = read_farm(farm)
    assert [rule.name for rule in whole.own_rules] == ["My potash", "Phosphorus by steps"]
    told = run("why", "Creek flat", "--farm", farm, *PADDOCK)
    assert "needs 12.5 kg P/ha (District trials)" in told
    assert "the agronomist's own" in told
    run("plan", "drop", "phosphorus", "--farm", farm, *PADDOCK)
    assert listed(run, farm)["phosphorus"] == standard


def test_another_way_takes_the_place_of_a_rule_of_ones_own(run, farm, rules):
    run("plan", "own", rules, "--rule", "My potash", "--farm", farm, *PADDOCK)
    assert season_of(farm).own_rules[0].rule.source == "District trials"
    run("plan", "nutrient", "potassium", "--farm", farm, *PADDOCK, "--test", "exch_k",
        "--own-low", "0.3", "--reason", "district trials", "--bulk-density", "1.4")  # fmt: skip
    assert season_of(farm).own_rules == ()
    assert "0.3 to 0.3" in listed(run, farm)["potassium"]


def test_a_lab_sheet_alone_is_read_by_a_farms_own_rule(run, farm, rules, tmp_path):
    run("plan", "own", rules, "--rule", "My potash", "--farm", farm, *PADDOCK)
    sheet = tmp_path / "lab.csv"
    sheet.write_text("Sample,Exch K (cmol(+)/kg)\nA,0.5\nB,2.5\n")
    told = json.loads(run("needs", "--lab", sheet, "--plans", farm, *PADDOCK, "--json"))
    found = {row["sample"]: row["amount"] for row in told if row["need"] == "Potassium"}
    assert found == {"A": 75.0, "B": 0.0}


def test_of_several_rules_one_must_be_named(run, farm, rules):
    before = farm.read_bytes()
    with pytest.raises(UnknownChoiceError, match="My potash, Phosphorus by steps"):
        run("plan", "own", rules, "--farm", farm, *PADDOCK)
    assert farm.read_bytes() == before


def test_a_crop_without_a_published_value_waits_for_ones_own(run, farm):
    told = run("plan", "crop", "barley", "--farm", farm, *PADDOCK, "--yield", "3")
    assert "Barley, 3 t/ha" in told
    assert "none published: give your own" in listed(run, farm)["phosphorus"]
    why = ("why", "Creek flat", "--farm", farm, *PADDOCK)
    assert "no critical value of phosphorus is published for barley" in run(*why)
    run("plan", "phosphorus", "--farm", farm, *PADDOCK, "--own-critical", "30",
        "--own-critical-reason", "own strips")  # fmt: skip
    # 5.21 to 8.33 kg P2O5/t, so 2.95 kg P/t in the middle [ontario-removal-2025, Table 1]
    assert "3 t/ha × 2.95 kg P/t of barley grain = 8.85 kg P/ha" in run(*why)
    assert "own strips" in run(*why)


def test_a_crop_without_a_published_removal_waits_for_an_analysis(run, farm):
    run("plan", "crop", "chickpea", "--farm", farm, *PADDOCK, "--yield", "2")
    own = ("plan", "phosphorus", "--farm", farm, *PADDOCK, "--own-critical", "20",
           "--own-critical-reason", "own strips")  # fmt: skip
    run(*own)
    why = ("why", "Creek flat", "--farm", farm, *PADDOCK)
    assert "no published figure of phosphorus in chickpea was found" in run(*why)
    assert "from memory, unverified: 3.2" in run(*why)
    with pytest.raises(MissingInputError, match="needs a reason"):
        run(*own, "--removal-p", "3.4")
    run(*own, "--removal-p", "3.4", "--removal-reason", "seed test of May")
    assert "2 t/ha × 3.4 kg P/t of chickpea grain = 6.8 kg P/ha (seed test of May)" in run(*why)
    assert season_of(farm).phosphorus.removal.kg_per_unit == 3.4
    run("plan", "crop", "wheat", "--farm", farm, *PADDOCK)
    assert season_of(farm).phosphorus.removal is None


def test_a_legume_gets_no_nitrogen(run, farm):
    run("plan", "crop", "faba_bean", "--farm", farm, *PADDOCK, "--yield", "2")
    run("plan", "nitrogen", "--farm", farm, *PADDOCK, "--efficiency", "efficiency_rule",
        "--protein", "24", "--bulk-density", "1.4")  # fmt: skip
    lab = shipped_folder("sample_fields") / "lab_composites.csv"
    told = json.loads(run("needs", "--lab", lab, "--plans", farm, *PADDOCK, "--json"))
    nitrogen = [row for row in told if row["need"] == "Nitrogen"]
    assert nitrogen
    assert all("takes its nitrogen from the air" in row["reason"] for row in nitrogen)


@pytest.mark.parametrize("key", [c.key for c in crops()])
def test_every_crop_can_be_planned_with_ones_own_figures(run, farm, key):
    run("plan", "crop", key, "--farm", farm, *PADDOCK, "--yield", "5")
    run("plan", "phosphorus", "--farm", farm, *PADDOCK, "--own-critical", "30",
        "--own-critical-test", "colwell_p", "--own-critical-reason", "mine",
        "--removal-p", "2", "--removal-reason", "mine")  # fmt: skip
    assert "= 10 kg P/ha (mine)" in run("why", "Creek flat", "--farm", farm, *PADDOCK)


def test_maintenance_lime_goes_into_the_farm_file_and_onto_every_need_that_is_told(run, farm):
    sands = ("--paddock", "Two Mile Sands")
    given = ("--lime-method", "tolerated-aluminium", "--tolerated-aluminium", 5)
    run("plan", "lime", "--farm", farm, *sands, *given)
    plain = needs(season_called(read_farm(farm), sands[1]), Purpose.LIME).amount
    upkeep = ("--upkeep-harvest", "wheat_grain", "--upkeep-years", 4)
    said = run("plan", "lime", "--farm", farm, *sands, *given, *upkeep)
    assert "with maintenance lime" in said
    season = season_called(read_farm(farm), sands[1])
    assert season.lime.upkeep == LimeUpkeep("wheat_grain", years=4.0)
    # 2.5 t/ha × 9 kg/t × 4 years = 0.09 t/ha of pure lime
    assert needs(season, Purpose.LIME).amount == pytest.approx(plain + 0.09)
    with pytest.raises(MissingInputError, match="share that is leached"):
        run("plan", "lime", "--farm", farm, *sands, *given, "--upkeep-nitrogen", "urea")
