"""The sum of an organic, as screen and terminal both show it."""

import math

import pytest

from vrxapp.errors import MissingInputError
from vrxapp.workflows.organics import (
    NO_FIGURE,
    NOT_TOLD,
    OrganicAsk,
    OrganicSettings,
    available_words,
    need_rate_words,
    organic_analysis_from,
    organic_lines,
    organic_sum,
)

LITTER = OrganicSettings(typical="litter_sawdust")
OWN = OrganicSettings(material="compost", moisture_percent=35.0, n_percent=1.6, p_percent=0.5)


def summed(settings, **ask):
    return organic_sum(organic_analysis_from(settings), OrganicAsk(**ask))


def test_wet_and_dry_rates_are_two_sides_of_one_rate():
    assert summed(LITTER, wet_t_ha=6.0).dry_t_ha == pytest.approx(4.5)
    assert summed(LITTER, dry_t_ha=4.5).wet_t_ha == pytest.approx(6.0)


def test_without_a_rate_it_is_rated_by_phosphorus_first():
    found = summed(OWN, need_p_kg_ha=20.0, need_n_kg_ha=200.0)
    assert found.wet_t_ha == pytest.approx(20.0 / (0.65 * 5.0))
    by_nitrogen = need_rate_words(found.need_rates[1], found)
    assert "62.5 kg P/ha, more than is asked for" in by_nitrogen


def test_a_smaller_counted_share_asks_for_more():
    half = summed(OWN, need_p_kg_ha=20.0, counted_percent=50.0)
    assert half.wet_t_ha == pytest.approx(2 * summed(OWN, need_p_kg_ha=20.0).wet_t_ha)


def test_a_nutrient_without_a_figure_says_so():
    found = summed(LITTER, wet_t_ha=6.0)
    words = [available_words(n, found.analysis) for n in found.nutrients]
    assert "all nitrogen is taken as organic" in words[0][0]
    assert words[1:] == [(NO_FIGURE,)] * 3
    own = summed(OWN, wet_t_ha=6.0)
    assert available_words(own.nutrients[2], own.analysis) == (NOT_TOLD,)


def test_the_lines_end_with_cautions_and_sources():
    lines = organic_lines(summed(LITTER, wet_t_ha=6.0))
    assert "N: carries 171 kg/ha" in lines
    assert any("botulism" in line for line in lines)
    assert any(line.startswith("agrifutures-litter: ") for line in lines)


def test_a_dry_rate_of_manure_told_as_supplied_is_unknown_without_its_moisture():
    manure = OrganicSettings(typical="feedlot_aged")
    assert math.isnan(summed(manure, wet_t_ha=10.0).dry_t_ha)
    with pytest.raises(MissingInputError, match="moisture"):
        summed(manure, dry_t_ha=10.0)


@pytest.mark.parametrize(
    ("settings", "ask", "complaint"),
    [
        (OrganicSettings(), {"wet_t_ha": 1.0}, "typical analysis, or by one of your own"),
        (OrganicSettings("litter_straw", n_percent=3.0), {"wet_t_ha": 1.0}, "one of the two"),
        (LITTER, {}, "no rate"),
        (LITTER, {"wet_t_ha": 1.0, "dry_t_ha": 1.0}, "one of the two"),
        (
            OrganicSettings(moisture_percent=30.0, n_percent=1.0),
            {"need_p_kg_ha": 10.0},
            "tells no P",
        ),
    ],
)
def test_what_is_missing_is_said(settings, ask, complaint):
    with pytest.raises(MissingInputError, match=complaint):
        summed(settings, **ask)
