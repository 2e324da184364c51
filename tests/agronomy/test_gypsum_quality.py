"""Purity and what gypsum brings, against the handbook's check value and the masses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.gypsum_quality import (
    calcium_in_gypsum,
    gypsum_product,
    gypsum_purity,
    sulfur_in_gypsum,
)
from vrxapp.errors import SoilInputError


def test_sulfur_of_two_tonnes_gives_the_handbook_value():
    # GYP-08: 2 t/ha of 80 % purity, by formula mass
    assert sulfur_in_gypsum(2.0, 80.0) == pytest.approx(297.948, abs=0.5)


def test_purity_follows_the_sulfur():
    # mined material of 12 % S is 64 % gypsum; pure gypsum holds 18.62 %
    assert gypsum_purity([12.0, 18.62]).round(1).tolist() == [64.4, 100.0]


def test_a_label_that_rounds_up_is_pure_and_no_more():
    assert gypsum_purity(18.7) == 100.0


def test_more_sulfur_than_gypsum_can_hold_is_refused():
    with pytest.raises(SoilInputError, match=r"18\.6 % sulfur"):
        gypsum_purity([15.0, 23.5])


@pytest.mark.parametrize("purity", [0.0, 101.0])
def test_an_impossible_purity_is_refused(purity):
    with pytest.raises(SoilInputError, match="purity_percent"):
        gypsum_product(1.0, purity)


@given(st.floats(0.0, 30.0), st.floats(10.0, 100.0))
def test_a_product_holds_the_gypsum_it_was_made_for(pure_t_ha, purity):
    product = gypsum_product(pure_t_ha, purity)
    assert product * purity / 100.0 == pytest.approx(pure_t_ha)
    assert product >= pure_t_ha - 1e-9


@given(st.floats(0.0, 30.0), st.floats(10.0, 100.0))
def test_calcium_and_sulfur_come_mole_for_mole(product_t_ha, purity):
    calcium = calcium_in_gypsum(product_t_ha, purity) / 40.078
    assert calcium == pytest.approx(sulfur_in_gypsum(product_t_ha, purity) / 32.06)


def test_a_missing_purity_gives_a_missing_product():
    assert np.isnan(gypsum_product([1.0, 1.0], [np.nan, 50.0])).tolist() == [True, False]
