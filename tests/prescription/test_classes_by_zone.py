"""Classes of rows and zones: which scale, from which clay, and why there is none."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.errors import UnknownChoiceError
from vrxapp.prescription.classes_by_zone import classes_of_rows, classes_of_zones
from vrxapp.prescription.scale_choice import ClassChoices, choices_of
from vrxapp.soil.interpretation_scales import scales


def of(table, key):
    return next(tests for tests in table.tests if tests.test.analyte.key == key)


def test_salinity_goes_by_the_clay_of_its_own_row(with_columns):
    # CLASS-03 and CLASS-04, rayment-lyons-2011, Table 3.1: 0.5 dS/m at 30 and at 50 % clay
    table = with_columns(3, ec_1_5=[0.5, 0.5, 0.5], clay=[30.0, 50.0, np.nan])
    found = of(classes_of_rows(table, ClassChoices()), "ec_1_5")
    assert found.words.tolist() == [
        "high: tolerant crops cope",
        "medium: moderately tolerant crops cope",
        "medium",  # without clay the scale is the one for all textures
    ]
    assert [scales()[number].key for number in found.scale_number] == [
        "salinity-by-clay",
        "salinity-by-clay",
        "salinity-without-texture",
    ]


def test_clay_from_the_texture_in_words_is_told(with_columns):
    table = with_columns(1, ec_1_5=[0.5])
    found = of(classes_of_rows(table, ClassChoices(texture="Clay loam")), "ec_1_5")
    assert found.words[0] == "high: tolerant crops cope"
    assert "texture in words" in found.doubts[0]


def test_sodium_share_is_worked_out_and_classed(with_columns):
    # ESP = 100 x 1.2 / 15 = 8 %: sodic from 6, rayment-lyons-2011, method 15N1
    table = with_columns(2, exch_na=[1.2, 1.2], cec=[15.0, np.nan], ecec=[np.nan, 6.0])
    found = of(classes_of_rows(table, ClassChoices()), "esp")
    assert found.test.values == pytest.approx([8.0, 20.0])
    assert found.words.tolist() == ["sodic", "strongly sodic"]
    assert found.test.basis


def test_a_laboratorys_own_share_is_left_as_it_is(with_columns):
    table = with_columns(1, exch_na=[1.2], cec=[15.0], esp=[7.0])
    found = [t for t in classes_of_rows(table, ClassChoices()).tests if t.test.analyte.key == "esp"]
    assert [t.test.values.tolist() for t in found] == [[7.0]]
    assert found[0].test.basis == ""


def test_a_figure_that_lacks_a_part_says_which(with_columns):
    table = with_columns(1, exch_al=[("<", 0.02)], exch_na=[0.2], ec_1_5=[("<", 0.01)])
    found = classes_of_rows(table, ClassChoices())
    assert of(found, "ecec").lacking[0] == "it lacks sum of bases"
    assert "exchange capacity" in of(found, "esp").lacking[0]
    assert of(found, "ec_e").lacking[0] == "it lacks EC 1:5 as a number"
    assert np.isnan(of(found, "ec_e").test.values[0])


def test_sums_and_ratios_follow_the_printed_methods(with_columns):
    table = with_columns(
        1, exch_ca=[5.0], exch_mg=[2.0], exch_k=[0.4], exch_na=[0.3], exch_al=[0.6], exch_h=[0.2]
    )
    found = classes_of_rows(table, ClassChoices())
    values = {
        key: of(found, key).test.values[0]
        for key in ("exch_bases", "ecec", "al_saturation", "ca_mg_ratio")
    }
    # 5 + 2 + 0.4 + 0.3 = 7.7; + 0.6 + 0.2 = 8.5; 0.6 / 8.5 = 7.06 %; 5 / 2 = 2.5
    expected = {"exch_bases": 7.7, "ecec": 8.5, "al_saturation": 7.0588, "ca_mg_ratio": 2.5}
    assert values == pytest.approx(expected, rel=1e-4)


def test_free_salt_leaves_a_share_untold(with_columns):
    table = with_columns(1, exch_na=[9.0], cec=[6.0])
    found = of(classes_of_rows(table, ClassChoices()), "esp")
    assert np.isnan(found.test.values[0])
    assert "free salt" in found.lacking[0]


def test_a_limit_has_a_class_only_where_all_below_it_has_the_same(with_columns):
    table = with_columns(3, chloride=[("<", 100.0), ("<", 150.0), (">", 2500.0)])
    found = of(classes_of_rows(table, ClassChoices()), "chloride")
    assert found.words.tolist() == ["very low", "", "very high"]
    assert "several classes" in found.lacking[1]


def test_a_scale_of_another_layer_or_crop_is_not_lent(with_columns):
    table = with_columns(2, depths=("0-10", "0-30"), sulfur_kcl40=[4.5, 4.5])
    found = of(classes_of_rows(table, ClassChoices(crop="wheat")), "sulfur_kcl40")
    assert found.words.tolist() == ["", "inside the critical range"]
    assert found.lacking[0] == "its scale for wheat is made for 0-30 cm"
    without = of(classes_of_rows(table, ClassChoices()), "sulfur_kcl40")
    assert "wheat" in without.lacking[1]


def test_an_unverified_scale_counts_only_where_it_is_chosen(with_columns):
    table = with_columns(1, exch_k=[0.5])
    assert of(classes_of_rows(table, ClassChoices()), "exch_k").words[0] == ""
    chosen = ClassChoices(scale_keys=("exch-k-metson",))
    assert of(classes_of_rows(table, chosen), "exch_k").words[0] == "moderate"
    with pytest.raises(UnknownChoiceError, match="exch-k-metson"):
        classes_of_rows(table, ClassChoices(scale_keys=("nobody",)))


def test_zones_have_the_class_of_their_mean(season, with_columns):
    table = with_columns(2, chloride=[50.0, 450.0])
    found = classes_of_zones(replace(season, tests=table), choices_of(season))
    assert found.names == ("West", "East")
    assert of(found, "chloride").words.tolist() == ["low", ""]  # the mean of 50 and 450 is 250
    assert of(found, "chloride").lacking.tolist() == ["", "no result"]


def test_each_layer_is_a_place_of_its_own(season, with_columns):
    table = with_columns(2, depths=("10-30", "0-10"), chloride=[50.0, 450.0])
    found = classes_of_zones(replace(season, tests=table), choices_of(season))
    assert found.depths_cm == ("0-10", "0-10", "10-30", "10-30")
    assert of(found, "chloride").words.tolist() == ["medium", "", "very low", ""]


def test_a_season_without_tests_has_no_places(season):
    assert classes_of_zones(replace(season, tests=None), ClassChoices()).names == ()
