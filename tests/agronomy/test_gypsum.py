"""Gypsum sums against the handbook's check values and against each other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.gypsum import (
    gypsum_by_handbook,
    gypsum_by_oster,
    gypsum_for_sodium,
    sodium_to_replace,
)
from vrxapp.errors import SoilInputError

ACRE_FOOT_CM = 30.48
FOUR_MILLION_LB_AC_T_HA = 4e6 * 0.45359237e-3 / 0.40468564224
SHORT_TON_AC_T_HA = 0.90718474 / 0.40468564224
layers = {"depth_cm": 15.0, "bulk_density_t_m3": 1.3}


@pytest.mark.parametrize(
    ("sodium", "depth_cm", "density", "expected", "within"),
    [
        pytest.param(1.0, 10.0, 1.0, 0.86082, 0.001, id="GYP-01"),
        # CEC 20, ESP 15 to 5: 20 x 0.10 = 2 cmol(+)/kg
        pytest.param(2.0, 15.0, 1.3, 3.3572, 0.01, id="GYP-06"),
    ],
)
def test_exchange_gives_the_handbook_value(sodium, depth_cm, density, expected, within):
    found = gypsum_for_sodium(sodium, depth_cm=depth_cm, bulk_density_t_m3=density)
    assert found == pytest.approx(expected, abs=within)


def test_exchange_agrees_with_the_rule_of_the_handbook():
    # GYP-07; richards-1954 prints 1.7 short tons an acre-foot (four million pounds)
    density = FOUR_MILLION_LB_AC_T_HA / (100.0 * ACRE_FOOT_CM)
    pure_t_ha = gypsum_for_sodium(1.0, depth_cm=ACRE_FOOT_CM, bulk_density_t_m3=density)
    short_tons_ac = pure_t_ha / SHORT_TON_AC_T_HA
    assert short_tons_ac == pytest.approx(1.72164, abs=1e-4)
    assert short_tons_ac == pytest.approx(1.7, abs=0.03)


def test_rule_of_the_handbook_gives_the_textbook_value():
    # GYP-02: CEC 22, ESP 35 to 15, 40 cm; the text prints 22.58
    sodium = sodium_to_replace(22.0, 35.0, target_esp_percent=15.0)
    assert gypsum_by_handbook(sodium, depth_cm=40.0) == pytest.approx(22.5867, abs=0.02)


def test_field_factor_gives_the_textbook_value():
    # GYP-03: 22.58 x 1.25, printed as 28.23
    found = gypsum_by_handbook(4.4, depth_cm=40.0, field_factor=1.25)
    assert found == pytest.approx(28.225, abs=0.01)


@pytest.mark.parametrize(
    ("factor", "purity_percent", "expected"),
    [
        # oster-1999 as quoted: 8.6 F D bulk density CEC (ESP - target) / purity
        pytest.param(1.0, 100.0, 3.354, id="GYP-04"),
        pytest.param(1.1, 80.0, 4.61175, id="GYP-05"),
    ],
)
def test_exchange_with_a_factor_gives_the_handbook_value(factor, purity_percent, expected):
    sodium = sodium_to_replace(20.0, 15.0, target_esp_percent=5.0)
    pure = gypsum_by_oster(sodium, **layers, exchange_factor=factor)
    assert pure * 100.0 / purity_percent == pytest.approx(expected, abs=0.01)


@given(st.floats(0.0, 20.0), st.floats(1.0, 60.0), st.floats(0.8, 1.8))
def test_both_sums_agree_where_all_gypsum_exchanges(sodium, depth_cm, density):
    layer = {"depth_cm": depth_cm, "bulk_density_t_m3": density}
    plain = gypsum_for_sodium(sodium, **layer)
    assert gypsum_by_oster(sodium, **layer, exchange_factor=1.0) == pytest.approx(plain, rel=0.002)


@given(st.floats(0.0, 60.0), st.floats(0.0, 60.0))
def test_a_more_sodic_soil_never_needs_less(first, second):
    low, high = sorted((first, second))
    less, more = sodium_to_replace(20.0, [low, high], target_esp_percent=5.0)
    assert 0 <= less <= more


@given(st.floats(5.0, 60.0))
def test_what_is_replaced_leaves_the_target_behind(esp):
    replaced = sodium_to_replace(20.0, esp, target_esp_percent=5.0)
    assert (20.0 * esp / 100.0 - replaced) / 20.0 * 100.0 == pytest.approx(5.0)


def test_at_or_below_the_target_there_is_nothing_to_replace():
    assert sodium_to_replace(20.0, [5.0, 3.0], target_esp_percent=5.0).tolist() == [0.0, 0.0]


def test_a_missing_value_stays_missing_and_a_number_stays_a_number():
    assert np.isnan(gypsum_for_sodium([np.nan, 1.0], **layers)).tolist() == [True, False]
    assert np.shape(gypsum_for_sodium(1.0, **layers)) == ()
    assert np.shape(gypsum_by_handbook(1.0, depth_cm=30.0)) == ()


@pytest.mark.parametrize("factor", [0.9, 1.31, np.nan])
def test_an_exchange_factor_outside_its_range_is_refused(factor):
    with pytest.raises(SoilInputError, match="exchange_factor"):
        gypsum_by_oster(1.0, **layers, exchange_factor=factor)
