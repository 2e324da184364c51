"""Each product brings the cautions that its composition asks for, and no others."""

from dataclasses import replace

import pytest

from vrxapp.inputs.cautions import Placing, cautions
from vrxapp.inputs.products import Material, Product, typical_products

TYPICAL = {product.key: product for product in typical_products()}
LIME = TYPICAL["lime"]


def text(product):
    """All cautions of a product in one line."""
    return " ".join(cautions(product))


@pytest.mark.parametrize("product", typical_products(), ids=lambda p: p.key)
def test_every_product_defers_to_label_and_keeps_from_water(product):
    assert "label" in text(product)
    assert "Waterways" in text(product)


def test_nitrogen_brings_the_caution_about_seed():
    assert "Seed burn" in text(TYPICAL["map"])
    assert "Seed burn" not in text(TYPICAL["triple_superphosphate"])


def test_phosphorus_brings_the_caution_about_algae():
    assert "algae" in text(TYPICAL["map"])
    assert "algae" not in text(TYPICAL["urea"])


@pytest.mark.parametrize(
    ("key", "is_oxidiser", "is_regulated"),
    [
        ("ammonium_nitrate", True, True),
        ("calcium_ammonium_nitrate", True, True),
        ("potassium_nitrate", True, False),
        ("calcium_nitrate", True, False),
        ("urea", False, False),
        ("map", False, False),
    ],
)
def test_a_nitrate_brings_the_caution_about_fire(key, is_oxidiser, is_regulated):
    assert ("Oxidiser" in text(TYPICAL[key])) is is_oxidiser
    assert ("Security" in text(TYPICAL[key])) is is_regulated


def test_nitrogen_of_no_told_form_brings_it_too():
    assert "does not tell the form" in text(Product("x", "X", 30.0, 0.0, 0.0, 0.0))


def test_lime_brings_dust_and_burnt_lime_burns():
    burnt = replace(LIME, neutralising_value_percent=170.0)
    assert "Lime dust" in text(LIME)
    assert "Caustic" not in text(LIME)
    assert "Caustic" in text(burnt)


@pytest.mark.parametrize(
    ("material", "words"),
    [
        (Material.HUMATE, "no compressed air"),
        (Material.FULVATE, "no compressed air"),
        (Material.COAL, "damp coal"),
        (Material.COMPOST, "spores"),
        (Material.MANURE, "Keep grazing stock off for 21 days"),
    ],
)
def test_organic_materials_bring_their_own_and_keep_from_nitrate(material, words):
    found = text(replace(TYPICAL["soluble_humate"], material=material))
    assert words in found
    assert "never store, load or spread it together with a nitrate" in found.lower()


def test_plain_fertiliser_is_not_called_organic():
    assert "Organic matter" not in text(TYPICAL["map"])


def test_elemental_sulfur_brings_the_caution_about_explosion():
    assert "explodes" in text(Product("s", "Sulfur", 0.0, 0.0, 0.0, 90.0))
    assert "explodes" not in text(TYPICAL["gypsum"])


def test_phosphorus_brings_cadmium_with_the_figure_of_the_law():
    # 10 kg P/ha at 300 mg/kg P is 3 g/ha (nsw-biosecurity-2017, clause 43)
    assert "10 kg P/ha may bring up to 3 g/ha" in text(TYPICAL["map"])
    assert "Cadmium" not in text(TYPICAL["urea"])


@pytest.mark.parametrize("key", ["urea", "uan_32"])
def test_urea_on_the_surface_tells_its_losses_and_with_the_seed_its_salt(key):
    product = TYPICAL[key]
    assert "11.7 % of its nitrogen (5.4 to 27 %)" in text(product)
    with_seed = " ".join(cautions(product, placing=Placing.WITH_SEED))
    assert "Ammonia to the air" not in with_seed
    assert "Seed burn" in with_seed


def test_no_urea_no_word_of_ammonia():
    assert "Ammonia to the air" not in text(TYPICAL["map"])


def test_with_the_seed_even_a_product_without_nitrogen_is_cautioned():
    tsp = TYPICAL["triple_superphosphate"]
    assert "Seed burn" in " ".join(cautions(tsp, placing=Placing.WITH_SEED))


@pytest.mark.parametrize(
    ("most_kg_ha", "is_clean_up"), [(0.3, False), (1.0, False), (2.0, True), (float("inf"), True)]
)
def test_a_fulvate_is_cautioned_by_the_most_that_may_be_spread(most_kg_ha, is_clean_up):
    fulvate = replace(TYPICAL["soluble_humate"], material=Material.FULVATE)
    told = " ".join(cautions(fulvate, most_kg_ha=most_kg_ha))
    assert "Never spray less of a registered pesticide" in told
    assert ("Plant-back" in told) is is_clean_up
    assert "Plant-back" not in text(TYPICAL["soluble_humate"])
