"""Ratios of nutrients in leaves."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.tissue import PlantPart, Sampling
from vrxapp.agronomy.tissue_ratios import RatioPlace, place_of_ratio, ratio_of, tissue_ratios
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade

CLOVER = Sampling("white_clover", PlantPart.CLOVER_HERBAGE, stage="mown_herbage")
YOUNG = Sampling("wheat", PlantPart.WHOLE_SHOOT, stage="young_plants")
TILLERING = Sampling("wheat", PlantPart.WHOLE_SHOOT, stage="emergence_to_tillering")


def test_clover_ratios_are_those_needed_for_98_percent_of_yield():
    # morton-1998: 100 P/N 7.4, 100 S/N 5.0, K/N 0.43; sinclair-nzga: S/P 0.72
    found = {ratio.key: ratio for ratio in tissue_ratios(CLOVER)}
    assert list(found) == ["clover_p_n", "clover_s_n", "clover_k_n", "clover_s_p"]
    # 4 % N and 0.28 % P: 7.0 of the 7.4 needed; 0.22 % S: 5.5 of 5.0
    assert place_of_ratio(ratio_of(0.28, 4.0), found["clover_p_n"]) == RatioPlace.BELOW
    assert place_of_ratio(ratio_of(0.22, 4.0), found["clover_s_n"]) == RatioPlace.WITHIN
    assert place_of_ratio(ratio_of(0.20, 0.28), found["clover_s_p"]) == RatioPlace.BELOW


def test_wheat_seedlings_want_sulfur_above_22():
    (limit,) = tissue_ratios(YOUNG)  # goodroad-wheat
    assert list(place_of_ratio([14.0, 22.0, 22.5, math.nan], limit)) == [
        RatioPlace.WITHIN,
        RatioPlace.WITHIN,
        RatioPlace.ABOVE,
        RatioPlace.NONE,
    ]


def test_a_typical_range_has_two_ends():
    (typical,) = tissue_ratios(TILLERING)  # us-wheat-typical, Table A: 13 to 15
    assert list(place_of_ratio([12.9, 13.0, 15.0, 15.1], typical)) == [
        RatioPlace.BELOW,
        RatioPlace.WITHIN,
        RatioPlace.WITHIN,
        RatioPlace.ABOVE,
    ]


def test_another_stage_part_or_crop_has_no_ratio():
    assert tissue_ratios(Sampling("wheat", PlantPart.YOUNG_LEAF, stage="young_plants")) == ()
    assert tissue_ratios(Sampling("wheat", PlantPart.WHOLE_SHOOT, zadoks=25)) == ()
    assert tissue_ratios(Sampling("canola", PlantPart.WHOLE_SHOOT, stage="flowering")) == ()


def test_each_ratio_is_published():
    ratios = (*tissue_ratios(CLOVER), *tissue_ratios(YOUNG), *tissue_ratios(TILLERING))
    assert {ratio.grade for ratio in ratios} == {Grade.PUBLISHED}
    assert len(ratios) == 6


def test_nothing_is_divided_by_nothing():
    assert math.isnan(ratio_of(3.0, 0.0))
    with pytest.raises(SoilInputError, match="denominator"):
        ratio_of(3.0, -0.1)


@given(st.floats(0.01, 10), st.floats(0.01, 10), st.floats(0.1, 10))
def test_a_ratio_does_not_hang_on_the_unit(numerator, denominator, factor):
    once = ratio_of(numerator, denominator)
    assert ratio_of(numerator * factor, denominator * factor) == pytest.approx(once)
