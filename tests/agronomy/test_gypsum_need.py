"""Gypsum is advised only where soil is sodic and was seen to disperse."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.gypsum_need import gypsum_need
from vrxapp.agronomy.gypsum_values import (
    GypsumChoices,
    GypsumMethod,
    GypsumSoil,
    gypsum_methods,
)
from vrxapp.agronomy.trail import Trail, told_for
from vrxapp.errors import MissingInputError, SoilInputError
from vrxapp.sources import Grade

EXCHANGE = GypsumMethod.EXCHANGE
TO_FIVE = GypsumChoices(target_esp_percent=5.0)


def soil_of(**columns):
    base = {
        "sodium_cmol_kg": 3.0,
        "cec_cmol_kg": 20.0,
        "dispersion": "disperses",
        "bulk_density_t_m3": 1.3,
        "depth_cm": 15.0,
    }
    return GypsumSoil(**{**base, **columns})


def test_a_sodic_soil_that_disperses_needs_gypsum():
    # GYP-06: ESP 15 to 5, CEC 20, 15 cm at 1.3 t/m3
    need = gypsum_need(EXCHANGE, soil_of(sodium_cmol_kg=[3.0]), choices=TO_FIVE)
    assert need.amount == pytest.approx([3.3572], abs=0.001)
    assert need.reason.tolist() == [""]


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ({"sodium_cmol_kg": [1.1]}, "not sodic"),
        ({"sodium_cmol_kg": [1.1], "dispersion": [""]}, "not sodic"),
        ({"dispersion": ["stable"]}, "does not disperse"),
        ({"texture": ["Sand"]}, "no structure"),
    ],
)
def test_where_gypsum_mends_nothing_none_is_advised(columns, words):
    need = gypsum_need(EXCHANGE, soil_of(**columns), choices=TO_FIVE)
    assert need.amount.tolist() == [0.0]
    assert words in need.reason[0]


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ({"sodium_cmol_kg": [np.nan]}, "no exchangeable sodium"),
        ({"cec_cmol_kg": [np.nan]}, "no exchange capacity"),
        ({"cec_cmol_kg": [2.9], "sodium_cmol_kg": 1.0}, "below 3"),
        ({"sodium_cmol_kg": [25.0]}, "more than the exchange capacity"),
        ({"dispersion": [""]}, "no dispersion test"),
        ({"bulk_density_t_m3": [np.nan]}, "no bulk density"),
    ],
)
def test_what_is_missing_is_named(columns, words):
    need = gypsum_need(EXCHANGE, soil_of(**columns), choices=TO_FIVE)
    assert np.isnan(need.amount).tolist() == [True]
    assert words in need.reason[0]


def test_the_handbook_rule_needs_no_bulk_density():
    soil = soil_of(bulk_density_t_m3=np.nan, sodium_cmol_kg=[3.0])
    need = gypsum_need(GypsumMethod.HANDBOOK, soil, choices=TO_FIVE)
    assert need.amount == pytest.approx([3.85 * 2.0 / 2.0])


def test_years_share_the_amount():
    whole = gypsum_need(EXCHANGE, soil_of(), choices=TO_FIVE).amount
    yearly = gypsum_need(EXCHANGE, soil_of(), choices=GypsumChoices(5.0, years=4.0)).amount
    assert yearly * 4.0 == pytest.approx(whole)


def test_a_strongly_sodic_saline_soil_is_doubted_in_full():
    soil = soil_of(sodium_cmol_kg=[10.0], ece_ds_m=[6.0])
    doubt = gypsum_need(EXCHANGE, soil, choices=TO_FIVE).doubt[0]
    assert "ESP is above 15" in doubt
    assert "over 10 t/ha" in doubt
    assert "saline" in doubt
    assert "the least" in doubt


def test_where_there_is_no_need_there_is_no_doubt():
    soil = soil_of(sodium_cmol_kg=[10.0], dispersion=["stable"], ece_ds_m=[6.0])
    assert gypsum_need(EXCHANGE, soil, choices=TO_FIVE).doubt.tolist() == [""]


def test_an_exchange_factor_has_to_be_chosen():
    with pytest.raises(MissingInputError, match="exchange factor"):
        gypsum_need(GypsumMethod.OSTER, soil_of(), choices=TO_FIVE)


def test_a_target_has_to_be_chosen():
    with pytest.raises(MissingInputError, match="ESP to be reached"):
        gypsum_need(EXCHANGE, soil_of(), choices=GypsumChoices())


@pytest.mark.parametrize("target", [0.0, -1.0, 6.1])
def test_a_target_that_leaves_soil_sodic_is_refused(target):
    with pytest.raises(SoilInputError, match="target_esp_percent"):
        gypsum_need(EXCHANGE, soil_of(), choices=GypsumChoices(target))


def test_an_unknown_dispersion_result_is_refused():
    with pytest.raises(SoilInputError, match="dispersion"):
        gypsum_need(EXCHANGE, soil_of(dispersion=["maybe"]), choices=TO_FIVE)


def test_the_trail_can_be_redone_from_its_sentences():
    need = gypsum_need(EXCHANGE, soil_of(sodium_cmol_kg=[3.0]), choices=TO_FIVE)
    told = told_for(Trail(need.steps), 0)
    assert told[0].text == "ESP: 3 / 20 = 15 %, sodic."
    assert "2 cmol(+)/kg of sodium with 3.36 t/ha" in told[1].text
    assert told[-1].text == "Need: 3.36 t gypsum/ha."
    assert any("waterways" in caution for caution in need.cautions)


def test_every_method_is_published():
    assert {row.grade for row in gypsum_methods()} == {Grade.PUBLISHED}
    assert {row.key for row in gypsum_methods()} == set(GypsumMethod)


@given(
    st.lists(st.floats(0.0, 20.0), min_size=2, max_size=12),
    st.sampled_from([GypsumMethod.EXCHANGE, GypsumMethod.HANDBOOK]),
)
def test_more_sodium_never_asks_for_less(sodium, method):
    need = gypsum_need(method, soil_of(sodium_cmol_kg=np.sort(sodium)), choices=TO_FIVE).amount
    assert (np.diff(need) >= -1e-9).all()
    assert (need >= 0).all()


def test_one_place_without_a_dimension_is_worked_out_too():
    need = gypsum_need(EXCHANGE, soil_of(), choices=TO_FIVE)
    assert np.shape(need.amount) == np.shape(need.reason) == np.shape(need.steps[0].values) == ()
