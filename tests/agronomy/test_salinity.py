"""Salinity against the handbook's check values, the printed classes and its own limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.rating_bands import rated
from vrxapp.agronomy.salinity import (
    ece_by_line,
    ece_by_saturation,
    ece_by_texture,
    ece_class,
    ece_lines,
    ece_textures,
    salinity_class,
)
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.soil.interpretation import class_name, interpretation
from vrxapp.soil.interpretation_scales import scale
from vrxapp.sources import Grade

conductivities = st.floats(0.0, 20.0)


@pytest.mark.parametrize(
    ("texture", "expected"),
    [
        # slavich-petterson-factors: from memory, so this is consistency only
        pytest.param("loam", 4.75, id="ECE-01"),
        pytest.param("heavy clay", 2.9, id="ECE-02"),
    ],
)
def test_factor_of_a_texture_gives_the_handbook_value(texture, expected):
    assert ece_by_texture(0.5, texture) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        # rayment-lyons-2011, Table 14.2
        pytest.param("talsma-1968", 3.2, id="ECE-03"),
        pytest.param("shaw-1981", 2.103, id="ECE-04"),
    ],
)
def test_published_line_gives_the_handbook_value(line, expected):
    assert ece_by_line(0.5, line) == pytest.approx(expected, abs=0.001)


def test_saturation_water_follows_the_published_equation():
    # slavich-petterson-1993, abstract: f = 2.46 + 3.03 / 0.303 = 12.46
    assert ece_by_saturation([1.0], 0.303) == pytest.approx([12.46])


def test_factors_by_texture_are_all_unverified_and_lines_all_published():
    assert {row.grade for row in ece_textures()} == {Grade.UNVERIFIED}
    assert {row.grade for row in ece_lines()} == {Grade.PUBLISHED}


def test_a_texture_without_a_factor_gives_nothing():
    # the light medium clay of the tables is doubtful and was left out
    assert np.isnan(ece_by_texture([0.5, 0.5], ["light medium clay", ""])).all()


def test_a_line_below_zero_gives_nothing():
    assert np.isnan(ece_by_line([0.1], "shaw-1981")).all()


def test_an_unknown_line_lists_what_there_is():
    with pytest.raises(UnknownChoiceError, match="talsma-1968"):
        ece_by_line([0.5], "nobody")


def test_saturation_water_in_percent_is_refused():
    with pytest.raises(SoilInputError, match="saturation_water_kg_kg"):
        ece_by_saturation([0.5], 45.0)


@pytest.mark.parametrize(
    ("clay", "expected"),
    [
        # rayment-lyons-2011, Table 3.1
        pytest.param(30.0, "high", id="CLASS-03"),
        pytest.param(50.0, "medium", id="CLASS-04"),
    ],
)
def test_salinity_is_classed_by_clay(clay, expected):
    assert salinity_class(0.50, clay) == expected


def test_an_ece_of_five_is_for_tolerant_crops():
    # CLASS-05: Table 3.1, 4.5 to 7.7
    found = interpretation([5.0], scale("ece-crops"))
    assert found.words.tolist() == ["high: tolerant crops cope"]


def test_salinity_is_unknown_outside_the_clay_of_the_table():
    found = salinity_class([0.5, 0.5, 0.5, np.nan, 0.5], [9.9, 80.0, np.nan, 30.0, 79.9])
    assert found.tolist() == ["unknown", "unknown", "unknown", "unknown", "medium"]


def test_the_top_class_is_above_its_printed_limit():
    assert salinity_class([1.21, 1.22], 30.0).tolist() == ["very high", "extreme"]


def test_general_classes_start_where_they_are_printed():
    # Bruce and Rayment 1982; classes of the United States Salinity Laboratory
    assert rated("ec_1_5", [0.14, 0.15, 2.0, 2.01]).tolist() == [
        "very low",
        "low",
        "high",
        "very high",
    ]
    assert ece_class([1.9, 2.0, 16.0, 16.1, np.nan]).tolist() == [
        "non-saline",
        "slightly saline",
        "highly saline",
        "extremely saline",
        "unknown",
    ]


@given(conductivities, conductivities)
def test_a_saltier_extract_is_never_a_less_salty_soil(first, second):
    low, high = sorted((first, second))
    order = [class_name(words) for words in scale("salinity-by-clay").steps[0].words]
    assert order.index(salinity_class(low, 30.0)) <= order.index(salinity_class(high, 30.0))
    assert ece_by_line(low, "talsma-1968") <= ece_by_line(high, "talsma-1968")
    assert ece_by_saturation(low, 0.4) <= ece_by_saturation(high, 0.4)


@given(st.floats(0.05, 1.5), st.floats(0.05, 1.5))
def test_soil_that_holds_more_water_dilutes_its_salt(first, second):
    low, high = sorted((first, second))
    assert ece_by_saturation(1.0, low) >= ece_by_saturation(1.0, high)


@given(st.lists(conductivities, min_size=1, max_size=5))
def test_columns_keep_their_shape_and_a_number_stays_a_number(values):
    for rule in (
        lambda ec: ece_by_texture(ec, "loam"),
        lambda ec: ece_by_line(ec, "talsma-1968"),
        lambda ec: salinity_class(ec, 30.0),
    ):
        assert np.shape(rule(values)) == (len(values),)
        assert np.shape(rule(values[0])) == ()
