"""What a crop holds by its leaf test, and the hint that phosphorus keeps zinc down."""

import math

import numpy as np
import pytest

from vrxapp.agronomy.tissue import PlantPart, Sampling
from vrxapp.errors import SoilInputError
from vrxapp.files.leaf_sheet import read_leaf_sheet
from vrxapp.workflows.leaf_tests import advice_lines, leaf_report

TOPS = Sampling("wheat", PlantPart.WHOLE_SHOOT, zadoks=31)
YOUNG = Sampling("wheat", PlantPart.YOUNG_LEAF, zadoks=25)
EAR_LEAF = Sampling("maize", PlantPart.EAR_LEAF, stage="tassel_to_silk")


@pytest.fixture
def sheet(tmp_path):
    def made(text):
        path = tmp_path / "leaves.csv"
        path.write_text(text, "utf-8")
        return read_leaf_sheet(path)

    return made


def test_whole_tops_tell_what_the_crop_holds(sheet):
    # 2 t/ha at 0.30 % is 6 kg/ha; 30 mg/kg is 60 g/ha
    found = leaf_report(
        sheet("Sample,P (%),Zn (mg/kg)\nA1,0.30,30\nA2,0.28,\n"), TOPS, dry_matter_t_ha=2.0
    )
    assert found.uptake_kg_ha == pytest.approx(
        np.array([[6.0, 0.06], [5.6, math.nan]]), nan_ok=True
    )
    lines = advice_lines(found)
    assert "A1: the tops hold P 6, Zn 0.06 kg/ha, at 2 t/ha of dry matter." in lines
    assert "A2: the tops hold P 5.6 kg/ha, at 2 t/ha of dry matter." in lines


def test_a_limit_is_no_number_to_count_up(sheet):
    found = leaf_report(sheet("Sample,P (%),Zn (mg/kg)\nA1,0.3,<5\n"), TOPS, dry_matter_t_ha=2.0)
    assert np.isnan(found.uptake_kg_ha[0, 1])


def test_leaves_do_not_tell_what_the_tops_hold(sheet):
    found = leaf_report(sheet("Sample,Zn (mg/kg)\nA1,30\n"), YOUNG, dry_matter_t_ha=2.0)
    assert found.uptake_kg_ha is None
    assert any("whole tops were sampled" in line for line in advice_lines(found))


def test_without_dry_matter_nothing_is_said_of_it(sheet):
    found = leaf_report(sheet("Sample,P (%)\nA1,0.3\n"), TOPS)
    assert found.uptake_kg_ha is None
    assert not any("tops" in line for line in advice_lines(found))


@pytest.mark.parametrize("wrong", [-1.0, math.inf])
def test_a_dry_matter_that_cannot_be_is_refused(sheet, wrong):
    with pytest.raises(SoilInputError, match="dry matter"):
        leaf_report(sheet("Sample,P (%)\nA1,0.3\n"), TOPS, dry_matter_t_ha=wrong)


def test_much_phosphorus_beside_little_zinc_is_a_hint_and_marked_unverified(sheet):
    # campbell-2000: P above 0.5 %, Zn below 15 mg/kg
    leaves = sheet("Sample,P (%),Zn (mg/kg)\nA1,0.6,12\nA2,0.4,12\nA3,0.6,30\n")
    found = leaf_report(leaves, EAR_LEAF, source="campbell-2000")
    assert found.zinc_hints.tolist() == [True, False, False]
    (line,) = (line for line in advice_lines(found) if "P and Zn" in line)
    assert line.startswith("A1, P and Zn: phosphorus is over its range and zinc under it")
    assert "from memory, unverified" in line


def test_a_leaf_sprayed_too_lately_gives_no_hint(sheet):
    leaves = sheet("Sample,P (%),Zn (mg/kg)\nA1,0.6,12\n")
    found = leaf_report(leaves, EAR_LEAF, source="campbell-2000", sprayed=["P=5"])
    assert not found.zinc_hints.any()


def test_a_range_that_is_only_typical_gives_no_hint(sheet):
    # us-wheat-typical: P above 0.4 % is uncommon, not too much
    early = Sampling("wheat", PlantPart.WHOLE_SHOOT, stage="emergence_to_tillering")
    found = leaf_report(sheet("Sample,P (%),Zn (mg/kg)\nA1,0.6,12\n"), early)
    assert not found.zinc_hints.any()


def test_without_both_elements_there_is_no_hint(sheet):
    found = leaf_report(sheet("Sample,Zn (mg/kg)\nA1,5\n"), YOUNG)
    assert found.zinc_hints.tolist() == [False]
