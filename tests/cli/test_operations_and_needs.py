"""Two passes on two machines from three composites matched by hand, and a lab sheet alone."""

import json
import re
import subprocess
import sys
from dataclasses import replace

import pytest

from vrxapp.files.farm_file import read_farm
from vrxapp.shipped_files import shipped_folder

SAMPLE = shipped_folder("sample_fields")
LAB = """Sample,Depth (cm),Colwell P (mg/kg),Exchangeable Al (cmol(+)/kg),ECEC (cmol(+)/kg)
C1,0-10,20,0.9,4.2
C2,0-10,30,1.5,5.0
C3,0-10,44,0.0,7.0
"""
PRODUCTS = """name,n_percent,p_percent,k_percent,s_percent,effective_nv_percent,material
Pit lime,0,0,0,0,90,liming material
"""
HUMATE = ("--humate", "soluble_humate", "--humate-share", "5", "--humate-cap", "20")


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
    """A farm with lime in autumn, from a sheet without coordinates matched by hand."""
    lab, products, path = (tmp_path / n for n in ("lab.csv", "products.csv", "farm.gpkg"))
    lab.write_text(LAB)
    products.write_text(PRODUCTS)
    ended = vrxapp(
        "prescribe", "--boundary", SAMPLE / "boundary.geojson", "--zones", SAMPLE / "zones.geojson",
        "--lab", lab, "--match", "C1=Red rise", "--match", "C2=Grey box slope",
        "--match", "C3=Creek flat", "--yield", "4", "--operation", "Lime in autumn",
        "--purpose", "lime", "--products", products, "--product", "Pit lime",
        "--lime-method", "tolerated-aluminium", "--tolerated-aluminium", "10",
        "--out", tmp_path / "lime", "--save-farm", path, "--json",
    )  # fmt: skip
    assert ended.returncode == 0, ended.stderr
    return path, json.loads(ended.stdout)


def test_two_operations_on_two_machines_give_two_verified_files(farm, tmp_path):
    path, lime = farm
    rates = {zone["zone"]: zone["rate_kg_ha"] for zone in lime["zones"]}
    # LIME-03: Al 1.5, ECEC 5.0, 10 % borne: 1300 kg/ha of 90 % lime -> steps of 100
    assert rates["Grey box slope"] == 1300.0
    assert rates["Sandy top"] is None
    added = vrxapp("operation", "add", "MAP at sowing", "--farm", path, "--machine", "Air cart",
                   *HUMATE)  # fmt: skip
    assert added.returncode == 0, added.stderr
    listed = json.loads(vrxapp("operation", "list", "--farm", path, "--json").stdout)
    assert [o["machine"] for o in listed] == ["Lime spreader", "Air cart"]
    ended = vrxapp("prescribe", "--farm", path, "--operation", "MAP at sowing", "--out",
                   tmp_path / "map", "--json")  # fmt: skip
    starter = json.loads(ended.stdout)
    assert {zone["rate_kg_ha"] for zone in starter["zones"]} == {57.0, None}
    for record in (lime, starter):
        assert {back["reader"].split()[0] for back in record["read_back"]} == {"pyshp", "GDAL"}
    note = (tmp_path / "map" / "for_the_contractor" / "read_me.txt").read_text("utf-8")
    assert "105 kg carry 100 kg MAP" in note


def test_a_nitrate_with_humate_is_refused_and_the_farm_stays_as_it_was(farm):
    path, _ = farm
    before = path.read_bytes()
    ended = vrxapp("operation", "add", "CAN", "--farm", path, "--product",
                   "calcium_ammonium_nitrate", *HUMATE)  # fmt: skip
    assert ended.returncode == 1
    assert "must never meet" in ended.stderr
    assert not re.search(r"\d+ ?kg", ended.stderr)
    assert path.read_bytes() == before


def test_a_pass_is_removed_again(farm):
    path, _ = farm
    assert vrxapp("operation", "add", "Top-up", "--farm", path).returncode == 0
    assert vrxapp("operation", "remove", "top-up", "--farm", path).returncode == 0
    assert len(json.loads(vrxapp("operation", "list", "--farm", path, "--json").stdout)) == 1
    assert vrxapp("operation", "remove", "Lime in autumn", "--farm", path).returncode == 1


def test_the_machine_of_a_pass_is_changed_and_the_rest_of_it_stays(farm):
    path, _ = farm
    before = read_farm(path).seasons[0].operations[0].machine
    words = ("operation", "machine", "lime in autumn", "--farm", path)
    ended = vrxapp(*words, "--swath", "12", "--highest", "1000")
    assert ended.returncode == 0, ended.stderr
    assert "swath 12 m" in ended.stdout
    after = read_farm(path).seasons[0].operations[0].machine
    assert after == replace(before, swath_width_m=12.0, highest_rate_kg_ha=1000.0)
    assert "Nothing to change" in vrxapp(*words, "--swath", "12").stdout
    ended = vrxapp(*words, "--lowest", "5000")
    assert ended.returncode == 1
    assert "cannot spread" in ended.stderr
    assert read_farm(path).seasons[0].operations[0].machine == after


def test_needs_reads_a_sheet_without_a_map(tmp_path):
    lab = tmp_path / "lab.csv"
    lab.write_text(LAB)
    ended = vrxapp("needs", "--lab", lab, "--yield", "4", "--lime-method", "tolerated-aluminium",
                   "--tolerated-aluminium", "10", "--json")  # fmt: skip
    records = json.loads(ended.stdout)
    amounts = {(r["sample"], r["need"]): r["amount"] for r in records}
    assert amounts["C1", "Phosphorus"] == 12.0
    assert amounts["C2", "Lime"] == pytest.approx(1.17)  # LIME-03, as pure lime
    told = vrxapp("needs", "--lab", lab, "--yield", "4", "--why", "c2").stdout
    assert "Colwell P is 30 mg/kg" in told
    assert "Sources" in told
    assert "C1, C2, C3" in vrxapp("needs", "--lab", lab, "--yield", "4", "--why", "C9").stderr


WHOLE = """Sample,Depth (cm),Colwell P (mg/kg),PBI,Exch K (cmol(+)/kg),DTPA Zn (mg/kg)
A,0-10,30,80,0.35,0.3
B,0-10,30,80,0.08,2
"""


def test_needs_of_a_whole_sheet_stand_one_a_row_and_what_is_left_open_is_told(tmp_path):
    lab = tmp_path / "whole.csv"
    lab.write_text(WHOLE)
    told = vrxapp("needs", "--lab", lab, "--yield", "4").stdout
    assert re.search(r"A\s+Potassium\s+0\s+kg K/ha", told)
    assert re.search(r"A\s+Zinc\s+none\s+kg Zn/ha\s+low by the soil test", told)
    assert "Not worked out: lime, gypsum, nitrogen, for no way is the default" in told
    assert "Not worked out: sulfur, magnesium, calcium, for no published range fits wheat" in told
    why = vrxapp("needs", "--lab", lab, "--yield", "4", "--bulk-density", "1.4", "--why", "B")
    assert "0.12 cmol(+)/kg (wheat, exchangeable K, south-west Victoria" in why.stdout
    assert "ipni-2014-k" in why.stdout


MEHLICH = """Sample,Depth (cm),Mehlich-3 P (ppm),CEC (meq/100g),Ca (% base sat),K (% base sat)
M1,0-15,18,9.5,52,2.4
M2,0-15,42,14,66,4.1
"""


def test_a_mehlich_sheet_meets_no_calibration_but_ones_own_for_its_layer(tmp_path):
    lab = tmp_path / "mehlich.csv"
    lab.write_text(MEHLICH)
    started = ("needs", "--lab", lab, "--yield", "4")
    assert "no Colwell P result" in vrxapp(*started).stdout
    own = (*started, "--own-critical", "30", "--own-critical-test", "mehlich3_p",
           "--own-critical-reason", "own strips")  # fmt: skip
    ended = vrxapp(*own)
    assert "no Mehlich-3 P result at 0-10 cm" in ended.stdout
    assert "leaves out 2 of its results, which are of 0-15 cm" in ended.stderr
    whole = vrxapp(*own, "--own-critical-depth", "0 - 15 cm", "--why", "M1").stdout
    assert "Mehlich-3 P is 18 mg/kg" in whole
    assert "30 mg/kg (the agronomist's own, 0-15 cm: own strips)" in whole
    assert "Need: 0 + 12 = 12 kg P/ha" in whole  # 4 t/ha x 3.0 kg P/t [ipni-2012]


def test_a_mehlich_sheet_gets_no_class_of_another_method(tmp_path):
    lab = tmp_path / "mehlich.csv"
    lab.write_text(MEHLICH)
    told = {
        line["analyte"]: line
        for line in json.loads(vrxapp("interpret", "--lab", lab, "--json").stdout)["classes"]
        if line["place"] == "M1"
    }
    assert told["mehlich3_p"]["class"] == ""
    assert "mehlich3-p-new-jersey" in told["mehlich3_p"]["reason"]
    assert told["ca_saturation"]["value"] == 52.0


@pytest.mark.parametrize("verb", [("needs",), ("operation", "list"), ("operation", "add")])
def test_each_verb_has_help_with_an_example(verb):
    assert re.search(rf"Example:\n\s+vrxapp {' '.join(verb)}", vrxapp(*verb, "--help").stdout)


TEXTURES = """Sample,Depth (cm),Texture,pH (CaCl2),Zone
T1,0-10,Sand,4.8,Creek flat
T2,0-10,CL,4.8,Red rise
T3,0-10,,4.8,
"""


def test_each_sample_is_limed_by_its_own_texture(tmp_path):
    lab = tmp_path / "textures.csv"
    lab.write_text(TEXTURES)
    told = json.loads(
        vrxapp("needs", "--lab", lab, "--yield", "4", "--lime-method", "texture",
               "--target-ph-cacl2", "5.5", "--texture", "clay", "--json").stdout
    )  # fmt: skip
    lime = {row["sample"]: row["amount"] for row in told if row["need"] == "Lime"}
    # 1 t/ha lifts sand by 0.67, clay loam by 0.37 and clay by 0.26 [sfs-lime]
    assert lime == pytest.approx({"T1": 0.7 / 0.67, "T2": 0.7 / 0.37, "T3": 0.7 / 0.26})


def test_a_pass_is_changed_in_product_cap_and_price(farm):
    path, _ = farm
    change = ("operation", "change", "Lime in autumn", "--farm", path)
    told = vrxapp(*change, "--cap", "2000", "--price", "45")
    assert "Pit lime, 45 AUD/t, at most 2000 kg/ha" in told.stdout
    assert "Nothing to change" in vrxapp(*change, "--cap", "2000", "--price", "45").stdout
    assert (
        "Dolomite, no price, no cap" in vrxapp(*change, "--product", "dolomite", "--cap", 0).stdout
    )
    refused = vrxapp(*change, "--product", "snake_oil")
    assert refused.returncode != 0
    assert "Choose one of: " in refused.stderr
    assert "Dolomite" in vrxapp("operation", "list", "--farm", path).stdout


def test_humate_and_the_seed_row_of_a_pass_are_changed(farm):
    path, _ = farm
    add = ("operation", "add", "MAP at sowing", "--farm", path, "--product", "map")
    assert vrxapp(*add).returncode == 0
    humate = ("operation", "humate", "MAP at sowing", "--farm", path)
    told = vrxapp(*humate, *HUMATE)
    assert told.returncode == 0, told.stderr
    assert "Soluble humate" in told.stdout
    assert "Nothing to change" in vrxapp(*humate, *HUMATE).stdout
    lacking = vrxapp(*humate, "--humate", "soluble_humate")
    assert "Give --humate-share" in lacking.stderr
    row = ("operation", "seed-row", "MAP at sowing", "--farm", path)
    placed = vrxapp(*row, "--with-seed", "light", "--row-spacing", 250, "--opener-spread", 25)
    assert "with the seed" in placed.stdout, placed.stderr
    assert "spread. Saved" in vrxapp(*row).stdout
    assert "MAP at sowing: MAP, spread. Saved" in vrxapp(*humate).stdout
    vrxapp("operation", "change", "MAP at sowing", "--farm", path, "--product", "ammonium_nitrate")
    before = path.read_bytes()
    refused = vrxapp(*humate, *HUMATE)
    assert refused.returncode == 1
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("heading", "method", "is_read"),
    [
        ("Buffer pH (Mehlich)", "mehlich-buffer", True),
        ("Buffer pH (Queensland)", "mehlich-buffer", False),
        ("Buffer pH", "mehlich-buffer", False),
        ("Buffer pH (Queensland)", "queensland-buffer", True),
        ("Buffer pH", "queensland-buffer", False),
    ],
)
def test_a_buffer_ph_is_read_by_the_method_of_its_own_buffer_alone(
    tmp_path, heading, method, is_read
):
    lab = tmp_path / "buffer.csv"
    lab.write_text(f"Sample,Depth (cm),pH (water),{heading}\nB1,0-10,5.0,5.6\n")
    told = json.loads(
        vrxapp("needs", "--lab", lab, "--yield", "4", "--lime-method", method,
               "--target-ph-water", "6.5", "--json").stdout
    )  # fmt: skip
    (lime,) = [row for row in told if row["need"] == "Lime"]
    assert (lime["amount"] is not None) is is_read
    assert ("another buffer does not stand in" in lime["reason"]) is not is_read
