"""Humates in the terminal: what is claimed, a policy with a pass, and placing with the seed."""

import json
import subprocess
import sys

import pytest

from vrxapp.agronomy.humate_claims import humate_claims
from vrxapp.shipped_files import shipped_folder

SAMPLE = shipped_folder("sample_fields")
LAB = """Sample,Depth (cm),Colwell P (mg/kg)
C1,0-10,60
"""
PRODUCTS = """name,n_percent,p_percent,k_percent,s_percent,price_per_tonne,currency,material,nitrate_n_percent
Dear humate,0,0,0,0,3000,AUD,humate,0
DAP here,18,20,0,1.5,1000,AUD,fertiliser,0
"""  # noqa: E501
HUMATE = ("--humate", "Dear humate", "--humate-share", "5", "--humate-cap", "20")


def vrxapp(*arguments):
    return subprocess.run(
        [sys.executable, "-m", "vrxapp", *map(str, arguments)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


@pytest.fixture
def prescribe(tmp_path):
    """A function that prescribes DAP for 20 kg P/ha in one zone far above its critical value."""
    lab, products = tmp_path / "lab.csv", tmp_path / "products.csv"
    lab.write_text(LAB)
    products.write_text(PRODUCTS)

    def run(*options):
        yield_t_ha = 20 / 3  # wheat carries away 3 kg P/t
        return vrxapp(
            "prescribe", "--boundary", SAMPLE / "boundary.geojson", "--zones",
            SAMPLE / "zones.geojson", "--lab", lab, "--match", "C1=Red rise", "--yield",
            yield_t_ha, "--products", products, "--product", "DAP here", "--out",
            tmp_path / "out", "--save-farm", tmp_path / "farm.gpkg", "--json", *options,
        )  # fmt: skip

    return run


def zone_of(ended, name="Red rise"):
    assert ended.returncode == 0, ended.stderr
    return next(z for z in json.loads(ended.stdout)["zones"] if z["zone"] == name)


def test_claims_are_listed_with_grade_size_and_source():
    records = json.loads(vrxapp("claims", "--json").stdout)
    assert [r["id"] for r in records] == [c.id for c in humate_claims()]
    by_id = {r["id"]: r for r in records}
    assert by_id["CLM-05"]["evidence"] == "weak"
    assert by_id["CLM-07"]["evidence"] == "contradicted"
    assert by_id["CLM-01"]["effect_percent"] == 22.0
    assert by_id["CLM-05"]["effect_percent"] is None  # no size was read, and none is made up
    assert all(r["source"] and r["grade"] and r["reading"] for r in records)


def test_the_table_of_claims_is_by_material_best_proven_first():
    told = " ".join(vrxapp("claims", "--material", "brown-coal").stdout.split())
    assert "contradicted" in told
    assert "No rate takes a nutrient or a yield credit" in told
    records = json.loads(vrxapp("claims", "--material", "soluble-humate", "--json").stdout)
    assert records[0]["evidence"] == "published effect"
    assert all("soluble humate" in r["materials"] for r in records)


def test_a_humate_is_paid_out_of_the_fertiliser(prescribe):
    # QTY-15: 100 kg/ha of DAP, 5 kg of humate at 3.00 a kg take 15 kg of DAP at 1.00 off
    ended = prescribe(*HUMATE, "--humate-policy", "pay")
    zone = zone_of(ended)
    assert zone["cut_kg_ha"] == pytest.approx(15.0, abs=1e-6)
    assert zone["rate_kg_ha"] == 90.0
    assert "Neutral in cost is not neutral in nutrients" in " ".join(
        json.loads(ended.stdout)["notes"]
    )


def test_a_cut_needs_its_size(prescribe):
    ended = prescribe(*HUMATE, "--humate-policy", "cut")
    assert ended.returncode == 1
    assert "--humate-cut" in ended.stderr


def test_a_cut_falls_where_the_cap_is_reached(prescribe):
    cap = (*HUMATE[:-1], "5", "--humate-policy", "cut", "--humate-cut", "20")
    zone = zone_of(prescribe(*cap))
    assert (zone["cut_kg_ha"], zone["rate_kg_ha"]) == (pytest.approx(20.0), 85.0)


def test_acceptance_is_asked_for_and_told(prescribe):
    known = (
        "--humate-water-test", "dissolved", "--humic-method", "iso-19822", "--humic-acid", "60",
        "--humate-insoluble", "1", "--humate-moisture", "12", "--humate-potassium", "6",
    )  # fmt: skip
    notes = " ".join(json.loads(prescribe(*HUMATE, *known).stdout)["notes"])
    assert "nothing is credited to it as a soluble product" not in notes


def test_placing_with_the_seed_is_checked_and_kept_in_the_farm(prescribe, tmp_path):
    row = ("--with-seed", "medium", "--row-spacing", "300", "--opener-spread", "25")
    ended = prescribe(*row)
    zone = zone_of(ended)
    assert zone["rate_kg_ha"] == 100.0
    assert "placed with the seed, Red rise" in " ".join(json.loads(ended.stdout)["notes"])
    farm = tmp_path / "farm.gpkg"
    (listed,) = json.loads(vrxapp("operation", "list", "--farm", farm, "--json").stdout)
    assert listed["placed"] == "with the seed"
    note = next((tmp_path / "out").rglob("read_me.txt")).read_text("utf-8")
    assert "checked against the guides" in note


def test_half_a_seed_row_is_refused(prescribe):
    ended = prescribe("--with-seed", "medium", "--row-spacing", "300")
    assert ended.returncode == 1
    assert "--opener-spread" in ended.stderr


def test_a_second_pass_counts_for_the_same_cap(prescribe, tmp_path):
    assert prescribe(*HUMATE[:-1], "4", "--cap", "60").returncode == 0
    farm = tmp_path / "farm.gpkg"
    added = vrxapp("operation", "add", "Later", "--farm", farm, "--product", "DAP here",
                   *HUMATE[:-1], "4")  # fmt: skip
    assert added.returncode == 0, added.stderr
    ended = vrxapp("prescribe", "--farm", farm, "--operation", "Later", "--out",
                   tmp_path / "later", "--json")  # fmt: skip
    zone = zone_of(ended)
    assert zone["humate_kg_ha"] == pytest.approx(1.0, abs=0.02)  # 60 kg/ha before took 3 of 4
    assert "Splitting a rate over operations lifts no cap" in " ".join(
        json.loads(ended.stdout)["notes"]
    )
    told = vrxapp("why", "Red rise", "--farm", farm, "--operation", "Later").stdout
    assert "the season's cap of 4 kg/ha leaves 1 kg/ha" in told


def test_what_may_be_credited_stands_with_its_reason_and_is_withheld_without_a_test():
    untested = json.loads(vrxapp("claims", "--credits", "--json").stdout)
    assert {row["standing"] for row in untested} == {"not credited"}
    asked = ("claims", "--credits", "--accepted", "--material", "soluble-humate")
    rows = {row["effect"]: row for row in json.loads(vrxapp(*asked, "--json").stdout)}
    assert rows["yield"]["standing"] == "not credited"
    assert rows["holding ammonia from urea"]["standing"] == "may be said"
    assert rows["nutrients"]["source"] == "little-2014"
    told = " ".join(vrxapp(*asked).stdout.split())
    assert "No rate takes a nutrient or a yield credit" in told


def test_metals_are_read_from_the_options_and_what_cannot_be_read_says_how(prescribe):
    done = prescribe(*HUMATE, "--humate-metals", "Cd 2, Pb 40")
    assert "Cadmium: 2 mg/kg" in " ".join((done.stdout + done.stderr).split())
    refused = prescribe(*HUMATE, "--humate-metals", "Kryptonite 2")
    assert refused.returncode == 1
    assert "cannot read the metal 'Kryptonite 2'" in refused.stderr
