"""Products: an analysis that can be, a price or none, and names that are found."""

import math

import pytest

from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.inputs.products import Material, Product, product_called, typical_products
from vrxapp.sources import Grade, source


@pytest.mark.parametrize("product", typical_products(), ids=lambda p: p.key)
def test_typical_products_are_elemental_have_a_source_and_no_price(product):
    assert 0 <= product.p_percent < 27  # pure MAP holds 26.9 % P; 52 would be the oxide
    assert 0 <= product.k_percent < 52.5  # pure KCl holds 52.4 % K; 60 would be the oxide
    assert source(product.source).grade is product.grade
    assert math.isnan(product.price_per_tonne)


@pytest.mark.parametrize("shares", [(101, 0, 0, 0), (-1, 0, 0, 0), (60, 30, 20, 0)])
def test_an_analysis_that_cannot_be_is_refused(shares):
    with pytest.raises(MissingInputError, match="analysis"):
        Product("x", "X", *map(float, shares))


@pytest.mark.parametrize("price", [-1.0, math.inf])
def test_a_price_that_cannot_be_is_refused(price):
    with pytest.raises(MissingInputError, match="price"):
        Product("x", "X", 0.0, 20.0, 0.0, 0.0, price)


def test_a_product_is_found_by_key_or_name():
    assert (
        product_called("triple  SUPERPHOSPHATE", typical_products()).key == "triple_superphosphate"
    )
    with pytest.raises(UnknownChoiceError, match="single_superphosphate"):
        product_called("sand", typical_products())


@pytest.mark.parametrize("product", typical_products(), ids=lambda p: p.key)
def test_typical_products_tell_the_form_of_all_their_nitrogen(product):
    forms = product.nitrate_n_percent + product.ammonium_n_percent + product.urea_n_percent
    assert forms == pytest.approx(product.n_percent)
    assert source(product.composition_source)


def test_typical_nitrates_hold_the_nitrate_of_their_formula():
    nitrate = {p.key: p.nitrate_n_percent / p.n_percent for p in typical_products() if p.n_percent}
    assert nitrate["ammonium_nitrate"] == nitrate["calcium_ammonium_nitrate"] == 0.5
    assert nitrate["potassium_nitrate"] == 1
    # 5Ca(NO3)2.NH4NO3.10H2O: 11 of 12 nitrogen atoms
    assert nitrate["calcium_nitrate"] == pytest.approx(11 / 12, abs=0.002)
    assert nitrate["map"] == nitrate["dap"] == nitrate["urea"] == 0


def test_soluble_humate_brings_no_nutrient_credit():
    humate = product_called("soluble_humate", typical_products())
    assert humate.material is Material.HUMATE
    assert (humate.n_percent, humate.p_percent, humate.k_percent, humate.s_percent) == (0, 0, 0, 0)


@pytest.mark.parametrize(
    "composition",
    [
        {"organic_c_percent": 101.0},
        {"moisture_percent": -1.0},
        {"neutralising_value_percent": 181.0},
        {"ca_percent": math.inf},
        {"zn_percent": 101.0},
        {"b_percent": -0.1},
    ],
)
def test_a_composition_that_cannot_be_is_refused(composition):
    with pytest.raises(MissingInputError, match=next(iter(composition))):
        Product("x", "X", 0.0, 0.0, 0.0, 0.0, **composition)


def test_forms_beyond_the_nitrogen_are_refused():
    with pytest.raises(MissingInputError, match="forms of nitrogen"):
        Product("x", "X", 20.0, 0.0, 0.0, 0.0, nitrate_n_percent=15.0, urea_n_percent=15.0)


def test_products_that_tell_the_same_are_equal():
    first, second = (Product("x", "X", 1.0, 0.0, 0.0, 0.0, float("nan")) for _ in range(2))
    assert first == second


def test_trace_products_tell_their_element_and_are_marked_unverified():
    told = {
        "zinc_sulphate_monohydrate": "zn_percent",
        "manganese_sulphate": "mn_percent",
        "copper_sulphate": "cu_percent",
        "borax": "b_percent",
    }
    for key, element in told.items():
        product = product_called(key, typical_products())
        assert getattr(product, element) > 10
        assert product.grade is Grade.UNVERIFIED
