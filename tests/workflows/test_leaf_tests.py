"""What a leaf test says: choices in words, classes, advice, and ranges that are only typical."""

import pytest

from vrxapp.agronomy.tissue import PlantPart, Sampling
from vrxapp.errors import MissingInputError, SoilInputError, UnknownChoiceError
from vrxapp.files.leaf_sheet import read_leaf_sheet
from vrxapp.workflows.leaf_tests import (
    advice_lines,
    leaf_parts,
    leaf_report,
    leaf_sources,
    leaf_stages,
    sampling_from,
)

YOUNG = Sampling("wheat", PlantPart.YOUNG_LEAF, zadoks=25)


@pytest.fixture
def sheet(tmp_path):
    def made(text):
        path = tmp_path / "leaves.csv"
        path.write_text(text, "utf-8")
        return read_leaf_sheet(path)

    return made


def test_choices_come_from_the_table():
    assert PlantPart.YOUNG_LEAF in leaf_parts("wheat")
    stages = leaf_stages("wheat", PlantPart.WHOLE_SHOOT)
    assert "emergence_to_tillering" in stages
    assert "Zadoks 31" in stages
    assert [row.source for row in leaf_sources(YOUNG)] == ["cimmyt-wheat"]


@pytest.mark.parametrize("stage", ["25", "Z25", "Zadoks 25", "gs 25"])
def test_a_zadoks_code_is_understood_however_it_is_written(stage):
    assert sampling_from("Wheat", "young leaf", stage) == YOUNG


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (("rye", "young_leaf", "25"), "Choose one of: wheat"),
        (("wheat", "root", "25"), "whole_shoot"),
        (("wheat", "young_leaf", "harvest"), "Zadoks 30"),
        (("", "", ""), "no crop is told"),
        (("canola", "whole_shoot", "25"), "flowering"),
    ],
)
def test_an_unknown_choice_lists_what_there_is(told, said):
    with pytest.raises(UnknownChoiceError) as caught:
        sampling_from(*told)
    assert said in str(caught.value)


def test_samples_of_one_zone_agree_and_others_do_not(sheet):
    same = leaf_report(sheet("Sample,Zone,Zn (mg/kg)\nA,East,90\nB,East,95\n"), YOUNG)
    other = leaf_report(sheet("Sample,Zone,Zn (mg/kg)\nA,East,90\nB,West,95\n"), YOUNG)
    assert same.advice.cut_percent[:, 0].tolist() == [100.0, 100.0]
    assert other.advice.cut_percent[:, 0].tolist() == [25.0, 25.0]
    assert any("at most 25 %" in line for line in advice_lines(other))
    assert any("Do not lift a humate rate" in line for line in advice_lines(same))


def test_no_action_follows_from_a_range_that_is_only_typical(sheet):
    sampling = sampling_from("wheat", "whole_shoot", "emergence_to_tillering")
    report = leaf_report(sheet("Sample,Zn (mg/kg),Cu (mg/kg)\nA,90,25\n"), sampling)
    assert report.found.classes[0].tolist() == ["high", "toxic or excess"]
    assert report.advice.actions[0, 0] == ""
    assert report.advice.actions[0, 1] != ""  # a toxic limit has a source of its own
    assert any("what is common" in line for line in advice_lines(report))


def test_the_ratio_of_the_sampled_stage_is_told(sheet):
    sampling = Sampling("wheat", PlantPart.WHOLE_SHOOT, stage="emergence_to_tillering")
    report = leaf_report(sheet("Sample,N (%),S (%)\nA,4.2,0.3\n"), sampling)
    (column,) = report.ratios
    assert column.values[0] == pytest.approx(14.0)
    assert column.places[0] == "within"


def test_unverified_ranges_count_only_when_their_source_is_named(sheet):
    sampling = sampling_from("maize", "ear_leaf", "tassel_to_silk")
    zinc = sheet("Sample,Zn (mg/kg)\nA,30\n")
    with pytest.raises(UnknownChoiceError, match="campbell-2000"):
        leaf_report(zinc, sampling)
    named = leaf_report(zinc, sampling, source="campbell-2000")
    assert named.found.classes[0, 0] == "adequate"
    with pytest.raises(UnknownChoiceError, match="has no range for this sample"):
        leaf_report(zinc, sampling, source="cimmyt-wheat")


def test_a_lately_sprayed_nutrient_is_not_acted_on(sheet):
    zinc = sheet("Sample,Zn (mg/kg)\nA,90\n")
    assert "too lately" in leaf_report(zinc, YOUNG, sprayed=["zn=5"]).advice.actions[0, 0]
    assert "too lately" not in leaf_report(zinc, YOUNG, sprayed=["Zn=15"]).advice.actions[0, 0]
    with pytest.raises(MissingInputError, match="Zn=5"):
        leaf_report(zinc, YOUNG, sprayed=["Zn five days"])


def test_there_is_no_zadoks_code_above_99():
    with pytest.raises((SoilInputError, UnknownChoiceError)):
        sampling_from("wheat", "young_leaf", "Zadoks 120")
