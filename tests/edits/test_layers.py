"""Rasters linked to a season, and let go of."""

from pathlib import Path

import pytest

from vrxapp.edits.layers import (
    add_layer,
    freely_named,
    layer_called,
    linked_before,
    remove_layer,
)
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.ground.linked_raster import LinkedRaster

SURVEY = LinkedRaster("Survey", Path("/maps/survey.tif"), "ab")


def test_layers_are_added_in_order_and_removed(season):
    two = add_layer(add_layer(season, SURVEY), LinkedRaster("Index", Path("/i.tif"), "cd"))
    assert [layer.name for layer in two.layers] == ["Survey", "Index"]
    assert season.layers == ()
    assert add_layer(two, SURVEY) is two
    assert [layer.name for layer in remove_layer(two, "survey ").layers] == ["Index"]


def test_two_layers_of_one_name_are_refused(season):
    with pytest.raises(UnknownChoiceError, match="already"):
        add_layer(add_layer(season, SURVEY), LinkedRaster("SURVEY", Path("/other.tif"), "ef"))


def test_a_free_name_is_found_by_a_number(season):
    other = LinkedRaster("survey", Path("/other.tif"), "ef")
    season = add_layer(season, SURVEY)
    assert freely_named(season, SURVEY) is SURVEY
    season = add_layer(season, freely_named(season, other))
    assert [layer.name for layer in season.layers] == ["Survey", "survey (2)"]
    third = LinkedRaster("Survey", Path("/third.tif"), "01")
    assert freely_named(season, third).name == "Survey (3)"


def test_a_band_is_known_again_under_another_name(season):
    season = add_layer(season, SURVEY)
    assert linked_before(season, LinkedRaster("Other", SURVEY.path, "ab")) is SURVEY
    assert linked_before(season, LinkedRaster("Other", SURVEY.path, "ab", band=2)) is None
    assert linked_before(season, LinkedRaster("Other", SURVEY.path, "changed")) is None


def test_an_unknown_layer_names_those_there_are(season):
    with pytest.raises(UnknownChoiceError, match="none yet"):
        remove_layer(season, "Survey")
    with pytest.raises(UnknownChoiceError, match="Choose one of: Survey"):
        layer_called(add_layer(season, SURVEY), "Index")


def test_a_layer_has_a_name():
    with pytest.raises(MissingInputError, match="no name"):
        LinkedRaster(" ", Path("/maps/survey.tif"), "ab")
