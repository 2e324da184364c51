"""The sheet of the whole farm is messy to read, and its soils hang together."""

import csv

import openpyxl
import pytest

from vrxapp.files.lab_sheets.reader import read_lab_sheet

HEADER_ROW = 6
CATIONS = ("Exch. Calcium", "Exch. Magnesium", "Exch. Potassium", "Exch. Sodium")
ALUMINIUM_MG_PER_CMOL = 89.94  # 26.98 g/mol over three charges, times ten


@pytest.fixture(scope="module")
def rows(remade):
    return list(csv.reader((remade / "lab_whole_farm.csv").read_text("utf-8").splitlines()))


@pytest.fixture(scope="module")
def samples(rows):
    return {row[2]: dict(zip(rows[HEADER_ROW - 1], row, strict=True)) for row in rows[7:]}


def number(sample, column):
    """A result; one below the limit of reporting counts as half of it."""
    text = sample[column]
    return float(text[1:]) / 2 if text.startswith("<") else float(text)


def ph(sample):
    return number(sample, "pH (1:5 CaCl2)")


def sodium_share(sample):
    return number(sample, "Exch. Sodium") / number(sample, "ECEC")


def of(samples, words, layer="0-10"):
    found = [s for name, s in samples.items() if words in name and layer in name]
    assert found
    return found


def test_it_is_as_messy_as_sheets_that_laboratories_send(rows, samples):
    assert "Sample Name" in rows[HEADER_ROW - 1]
    assert not any("Depth" in cell or "Paddock" in cell for cell in rows[HEADER_ROW - 1])
    assert {sample["Grower"] for sample in samples.values()} == {"Plain Ridge", "Dry Creek West"}
    assert len(samples) == 22
    assert sum(cell.startswith("<") for row in rows[7:] for cell in row) > 10
    units = dict(zip(rows[HEADER_ROW - 1], rows[HEADER_ROW], strict=True))
    assert (units["Exch. Calcium"], units["Exch. Aluminium"]) == ("cmol(+)/kg", "mg/kg")
    assert units["EC (1:5)"] == "uS/cm"
    assert len({name[:3] for name in samples}) >= 5  # no two samplers write names alike


def test_it_says_that_it_is_invented(rows):
    assert "invented" in rows[0][0]
    assert rows[1][0].startswith("Invented")


def test_each_zone_of_each_paddock_has_two_layers(samples):
    zones = {
        *("Creek flat", "Grey box slope", "Red rise", "Sandy top"),
        *("Scrub hill", "Long sand", "Bottom flat"),
        *("North ridge", "Middle loam", "Pan edge", "South rise"),
    }
    for zone in zones:
        assert sum(zone in name for name in samples) == 2
        assert len(of(samples, zone)) == 1


def test_the_cations_add_up_to_the_exchange_capacity(samples):
    for sample in samples.values():
        aluminium = number(sample, "Exch. Aluminium") / ALUMINIUM_MG_PER_CMOL
        total = sum(number(sample, cation) for cation in CATIONS) + aluminium
        assert total == pytest.approx(number(sample, "ECEC"), rel=0.05)
        told = number(sample, "Na % of ECEC") / 100
        assert told == pytest.approx(sodium_share(sample), abs=0.005)


def test_the_acid_sand_has_aluminium_and_few_cations(samples):
    sands = of(samples, "Mile Sands")
    assert all(4.3 < ph(s) < 5.0 for s in sands)
    assert all(2.0 < number(s, "ECEC") <= 5.5 for s in sands)
    assert max(number(s, "ECEC") for s in sands) == pytest.approx(5.0, abs=0.6)
    assert all(number(s, "Exch. Aluminium") > 9.0 and number(s, "Clay") < 15 for s in sands)
    assert all(number(s, "PBI") < 70 for s in sands)


def test_the_sodic_clays_hold_too_much_sodium(samples):
    for zone in ("Creek flat", "Pan edge"):
        topsoil, subsoil = of(samples, zone, "-")
        assert sodium_share(topsoil) > 0.06
        assert sodium_share(subsoil) > sodium_share(topsoil)
        assert number(topsoil, "ECEC") == pytest.approx(25.0, abs=1.5)
        assert number(topsoil, "Clay") > 40


def test_only_the_sodic_clays_are_sodic(samples):
    sodic = {name for name, sample in samples.items() if sodium_share(sample) > 0.06}
    assert all("Creek flat" in name or "Pan edge" in name for name in sodic)
    assert len(sodic) == 4


def test_the_calcareous_loam_is_alkaline_and_binds_phosphorus(samples):
    loams = [s for name, s in samples.items() if "Pan Block" in name and "Pan edge" not in name]
    assert all(8.0 <= number(s, "pH (1:5 water)") < 9.0 for s in loams)
    assert all(number(s, "PBI") >= 140 and number(s, "Clay") < 35 for s in loams)
    assert all(s["Exch. Aluminium"].startswith("<") for s in loams)


def test_aluminium_comes_with_acidity_and_goes_without_it(samples):
    for sample in samples.values():
        if ph(sample) < 4.7:
            assert number(sample, "Exch. Aluminium") > 30.0
        if ph(sample) > 5.5:
            assert sample["Exch. Aluminium"].startswith("<")
        assert 0.5 <= number(sample, "pH (1:5 water)") - ph(sample) <= 1.2


def test_salt_and_conductivity_go_together(samples):
    ordered = sorted(samples.values(), key=lambda s: number(s, "EC (1:5)"))
    salty = [number(s, "Chloride") for s in ordered]
    assert salty[-1] == max(salty)
    assert max(salty[:11]) < min(salty[-3:])


def test_the_topsoil_of_long_bend_agrees_with_its_own_composites(remade, samples):
    lines = (remade / "lab_composites.csv").read_text("utf-8").splitlines()
    for row in csv.DictReader([lines[1], *lines[3:]]):
        (sample,) = of(samples, row["Zone"])
        pairs = {"Colwell P": "Phosphorus (Colwell)", "PBI": "PBI", "pH (CaCl2)": "pH (1:5 CaCl2)"}
        for own, other in {**pairs, "Organic carbon": "Organic Carbon (W&B)"}.items():
            assert float(row[own]) == number(sample, other)


def test_the_workbook_holds_the_same_as_the_text(remade, rows):
    book = openpyxl.load_workbook(remade / "lab_whole_farm.xlsx")
    sheet = book.active
    assert [str(cells) for cells in sheet.merged_cells.ranges] == ["A1:U1"]
    for line, cells in zip(rows, sheet.iter_rows(values_only=True), strict=True):
        told = [cell for cell in cells if cell is not None]
        text = [cell for cell in line if cell]
        assert [as_number(cell) for cell in text] == [as_number(cell) for cell in told]
    assert isinstance(sheet["D8"].value, float)


def as_number(cell):
    try:
        return float(cell)
    except ValueError:
        return cell


@pytest.mark.parametrize("name", ["lab_whole_farm.csv", "lab_whole_farm.xlsx"])
def test_the_program_reads_every_sample_of_the_sheet(remade, samples, name):
    table = read_lab_sheet(remade / name)
    assert len(table.sample_ids) == len(samples)
    read = {column.analyte.key for column in table.columns}
    assert {"ph_cacl2", "ph_water", "colwell_p", "pbi", "organic_carbon"} <= read
