"""Compost, manure and litter noted on a paddock, and taken out again."""

import pytest

from vrxapp.agronomy.organic_dressing import OrganicDressing, typical_analysis
from vrxapp.edits.dressings import add_dressing, remove_dressing
from vrxapp.errors import UnknownChoiceError

LITTER = OrganicDressing(typical_analysis("litter_straw"), 5.0)


def test_a_dressing_is_noted_and_taken_out(season):
    noted = add_dressing(season, LITTER)
    assert noted.dressings == (LITTER,)
    assert season.dressings == ()
    assert remove_dressing(noted, LITTER.analysis.name.upper()).dressings == ()


def test_a_name_stands_for_one_dressing(season):
    with pytest.raises(UnknownChoiceError, match="already"):
        add_dressing(add_dressing(season, LITTER), LITTER)


def test_an_unknown_name_is_told_with_those_there_are(season):
    with pytest.raises(UnknownChoiceError, match="Meat-chicken litter, straw"):
        remove_dressing(add_dressing(season, LITTER), "compost")
    with pytest.raises(UnknownChoiceError, match="none yet"):
        remove_dressing(season, "compost")
