"""Tests that a sheet lacks: estimated where that is published, marked, and read by no rate."""

import numpy as np
import pytest

from vrxapp.agronomy.critical_values import critical_value
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.need_plans import CropPlan, PhosphorusPlan, Purpose
from vrxapp.prescription.classes_by_zone import classes_of_rows
from vrxapp.prescription.estimated_tests import EstimateChoices, ece_ways
from vrxapp.prescription.scale_choice import ClassChoices
from vrxapp.prescription.sheet_needs import SheetPlans, sheet_need
from vrxapp.soil.phosphorus_buffering import pbi_unadjusted, pbi_with_colwell, pbi_with_olsen
from vrxapp.sources import Grade, source


def of(table, key):
    return [found for found in table.tests if found.test.analyte.key == key]


def looked_at(table, **choices):
    texture = choices.pop("texture", "")
    return classes_of_rows(
        table, ClassChoices(texture=texture, estimates=EstimateChoices(**choices))
    )


def test_ece_is_the_range_that_the_published_lines_span(with_columns):
    # ECE-03 and ECE-04, rayment-lyons-2011, Table 14.2: at 0.5 dS/m Shaw 6.08 x 0.5 - 0.937 is
    # the least, 2.103; Loveday 6.5 x 0.5 the most, 3.25
    (found,) = of(looked_at(with_columns(1, ec_1_5=[0.5])), "ec_e")
    assert found.test.low[0] == pytest.approx(2.103, abs=0.001)
    assert found.test.high[0] == pytest.approx(3.25)
    assert found.test.is_estimate
    assert (found.test.source, found.test.grade) == ("rayment-lyons-2011", Grade.PUBLISHED)
    assert found.words[0] == "medium: moderately tolerant crops cope"  # 1.9 to 4.5, Table 3.1
    by_five = ClassChoices(scale_keys=("ece-us",))
    (other,) = of(classes_of_rows(with_columns(1, ec_1_5=[0.5]), by_five), "ec_e")
    assert other.words[0] == "slightly saline"  # 2 to 4, richards-1954


def test_a_range_over_several_classes_has_none_and_says_which(with_columns):
    # 0.35 dS/m: 1.191 to 2.275, either side of 1.9
    (found,) = of(looked_at(with_columns(2, ec_1_5=[0.5, 0.35])), "ec_e")
    assert found.words[1] == ""
    assert found.span.tolist() == ["", "low to medium"]
    assert found.lacking[1] == "the estimate spans several classes"


def test_a_line_that_would_go_below_zero_leaves_no_salt_as_the_least(with_columns):
    (found,) = of(looked_at(with_columns(1, ec_1_5=[0.1])), "ec_e")
    assert found.test.low[0] == 0.0
    assert found.test.high[0] == pytest.approx(0.65)


@pytest.mark.parametrize("texture", ["sand", "Loamy sand", "CS"])
def test_the_lines_are_not_used_on_sands(with_columns, texture):
    (found,) = of(looked_at(with_columns(1, ec_1_5=[0.5]), texture=texture), "ec_e")
    assert np.isnan(found.test.values[0])
    assert "too little on sands" in found.lacking[0]


def test_measured_clay_tells_a_sand_too(with_columns):
    table = with_columns(2, ec_1_5=[0.5, 0.5], clay=[8.0, 45.0])
    (found,) = of(looked_at(table), "ec_e")
    assert np.isnan(found.test.values).tolist() == [True, False]


@pytest.mark.parametrize(
    ("texture", "expected"),
    [
        pytest.param("loam", 4.75, id="ECE-01"),
        pytest.param("HC", 2.9, id="ECE-02"),
    ],
)
def test_factors_by_texture_count_only_once_chosen_and_are_unverified(
    with_columns, texture, expected
):
    table = with_columns(1, ec_1_5=[0.5])
    (unasked,) = of(looked_at(table, texture=texture), "ec_e")
    assert unasked.test.grade is Grade.PUBLISHED
    (found,) = of(looked_at(table, texture=texture, ece="texture"), "ec_e")
    assert found.test.values[0] == pytest.approx(expected, abs=0.01)
    assert found.test.grade is Grade.UNVERIFIED
    (unknown,) = of(looked_at(table, ece="texture"), "ec_e")
    assert "no texture is told" in unknown.lacking[0]


def test_one_line_can_be_chosen(with_columns):
    (found,) = of(looked_at(with_columns(1, ec_1_5=[0.5]), ece="talsma-1968"), "ec_e")
    assert found.test.values[0] == pytest.approx(3.2)  # ECE-03
    assert found.test.low is None
    with pytest.raises(UnknownChoiceError, match="nobody") as caught:
        looked_at(with_columns(1, ec_1_5=[0.5]), ece="nobody")
    assert "talsma-1968" in caught.value.note.mend
    assert next(key for key, _ in ece_ways()) == ""  # no single one is the default


def test_a_measured_test_is_never_estimated_beside_itself(with_columns):
    table = with_columns(
        2, ec_1_5=[0.5, 0.5], ec_e=[5.0, np.nan], ph_cacl2=[5.0, 5.0], ph_water=[5.8, np.nan]
    )
    for key in ("ec_e", "ph_water"):
        own, estimate = of(looked_at(table), key)
        assert np.isfinite(own.test.values).tolist() == [True, False]
        assert np.isfinite(estimate.test.values).tolist() == [False, True]
        assert estimate.lacking[0] == "no result"
    assert not of(looked_at(table), "ph_cacl2")[0].test.is_estimate


def test_the_other_ph_is_estimated_and_classed(with_columns):
    # conyers-davey-1988: (4.8 + 0.9) / 1.05 = 5.43, strongly acid 5.1 to 5.5
    (found,) = of(looked_at(with_columns(1, ph_cacl2=[4.8])), "ph_water")
    assert found.test.values[0] == pytest.approx(5.429, abs=0.001)
    assert (found.test.source, found.words[0]) == ("conyers-davey-1988", "strongly acid")
    (back,) = of(looked_at(with_columns(1, ph_water=[6.0])), "ph_cacl2")
    assert back.test.values[0] == pytest.approx(5.4)


def test_total_carbon_waits_for_a_factor(with_columns):
    table = with_columns(1, organic_carbon=[1.5])
    assert of(looked_at(table), "total_oc") == []
    assert of(looked_at(table), "organic_matter") == []
    found = looked_at(table, carbon_factor=1.30)
    assert of(found, "total_oc")[0].test.values[0] == pytest.approx(1.95, abs=0.001)  # OM-02
    assert of(found, "total_oc")[0].test.grade is Grade.YOURS  # the factor is the user's
    # 1.724 x 1.95
    assert of(found, "organic_matter")[0].test.values[0] == pytest.approx(3.362, abs=0.001)
    with pytest.raises(SoilInputError, match="never finds more"):
        looked_at(table, carbon_factor=0.9)


def test_esp_follows_from_sar_where_no_cations_tell_it(with_columns):
    (found,) = of(looked_at(with_columns(1, sar=[10.0])), "esp")
    assert found.test.values[0] == pytest.approx(11.8865, abs=0.02)  # ESP-03
    assert (found.words[0], found.test.is_estimate) == ("sodic", True)
    worked, estimate = of(
        looked_at(with_columns(2, sar=[10.0, 10.0], exch_na=[1.2, 1.2], cec=[15.0, np.nan])), "esp"
    )
    assert worked.test.values[0] == pytest.approx(8.0)
    assert np.isfinite(estimate.test.values).tolist() == [False, True]
    assert worked.lacking[1] == "no result"  # the estimate stands in its place


def test_the_index_with_colwell_follows_from_its_other_forms(with_columns):
    # PBI-01 and PBI-03: solution P 6.2 mg/L, Colwell P 25; PBI-04 and PBI-05: 60 mg/L
    table = with_columns(1, pbi_unadjusted=[443.938], colwell_p=[25.0])
    (found,) = of(looked_at(table), "pbi")
    assert found.test.values[0] == pytest.approx(455.77, abs=0.05)
    assert found.words[0] != ""
    other = with_columns(1, pbi_olsen=[87.4967], olsen_p=[15.0], colwell_p=[40.0])
    assert of(looked_at(other), "pbi")[0].test.values[0] == pytest.approx(82.1128, abs=0.05)
    assert pbi_unadjusted(6.2) == pytest.approx(443.938, abs=0.05)
    assert pbi_with_olsen(60.0, 15.0) == pytest.approx(87.4967, abs=0.05)
    assert pbi_with_colwell(60.0, 40.0) == pytest.approx(82.1128, abs=0.05)


def test_no_rate_reads_an_estimate(with_columns):
    curve = PhosphorusPlan(critical_value("wheat-pbi-curve"))
    plans = SheetPlans(CropPlan("wheat", 3.0), curve)
    table = with_columns(1, pbi_unadjusted=[120.0], colwell_p=[25.0])
    need = sheet_need(table, plans, Purpose.PHOSPHORUS)
    assert np.isnan(need.amount[0])
    assert "buffering index" in need.reasons[0]
    told = with_columns(1, pbi=[120.0], colwell_p=[25.0])
    assert np.isfinite(sheet_need(told, plans, Purpose.PHOSPHORUS).amount[0])


def test_base_saturation_is_told_where_a_cec_was_measured(with_columns):
    # 100 x (5 + 2 + 0.4 + 0.6) / 16 = 50 %: medium from 20 to 60, rayment-lyons-2011, 15L1
    cations = {"exch_ca": [5.0], "exch_mg": [2.0], "exch_k": [0.4], "exch_na": [0.6]}
    (found,) = of(looked_at(with_columns(1, **cations, cec=[16.0])), "base_saturation")
    assert (found.test.values[0], found.words[0]) == (pytest.approx(50.0), "medium")
    assert of(looked_at(with_columns(1, **cations)), "base_saturation") == []


def test_a_detection_limit_is_no_number_to_estimate_from(with_columns):
    table = with_columns(1, ec_1_5=[("<", 0.01)], ph_cacl2=[("<", 4.0)])
    assert of(looked_at(table), "ec_e")[0].lacking[0] == "it lacks EC 1:5 as a number"
    assert of(looked_at(table), "ph_water") == []


def test_every_estimate_names_its_source(with_columns):
    table = with_columns(
        1, ec_1_5=[0.5], sar=[10.0], ph_cacl2=[5.0], total_oc=[1.0], pbi_unadjusted=[90.0],
        colwell_p=[20.0],
    )  # fmt: skip
    estimates = [t.test for t in looked_at(table).tests if t.test.is_estimate]
    assert {t.analyte.key for t in estimates} == {
        "ec_e", "esp", "ph_water", "organic_matter", "pbi",
    }  # fmt: skip
    for test in estimates:
        assert test.grade is source(test.source).grade
        assert test.basis


def test_a_sheet_is_not_changed_by_looking_at_it(with_columns):
    table = with_columns(1, ec_1_5=[0.5], ph_cacl2=[5.0])
    looked_at(table)
    assert {c.analyte.key for c in table.columns} == {"ec_1_5", "ph_cacl2"}
