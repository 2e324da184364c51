"""A TOML file of rules: what it holds comes in whole, and what does not fit is named."""

import math

import pytest

from vrxapp.agronomy.crop_removal import Nutrient
from vrxapp.agronomy.own_rule_values import OwnShape
from vrxapp.errors import InputFileError
from vrxapp.files.own_rules import own_rules_from, read_own_rules

POTASH = """
["My potash"]
analyte = "colwell_k"
test_unit = "mg/kg"
depth_cm = "0-10"
element = "K"
shape = "straight lines"
breakpoints = [0, 40, 80.5]
needs_kg_ha = [50, 30, 0]
source = "District trials"
"""


def rules(text):
    return own_rules_from(text.encode(), file="rules.toml")


def test_rules_come_in_with_all_their_parts_in_the_files_order(tmp_path):
    path = tmp_path / "rules.toml"
    second = POTASH.replace("My potash", "By steps").replace("straight lines", "steps")
    path.write_text(POTASH + second + 'cap_kg_ha = 45\ncrop = "wheat"\n')
    first, last = read_own_rules(path)
    assert (first.name, first.analyte, first.depth_cm) == ("My potash", "colwell_k", "0-10")
    assert first.element is Nutrient.POTASSIUM
    assert first.shape is OwnShape.LINES
    assert first.breakpoints == (0.0, 40.0, 80.5)
    assert first.needs_kg_ha == (50.0, 30.0, 0.0)
    assert first.source == "District trials"
    assert math.isnan(first.cap_kg_ha)
    assert (last.name, last.shape, last.cap_kg_ha, last.crop) == (
        "By steps",
        OwnShape.STEPS,
        45.0,
        "wheat",
    )


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ('"colwell_k"', '"colwell"', r"key analyte: 'colwell' is not known. Choose .*colwell_k"),
        ('"mg/kg"', '"cmol(+)/kg"', r"key test_unit: Colwell K is counted in mg/kg here"),
        ('"0-10"', "10", r"key depth_cm: words are expected \(found: 10\)"),
        ('"K"', '"K2O"', r"key element: there is no such choice \(found: K2O\)"),
        ('"straight lines"', '"curve"', r"key shape: .* Use one of: \"steps\", \"straight lines\""),
        ("[0, 40, 80.5]", "[0, 80, 40]", r"key breakpoints: they must rise, but 40 follows 80"),
        ("[0, 40, 80.5]", "40", r"key breakpoints: a list is expected \(found: 40\)"),
        ("[0, 40, 80.5]", '[0, "40", 80]', r"key breakpoints: a number is expected \(found: 40\)"),
        ("[0, 40, 80.5]", "[0, true, 80]", r"key breakpoints: a number is expected"),
        ("[0, 40, 80.5]", "[0, nan, 80]", r"key breakpoints: a number is expected"),
        ("[50, 30, 0]", "[50, 30, inf]", r"key needs_kg_ha: a number is expected"),
        ("[50, 30, 0]", f"[{10**400}, 30, 0]", r"key needs_kg_ha: the number is too large"),
        ("[50, 30, 0]", "[50, 30]", r"key needs_kg_ha: there are 2 needs for 3 breakpoints"),
        ("[50, 30, 0]", '"80 - test"', r"key needs_kg_ha: a list is expected"),
        ('"District trials"', '""', r"key source: a rule needs its source"),
        ('source = "District trials"', "", r"key source: it is missing"),
        ("source", 'formula = "2 * x"\nsource', r"key formula: no rule has such a key. Use only"),
    ],
)
def test_what_does_not_fit_is_named_by_file_table_and_key(before, after, said):
    assert before in POTASH
    with pytest.raises(InputFileError, match=r"^rules.toml: table \[My potash\], " + said):
        rules(POTASH.replace(before, after))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "there is no rule in it"),
        ('analyte = "colwell_k"', "the key analyte stands in no table"),
        ("[x]\nanalyte = colwell_k", r"rules.toml, row 2: this is no TOML"),
        ("[x]\na = " + "[" * 20_000, "no TOML|too deep"),
        ("#" * 1_000_001, "too long"),
    ],
)
def test_what_is_no_file_of_rules_is_refused(text, said):
    with pytest.raises(InputFileError, match=said):
        rules(text)


def test_bytes_that_are_no_text_are_refused():
    with pytest.raises(InputFileError, match="UTF-8"):
        own_rules_from(b"\xff\xfe\x00[", file="rules.toml")


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(InputFileError, match="no such file"):
        read_own_rules(tmp_path / "rules.toml")
