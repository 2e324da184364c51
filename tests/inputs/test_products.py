"""Products: an analysis that can be, a price or none, and names that are found."""

import math

import pytest

from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.inputs.cautions import cautions
from vrxapp.inputs.products import Product, product_called, typical_products
from vrxapp.sources import source


@pytest.mark.parametrize("product", typical_products(), ids=lambda p: p.key)
def test_typical_products_are_elemental_have_a_source_and_no_price(product):
    # UK Fertiliser Manual (RB209): MAP holds 22 to 22.7 % P; 52 would be the oxide
    assert 0 < product.p_percent < 27  # pure MAP holds 26.9 % P
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


def test_nitrogen_brings_the_caution_about_seed():
    by_key = {p.key: " ".join(cautions(p)) for p in typical_products()}
    assert "Seed burn" in by_key["map"]
    assert "Seed burn" not in by_key["triple_superphosphate"]
    assert all("label" in text and "Waterways" in text for text in by_key.values())
