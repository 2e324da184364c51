"""Fulvic rates: bands and cautions, and the label that stands above them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.fulvic import (
    FulvicBand,
    fulvic_band,
    fulvic_cautions,
    fulvic_rates,
    require_label_rate,
)
from vrxapp.agronomy.humate_claims import Evidence, humate_claim
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade


@pytest.mark.parametrize(
    ("rate", "band"),
    [
        (0.0, FulvicBand.NONE),
        (0.3, FulvicBand.ORDINARY),
        (1.0, FulvicBand.ORDINARY),
        (1.1, FulvicBand.ABOVE_ORDINARY),
        (3.0, FulvicBand.CLEAN_UP),
        (9.0, FulvicBand.CLEAN_UP),
    ],
)
def test_a_rate_lies_in_its_band(rate, band):
    assert fulvic_band([rate])[0] == band


def test_a_missing_rate_lies_in_no_band():
    assert fulvic_band([float("nan"), 0.3]).tolist() == ["", "ordinary"]


def test_every_rate_of_the_trade_is_called_unsourced():
    assert {row.grade for row in fulvic_rates()} == {Grade.COMMON_PRACTICE}
    assert humate_claim("CLM-13").evidence is Evidence.NONE_FOUND


@pytest.mark.parametrize("band", [FulvicBand.ABOVE_ORDINARY, FulvicBand.CLEAN_UP])
@pytest.mark.parametrize("word", ["groundwater", "dams", "Plant-back, withholding", "stay"])
def test_a_clean_up_warns_of_water_and_leaves_the_label_times(band, word):
    assert word in " ".join(caution.text for caution in fulvic_cautions(band))


@pytest.mark.parametrize("band", [band for band in FulvicBand if band is not FulvicBand.NONE])
def test_every_rate_says_never_less_than_the_label(band):
    told = " ".join(caution.text for caution in fulvic_cautions(band))
    assert "Never spray less of a registered pesticide than its label" in told


def test_without_fulvic_there_is_nothing_to_mind():
    assert fulvic_cautions(FulvicBand.NONE) == ()


def test_less_than_the_label_is_refused_and_a_place_left_out_is_not():
    require_label_rate([0.0, 1.2, 2.0], label_rate=1.2, name="the herbicide")
    with pytest.raises(SoilInputError, match="that its label says; 1 of 3 places") as caught:
        require_label_rate([0.0, 1.1, 2.0], label_rate=1.2, name="the herbicide")
    assert "no humic or fulvic product" in caught.value.note.mend


@given(st.floats(0.01, 100), st.floats(0, 0.99))
def test_no_share_of_a_label_rate_passes(label_rate, share):
    rate = label_rate * share
    if rate == 0:
        require_label_rate(rate, label_rate=label_rate, name="x")
        return
    with pytest.raises(SoilInputError):
        require_label_rate(rate, label_rate=label_rate, name="x")
