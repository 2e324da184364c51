"""Analyses against the pure compounds, rates from needs, liquids by volume."""

import math

import numpy as np
import periodictable
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError
from vrxapp.inputs.fertiliser_analysis import (
    analysis_doubts,
    content_by_volume,
    element_percent,
    loose_weights,
    product_rate,
    pure_compounds,
)
from vrxapp.inputs.products import Product, product_called, typical_products
from vrxapp.sources import Grade
from vrxapp.units import mass_fraction

TYPICAL = {product.key: product for product in typical_products()}
COMPOUNDS = {compound.key: compound.formula for compound in pure_compounds()}
ELEMENTS = ("N", "P", "K", "S", "Ca", "Mg", "Zn", "Mn", "Cu", "B")


@pytest.mark.parametrize(
    ("key", "element", "expected"),
    [
        pytest.param("urea", "N", 46.6465, id="FERT-01"),
        pytest.param("ammonium_nitrate", "N", 34.9987, id="FERT-02"),
        pytest.param("ammonium_sulphate", "N", 21.2012, id="FERT-03"),
        pytest.param("ammonium_sulphate", "S", 24.2632, id="FERT-04"),
        pytest.param("map", "N", 12.1774, id="FERT-05"),
        pytest.param("map", "P", 26.9281, id="FERT-06"),
        pytest.param("dap", "N", 21.2137, id="FERT-07"),
        pytest.param("dap", "P", 23.4552, id="FERT-08"),
        pytest.param("triple_superphosphate", "P", 24.5762, id="FERT-09"),
        pytest.param("potassium_chloride", "K", 52.4467, id="FERT-10"),
        pytest.param("potassium_sulphate", "K", 44.8752, id="FERT-11"),
        pytest.param("potassium_sulphate", "S", 18.3986, id="FERT-12"),
        pytest.param("potassium_nitrate", "N", 13.8543, id="FERT-13"),
        pytest.param("potassium_nitrate", "K", 38.6718, id="FERT-14"),
        pytest.param("gypsum", "Ca", 23.279, id="FERT-15"),
        pytest.param("gypsum", "S", 18.6218, id="FERT-16"),
        pytest.param("lime", "Ca", 40.0436, id="FERT-17"),
        pytest.param("dolomite", "Ca", 21.7344, id="FERT-18"),
        pytest.param("dolomite", "Mg", 13.1807, id="FERT-19"),
        pytest.param("zinc_sulphate_monohydrate", "Zn", 36.4333, id="FERT-20"),
        pytest.param("zinc_sulphate_heptahydrate", "Zn", 22.7376, id="FERT-21"),
        pytest.param("manganese_sulphate", "Mn", 32.506, id="FERT-22"),
        pytest.param("copper_sulphate", "Cu", 25.4513, id="FERT-23"),
        pytest.param("borax", "B", 11.3383, id="FERT-24"),
        pytest.param("borax_pentahydrate", "B", 14.8444, id="FERT-25"),
        pytest.param("octaborate", "B", 20.9645, id="FERT-26"),
        pytest.param("calcium_nitrate_tetrahydrate", "N", 11.863, id="FERT-27"),
        pytest.param("calcium_nitrate", "N", 15.5544, id="FERT-28"),
        pytest.param("calcium_nitrate", "Ca", 18.5439, id="FERT-29"),
        pytest.param("epsom_salt", "Mg", 9.8614, id="FERT-30"),
        pytest.param("kieserite", "Mg", 17.5645, id="FERT-31"),
        pytest.param("rock_phosphate", "P", 18.426, id="FERT-32"),
    ],
)
def test_a_pure_compound_holds_the_handbook_share(key, element, expected):
    assert element_percent(element, COMPOUNDS[key]) == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize("key", [k for k, f in COMPOUNDS.items() if "." not in f])
def test_compounds_agree_with_periodictable(key):
    for element, share in periodictable.formula(COMPOUNDS[key]).mass_fraction.items():
        assert element_percent(str(element), COMPOUNDS[key]) == pytest.approx(100 * share, rel=2e-4)


def test_uan_by_volume_is_the_trade_grade():
    # FERT-40: 32 % by mass at 1.32 kg/L is sold as 42 % by volume
    density = next(row.value for row in loose_weights("uan_32"))
    assert content_by_volume(TYPICAL["uan_32"].n_percent, density) == pytest.approx(42.24, abs=0.1)


def test_sulfur_of_ammonium_sulphate_is_that_of_its_printed_oxide():
    # FERT-41; rb209-materials prints 60 % SO3
    from_oxide = 60.0 * mass_fraction("S", "SO3")
    assert from_oxide == pytest.approx(24.0279, abs=0.1)
    assert TYPICAL["ammonium_sulphate"].s_percent == pytest.approx(from_oxide, abs=0.1)


@pytest.mark.parametrize("key", sorted(COMPOUNDS.keys() & TYPICAL.keys()))
def test_no_trade_grade_is_purer_than_its_compound(key):
    for element in ELEMENTS:
        held = getattr(TYPICAL[key], f"{element.lower()}_percent")
        most = element_percent(element, COMPOUNDS[key])
        if most > 0 and not math.isnan(held):
            assert 0 < held <= most + 0.01, element


def test_uan_holds_its_nitrogen_in_three_forms():
    # ipni-uan: half from urea, a quarter each nitrate and ammonium
    uan = TYPICAL["uan_32"]
    assert (uan.urea_n_percent, uan.nitrate_n_percent, uan.ammonium_n_percent) == (16, 8, 8)


def test_typical_products_have_no_analysis_that_looks_like_an_oxide():
    assert {p.key: analysis_doubts(p) for p in typical_products() if analysis_doubts(p)} == {}


@pytest.mark.parametrize(
    ("p", "k", "told"), [(52.0, 0.0, "22.7 % P"), (0.0, 60.0, "49.8 % K"), (26.9, 52.4, "")]
)
def test_an_oxide_is_told_with_what_it_would_be(p, k, told):
    doubts = analysis_doubts(Product("x", "Starter", 0.0, p, min(k, 100 - p), 0.0))
    assert told in " ".join(doubts)
    assert bool(doubts) == bool(told)


def test_urea_for_a_need_is_the_need_by_its_strength():
    # NBUD-02: 34.05 kg N/ha as urea of 46 %
    urea = product_called("urea", typical_products())
    assert product_rate(34.05, urea.n_percent) == pytest.approx(74.0217, abs=0.1)


@pytest.mark.parametrize("content", [0.0, -1.0, 120.0])
def test_a_product_without_the_element_has_no_rate(content):
    with pytest.raises(SoilInputError, match="content_percent"):
        product_rate(30.0, content)


def test_a_missing_need_has_no_rate():
    assert np.isnan(product_rate([np.nan], 46.0)).all()


def test_lists_of_loose_weights_disagree_and_none_is_preferred():
    urea = loose_weights("urea")
    assert len(urea) == 2
    assert {row.grade for row in urea} == {Grade.COMMON_PRACTICE}
    # 44 to 48 lb/cu ft; 1 lb/cu ft is 16.018 kg/m³
    assert (urea[0].low, urea[0].high) == pytest.approx((0.705, 0.769), abs=1e-3)


@given(st.floats(0, 500), st.floats(0.5, 100))
def test_the_rate_brings_the_need(need, content):
    assert product_rate(need, content) * content / 100 == pytest.approx(need, abs=1e-9)
