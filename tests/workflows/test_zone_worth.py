"""What zones explain of tests and layers: told for each, and honest where it cannot be."""

from dataclasses import replace

import pytest

from vrxapp.ground.zone_editing import whole_paddock
from vrxapp.shipped_files import shipped_folder
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.sample_farm import sample_farm
from vrxapp.workflows.zone_worth import sure_only_together, told_worth, worth_of_zones

SAMPLE = shipped_folder("sample_fields")


@pytest.fixture(scope="module")
def long_bend():
    return sample_farm().seasons[0]


@pytest.fixture(scope="module")
def placed():
    return lab_results(SAMPLE / "lab_georeferenced.csv")


def test_each_test_and_each_layer_has_a_line(long_bend, placed):
    lines = worth_of_zones(long_bend, long_bend.zones.shapes, tests=placed)
    assert [(line.name, line.is_layer) for line in lines] == [
        ("colwell_p", False), ("pbi", False), ("ph_cacl2", False),
        ("Apparent conductivity", True), ("Vegetation index", True),
    ]  # fmt: skip
    # the invented soil follows the zones
    assert all(line.worth.share > 0.8 and line.worth.chance == 0.001 for line in lines[:3])
    assert "of Colwell P in 36 samples" in lines[0].words
    assert "over 32,513 cells" in lines[3].words


def test_only_what_is_wanted_is_compared(long_bend, placed):
    (line,) = worth_of_zones(long_bend, long_bend.zones.shapes, tests=placed, wanted=("pbi",))
    assert line.name == "pbi"


def test_a_sheet_without_positions_says_so_once(long_bend):
    lines = worth_of_zones(long_bend, long_bend.zones.shapes)
    assert [line.is_layer for line in lines] == [False, True, True]
    assert lines[0].worth is None
    assert "no sample has a position" in lines[0].words


def test_one_zone_over_all_explains_nothing_and_says_why(long_bend, placed):
    whole = long_bend.zones.shapes[:0].copy()
    whole.resize(1)
    whole[0] = long_bend.paddock.boundary
    lines = worth_of_zones(long_bend, whole, tests=placed)
    assert all(line.worth is None for line in lines)
    assert "in 1 zones cannot tell whether zones differ" in lines[0].words


def test_a_layer_whose_file_is_gone_is_told_and_the_others_stay(long_bend, placed, tmp_path):
    lost = replace(long_bend.layers[0], path=tmp_path / "gone.tif")
    season = replace(long_bend, layers=(lost, long_bend.layers[1]))
    lines = worth_of_zones(season, season.zones.shapes, tests=placed)
    assert lines[3].worth is None
    assert "gone.tif" in lines[3].words
    assert lines[4].worth is not None


def test_names_of_files_and_layers_stay_as_they_are_written(long_bend, tmp_path):
    lost = replace(long_bend.layers[0], path=tmp_path / "gone.tif")
    flat = replace(long_bend.layers[1], name="ndvi of spring")
    season = replace(long_bend, layers=(lost, flat))
    told = told_worth(worth_of_zones(season, season.zones.shapes))
    assert told[0].startswith("In lab_whole_farm.csv no sample has a position")
    assert told[1].startswith("gone.tif: ")
    assert told[2].startswith("The zones explain ")
    whole = whole_paddock(season.paddock).shapes
    assert told_worth(worth_of_zones(season, whole))[2].startswith("ndvi of spring: ")


def test_many_tests_bring_a_warning_about_chance(long_bend, placed):
    lines = worth_of_zones(long_bend, long_bend.zones.shapes, tests=placed)
    assert sure_only_together(lines) == ""  # three tests are few
    assert "of 20 that zones have nothing to do with" in sure_only_together(lines[:3] * 2)
