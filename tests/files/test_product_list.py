import math

import pytest

from vrxapp.files.product_list import read_product_list
from vrxapp.inputs.products import Material
from vrxapp.sources import Grade

HEADER = "name,n_percent,p_percent,k_percent,s_percent,price_per_tonne,currency\n"


@pytest.fixture
def reader():
    """What `read` opens a file with."""
    return read_product_list


@pytest.fixture
def file_name():
    """The name that `read` saves a file under."""
    return "products.csv"


def test_products_are_read_with_analysis_and_price(read):
    first, second = read(f"{HEADER}MAP, 11,22,0,1.5,900.50,aud\nSingle super,0,8.8,0,11,,\n")
    assert (first.key, first.name) == ("map", "MAP")
    assert (first.n_percent, first.p_percent, first.k_percent, first.s_percent) == (11, 22, 0, 1.5)
    assert (first.price_per_tonne, first.currency) == (900.5, "AUD")
    assert (first.source, first.grade) == ("", Grade.YOURS)
    assert second.key == "single_super"
    assert math.isnan(second.price_per_tonne)


def test_columns_may_stand_in_any_order_without_prices(read):
    (product,) = read("S percent;Name;k_percent;P_percent;n_percent\n1,5;MAP;0;22;11\n")
    assert (product.n_percent, product.p_percent, product.s_percent) == (11, 22, 1.5)
    assert math.isnan(product.price_per_tonne)
    assert product.currency == ""


def test_oxides_become_elements(read):
    header = "name,n_percent,p2o5_percent,k2o_percent,s_percent\n"
    (product,) = read(f"{header}Blend,0,50,30,0\n")
    # 50 x 0.436429 and 30 x 0.83015
    assert product.p_percent == pytest.approx(21.8215, abs=1e-3)
    assert product.k_percent == pytest.approx(24.9045, abs=1e-3)


def test_a_row_may_use_the_oxide_where_its_element_is_blank(read):
    header = "name,n_percent,p_percent,p2o5_percent,k_percent,s_percent\n"
    element, oxide = read(f"{header}One,0,20,,0,0\nTwo,0,,50,0,0\n")
    assert element.p_percent == 20
    assert oxide.p_percent == pytest.approx(21.8215, abs=1e-3)


def test_element_and_oxide_in_one_row_are_refused(refusal):
    header = "name,n_percent,p_percent,p2o5_percent,k_percent,s_percent\n"
    note = refusal(f"{header}One,0,20,46,0,0\n")
    assert (note.row, note.column, note.value) == (2, "p2o5_percent", "46")


@pytest.mark.parametrize(
    ("row", "column", "message"),
    [
        ("MAP,eleven,22,0,1,,", "n_percent", "is not a number"),
        ("MAP,<11,22,0,1,,", "n_percent", "is not a number"),
        ("MAP,11,122,0,1,,", "p_percent", "is not a share"),
        ("MAP,11,-2,0,1,,", "p_percent", "is not a share"),
        ("MAP,11,22,,1,,", "k_percent", "is missing"),
        ("MAP,60,50,0,1,,", "n_percent, p_percent, k_percent, s_percent", "cannot be right"),
        ("MAP,11,22,0,1,-5,AUD", "price_per_tonne", "is not possible"),
        ("MAP,11,22,0,1,900,", "currency", "has no currency"),
        ("MAP,11,22,0,1,900,$", "currency", "has no currency"),
        (",11,22,0,1,,", "name", "has no name"),
        ("dap,11,22,0,1,,", "name", "stands in row 2 already"),
        ("MAP,11,22,0,1,,,extra", "column 8", "8 cells"),
    ],
)
def test_what_cannot_be_right_is_refused_with_row_and_column(refusal, row, column, message):
    note = refusal(f"{HEADER}DAP,18,20,0,1.5,,\n{row}\n")
    assert message in note.message
    assert (note.row, note.column) == (3, column)


@pytest.mark.parametrize(
    ("header", "column", "message"),
    [
        ("name,n_percent,p_percent,k_percent", "s_percent", "is missing"),
        ("product,n_percent,p_percent,k_percent,s_percent", "name", "is missing"),
        ("name,n_percent,p_percent,k_percent,s_percent,prise", "prise", "is not one of"),
        ("name,n_percent,n_percent,p_percent,k_percent,s_percent", "n_percent", "is there twice"),
    ],
)
def test_wrong_columns_are_refused_with_those_there_are(refusal, header, column, message):
    note = refusal(f"{header}\nMAP,1,1,1,1,1\n")
    assert message in note.message
    assert note.column == column
    assert "price_per_tonne" in note.mend


def test_a_list_without_products_is_refused(refusal):
    assert "no products" in refusal(HEADER).message


def test_an_empty_list_is_refused(refusal):
    assert "empty" in refusal("").message


def test_what_else_a_product_is_made_of_is_read(read):
    header = "name,n_percent,p_percent,k_percent,s_percent,Material,nitrate_n_percent,"
    header += "ammonium_n_percent,organic_c_percent,moisture_percent,neutralising_value_percent\n"
    map_, lime = read(f"{header}MAP,11,22,0,1.5,,0,11,0,,\nLime,0,0,0,0,Liming material,,,,6,95\n")
    assert (map_.material, lime.material) == (Material.FERTILISER, Material.LIMING_MATERIAL)
    assert (map_.nitrate_n_percent, map_.ammonium_n_percent, map_.organic_c_percent) == (0, 11, 0)
    assert (lime.moisture_percent, lime.neutralising_value_percent) == (6, 95)
    assert math.isnan(map_.moisture_percent)


def test_trace_elements_are_read(read):
    header = "name,n_percent,p_percent,k_percent,s_percent,Zn percent,b_percent,mo_percent\n"
    zinc, plain = read(f"{header}Zinc starter,10,20,0,1,2.5,0.1,\nMAP,11,22,0,1,,,\n")
    assert (zinc.zn_percent, zinc.b_percent) == (2.5, 0.1)
    assert math.isnan(zinc.mo_percent)
    assert math.isnan(plain.zn_percent)


def test_what_is_not_told_stays_untold(read):
    (product,) = read(f"{HEADER}Blend,20,0,0,0,,\n")
    assert math.isnan(product.nitrate_n_percent)
    assert math.isnan(product.organic_c_percent)
    assert product.material is Material.FERTILISER


def test_burnt_lime_may_neutralise_more_than_pure_lime(read):
    header = "name,n_percent,p_percent,k_percent,s_percent,neutralising_value_percent\n"
    (product,) = read(f"{header}Burnt lime,0,0,0,0,178\n")
    assert product.neutralising_value_percent == 178


@pytest.mark.parametrize(
    ("column", "text", "message"),
    [
        ("material", "rocks", "is not a material"),
        ("organic_c_percent", "140", "is not a share"),
        ("neutralising_value_percent", "190", "is not a share"),
        ("moisture_percent", "wet", "is not a number"),
        ("zn_percent", "101", "is not a share"),
    ],
)
def test_a_composition_that_cannot_be_is_refused(refusal, column, text, message):
    note = refusal(f"name,n_percent,p_percent,k_percent,s_percent,{column}\nX,0,0,0,0,{text}\n")
    assert message in note.message
    assert (note.row, note.column) == (2, column)


def test_forms_beyond_the_nitrogen_are_refused_with_their_row(refusal):
    header = "name,n_percent,p_percent,k_percent,s_percent,nitrate_n_percent,urea_n_percent\n"
    note = refusal(f"{header}Blend,20,0,0,0,15,15\n")
    assert "add up to 30 %" in note.message
    assert note.row == 2
    assert "nitrate_n_percent" in note.column
