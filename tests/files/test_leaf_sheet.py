"""Leaf sheets: names, units in the header or under it, limits, and what cannot be read."""

import numpy as np
import pytest

from vrxapp.agronomy.tissue import tissue_ranges
from vrxapp.errors import InputFileError
from vrxapp.files.leaf_sheet import leaf_heading, leaf_nutrients, read_leaf_sheet


@pytest.fixture
def read(tmp_path):
    def reading(text):
        path = tmp_path / "leaves.csv"
        path.write_text(text, "utf-8")
        return read_leaf_sheet(path)

    return reading


def test_each_nutrient_comes_in_the_unit_of_its_ranges():
    units = {known.key: known.unit for known in leaf_nutrients()}
    assert {(row.nutrient, row.unit) for row in tissue_ranges()} <= set(units.items())


def test_units_in_the_header_are_turned_into_those_of_the_ranges(read):
    sheet = read("Sample,N (mg/kg),Zn (%),P (g/kg)\nA1,31000,0.0025,2.5\n")
    assert sheet.nutrients == ("N", "Zn", "P")
    assert sheet.units == ("%", "mg/kg", "%")
    assert sheet.values[0] == pytest.approx([3.1, 25.0, 0.25])


def test_units_under_the_header_and_a_title_above_it_are_understood(read):
    sheet = read("Leaf report\nSample,Paddock,Total nitrogen,Cu\n,,%,mg/kg\nA1,Flat,3.1,4\n")
    assert sheet.paddocks == ("Flat",)
    assert sheet.values[0] == pytest.approx([3.1, 4.0])
    assert not any("assumed" in note.message for note in sheet.notes)


def test_a_unit_that_is_not_told_is_assumed_with_a_note(read):
    sheet = read("Sample,N\nA1,3.1\n")
    assert any("% is assumed" in note.message for note in sheet.notes)


def test_half_the_limit_counts_below_one_and_that_is_noted(read):
    sheet = read("Sample,Mo (mg/kg),Zn (mg/kg)\nA1,<0.1,\nA2,0.3,20\n")
    assert sheet.values[0, 0] == pytest.approx(0.05)
    assert np.isnan(sheet.values[0, 1])
    assert any("Molybdenum" in note.message for note in sheet.notes)


def test_a_part_of_the_nitrogen_is_not_taken_for_all_of_it(read):
    assert leaf_heading("NO3-N").analyte is None
    sheet = read("Sample,NO3-N (mg/kg),Zn (mg/kg)\nA1,900,20\n")
    assert sheet.nutrients == ("Zn",)
    assert any("NO3-N" in note.message for note in sheet.notes)


def test_a_semicolon_sheet_with_decimal_commas_is_read(read):
    sheet = read("Sample;N (%);Zn (mg/kg)\nA1;3,15;20,5\n")
    assert sheet.values[0] == pytest.approx([3.15, 20.5])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Sample,Colour\nA1,green\n", "no nutrient among the columns"),
        ("N (%),P (%)\n3.1,0.2\n", "no column names the samples"),
        ("Sample,N (%),Total N\nA1,3.1,3.1\n", "two columns hold the same"),
        ("Sample,N (kg/ha)\nA1,3.1\n", "not a unit known for Nitrogen"),
        ("Sample,N (%)\nA1,-3\n", "negative"),
        ("Sample,N (%)\nA1,31000\n", "not possible for Nitrogen"),
    ],
)
def test_what_cannot_be_right_is_refused_in_words(read, text, said):
    with pytest.raises(InputFileError, match=r"leaves\.csv") as caught:
        read(text)
    assert said in str(caught.value)
