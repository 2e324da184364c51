"""A humate beside a starter, against the handbook's check values."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError, VrxError
from vrxapp.inputs.humate_inclusion import (
    COMMON_CAP_KG_HA,
    COMMON_SHARE_PERCENT,
    included_humate,
    nutrient_of_mix_percent,
    share_of_mix_percent,
    starter_in_mix,
    starter_rate_at_cap,
)
from vrxapp.inputs.products import product_called, typical_products

MAP, DAP, CAN, HUMATE = (
    product_called(key, typical_products())
    for key in ("map", "dap", "calcium_ammonium_nitrate", "soluble_humate")
)


def mix(rate, **given):
    """Five per cent of humate with MAP, or what is given."""
    return included_humate(
        rate, **{"starter": MAP, "humate": HUMATE, "share_percent": COMMON_SHARE_PERCENT} | given
    )


@pytest.mark.parametrize(
    ("rate", "humate", "together"),
    [
        pytest.param(1000.0, 50.0, 1050.0, id="QTY-01 QTY-02"),
        pytest.param(25.0, 1.25, 26.25, id="QTY-04"),
        pytest.param(100.0, 5.0, 105.0, id="QTY-06"),
        pytest.param(50.0, 2.5, 52.5, id="QTY-14"),
    ],
)
def test_five_per_cent_is_of_the_starters_mass(rate, humate, together):
    found = mix(rate)
    assert (found.humate_kg_ha, found.set_rate_kg_ha) == pytest.approx((humate, together))
    assert found.starter_kg_ha == rate


@pytest.mark.parametrize("expected", [pytest.param(4.762, id="QTY-03")])
def test_the_share_of_the_mix_is_smaller(expected):
    assert share_of_mix_percent(5.0) == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize(
    ("mass", "expected"),
    [pytest.param(3000.0, 2857.1, id="QTY-05"), pytest.param(100.0, 95.24, id="QTY-08")],
)
def test_the_starter_in_a_hopper_or_a_rate_is_the_handbook_value(mass, expected):
    found = starter_in_mix(mass, share_of_starter_percent=5.0)
    assert found == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize(
    ("percent", "expected"),
    [pytest.param(21.9, 20.857, id="QTY-07 P"), pytest.param(10.0, 9.524, id="QTY-07 N")],
)
def test_the_mix_holds_less_of_each_nutrient(percent, expected):
    found = nutrient_of_mix_percent(percent, share_of_starter_percent=5.0)
    assert found == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize("expected", [pytest.param(52.63, id="QTY-09")])
def test_five_per_cent_of_the_mix_is_more(expected):
    # 5 % of the mix is 5 / 95 of the starter
    found = mix(1000.0, share_percent=100 * 5 / 95)
    assert found.humate_kg_ha == pytest.approx(expected, abs=0.01)
    assert share_of_mix_percent(100 * 5 / 95) == pytest.approx(5.0)


@pytest.mark.parametrize("expected", [pytest.param(400.0, id="QTY-10")])
def test_the_cap_bites_above_the_handbook_rate(expected):
    at_cap = starter_rate_at_cap(COMMON_CAP_KG_HA, share_percent=COMMON_SHARE_PERCENT)
    assert at_cap == expected
    found = mix([at_cap, at_cap + 1], cap_kg_ha=COMMON_CAP_KG_HA)
    assert found.is_capped.tolist() == [False, True]
    assert found.humate_kg_ha.tolist() == [20, 20]


def test_above_the_cap_the_starter_is_not_cut_and_the_share_falls():
    found = mix([2000.0], cap_kg_ha=20.0)
    assert found.set_rate_kg_ha == pytest.approx([2020.0])
    assert found.share_of_starter_percent == pytest.approx([1.0])


def test_humic_acid_follows_the_label_and_is_unknown_without_one():
    told = replace(HUMATE, humic_acid_percent=60.0)
    assert mix(100.0, humate=told).humic_acid_kg_ha == pytest.approx(3.0)
    assert np.isnan(mix(100.0).humic_acid_kg_ha)


def test_a_place_without_starter_gets_no_humate():
    found = mix([0.0, math.nan])
    assert found.humate_kg_ha[0] == 0
    assert np.isnan(found.set_rate_kg_ha[1])
    assert np.isnan(found.share_of_starter_percent).all()


def test_humate_with_a_nitrate_is_refused_before_anything_is_worked_out():
    with pytest.raises(VrxError, match="must never meet") as caught:
        mix(100.0, starter=CAN)
    assert not re.search(r"\d", str(caught.value))
    assert "separate days" in caught.value.note.mend


@pytest.mark.parametrize("wrong", [{"share_percent": 0.0}, {"cap_kg_ha": 0.0}])
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(SoilInputError):
        mix(100.0, **wrong)
    with pytest.raises(SoilInputError, match="starter_kg_ha"):
        mix(-1.0)


@given(
    st.lists(st.floats(0, 3000), min_size=1, max_size=6),
    st.floats(0.1, 20),
    st.floats(0.5, 100),
    st.sampled_from([MAP, DAP]),
)
def test_the_mix_is_the_sum_of_its_parts(rates, share, cap, starter):
    found = mix(rates, share_percent=share, cap_kg_ha=cap, starter=starter)
    assert found.set_rate_kg_ha == pytest.approx(found.starter_kg_ha + found.humate_kg_ha)
    assert np.all(found.humate_kg_ha <= cap)
    below = ~found.is_capped
    kept = starter_in_mix(found.set_rate_kg_ha[below], share_of_starter_percent=share)
    assert kept == pytest.approx(np.asarray(rates)[below])
