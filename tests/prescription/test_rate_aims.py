"""What the rates aim at, and how each result stands against it: by its own method and layer."""

import math
from dataclasses import replace

import pytest

from vrxapp.agronomy.critical_ranges import critical_range_of
from vrxapp.agronomy.critical_values import critical_value, own_critical_value
from vrxapp.agronomy.crop_removal import Nutrient
from vrxapp.agronomy.gypsum_values import GypsumChoices, GypsumMethod
from vrxapp.agronomy.lime_values import LimeChoices, LimeMethod
from vrxapp.agronomy.own_rule_values import OwnRule, OwnShape
from vrxapp.agronomy.sufficiency_values import NeedChoices, NeedPolicy
from vrxapp.need_plans import (
    CropPlan,
    GypsumPlan,
    LimePlan,
    NutrientPlan,
    OwnRulePlan,
    PhosphorusPlan,
    Purpose,
)
from vrxapp.prescription.classes_by_zone import classes_of_rows, classes_of_zones
from vrxapp.prescription.rate_aims import aims_of, default_aims
from vrxapp.prescription.scale_choice import ClassChoices, choices_of
from vrxapp.prescription.sheet_needs import SheetPlans
from vrxapp.sources import Grade

WHEAT = CropPlan("wheat", 3.0)
OWN_34 = own_critical_value("wheat", "colwell_p", 34.0, reason="our strips")


def plans(critical=OWN_34, **others):
    return SheetPlans(WHEAT, PhosphorusPlan(critical), **others)


def standings(table, of_plans, key="colwell_p"):
    found = classes_of_rows(table, ClassChoices(crop="wheat", aims=aims_of(of_plans)))
    return next(t for t in found.tests if t.test.analyte.key == key).standings


def test_a_result_stands_below_at_or_above_the_value_in_use(with_columns):
    found = standings(with_columns(4, colwell_p=[33.9, 34.0, 34.1, math.nan]), plans())
    assert found.side.tolist() == ["below", "within", "above", ""]
    assert found.aims[0].grade is Grade.YOURS
    assert found.aims[0].whose == "wheat, your own"


def test_a_published_range_stays_a_range(with_columns):
    # bell-2013, abstract: 19 to 27 mg/kg for most Australian soils
    table = with_columns(4, colwell_p=[18.9, 19.0, 27.0, 27.1])
    found = standings(table, plans(critical_value("wheat-australia")))
    assert found.side.tolist() == ["below", "within", "within", "above"]
    assert (found.low[0], found.high[0]) == (19.0, 27.0)
    assert found.aims[0].what == "critical range"


@pytest.mark.parametrize("other", ["olsen_p", "bray1_p", "mehlich3_p", "bses_p", "dgt_p"])
def test_no_other_method_is_held_against_it(with_columns, other):
    found = standings(with_columns(1, **{other: [5.0]}), plans(), key=other)
    assert found.aims == ()
    assert found.side.tolist() == [""]


def test_no_other_layer_is_held_against_it(with_columns):
    table = with_columns(3, depths=("0-10", "10-30", ""), colwell_p=[20.0, 20.0, 20.0])
    # a row that does not tell its layer counts as the one asked for, as it does for the rate
    assert standings(table, plans()).number.tolist() == [0, -1, 0]
    found = classes_of_rows(table, ClassChoices(crop="wheat", aims=aims_of(plans())))
    (colwell,) = (t for t in found.tests if t.test.analyte.key == "colwell_p")
    assert colwell.doubts.tolist() == [
        "", "", "its layer is not told; the critical value is for 0-10 cm",
    ]  # fmt: skip


def test_a_detection_limit_counts_only_where_all_below_it_stands_the_same(with_columns):
    table = with_columns(3, colwell_p=[("<", 5.0), ("<", 50.0), (">", 40.0)])
    assert standings(table, plans()).side.tolist() == ["below", "", "above"]


def test_a_curve_reads_the_index_of_each_place(with_columns):
    # PCRIT-01: 4.6 x 100^0.393 = 28.1033; without an index there is no critical value
    table = with_columns(3, colwell_p=[28.0, 28.2, 28.0], pbi=[100.0, 100.0, math.nan])
    found = standings(table, plans(critical_value("wheat-pbi-curve")))
    assert found.side.tolist() == ["below", "above", ""]
    assert found.low[0] == pytest.approx(28.1033, abs=0.1)
    assert found.aims[0].grade is Grade.UNVERIFIED


def test_every_planned_need_tells_what_it_aims_at():
    potassium = NutrientPlan(Purpose.POTASSIUM, critical_range_of("k-wheat-exchangeable"))
    balance = NutrientPlan(
        Purpose.MAGNESIUM,
        critical_range_of("mg-any"),
        NeedChoices(policy=NeedPolicy.CATION_BALANCE),
    )
    lime = LimePlan(LimeMethod.MEASURED_BUFFERING, LimeChoices(target_ph_cacl2=5.5))
    found = aims_of(plans(nutrients=(potassium, balance), lime=lime))
    told = {(aim.purpose, aim.analyte): (aim.low, aim.what) for aim in found}
    assert told == {
        (Purpose.PHOSPHORUS, "colwell_p"): (34.0, "critical value"),
        (Purpose.POTASSIUM, "exch_k"): (0.12, "critical value"),
        (Purpose.LIME, "ph_cacl2"): (5.5, "target"),
    }


def test_the_most_that_is_borne_is_held_against_the_share_that_the_rate_works_out(with_columns):
    lime = LimePlan(LimeMethod.TOLERATED_ALUMINIUM, LimeChoices(tolerated_aluminium_percent=5.0))
    gypsum = GypsumPlan(GypsumMethod.OSTER, GypsumChoices(target_esp_percent=5.0))
    cations = {"exch_ca": [1.0], "exch_mg": [0.5], "exch_k": [0.2], "exch_na": [0.1]}
    table = with_columns(1, **cations, exch_al=[0.7], exch_h=[0.0], cec=[10.0])
    told = plans(lime=lime, gypsum=gypsum)
    # 100 x 0.7 / 2.5 = 28 % aluminium; 100 x 0.1 / 10 = 1 % sodium
    aluminium = standings(table, told, key="al_saturation")
    assert (aluminium.side[0], aluminium.aims[0].what) == ("above", "tolerated share")
    sodium = standings(table, told, key="esp")
    assert (sodium.side[0], sodium.aims[0].is_most) == ("below", True)
    # a share that was only estimated drives no rate
    estimated = standings(with_columns(1, sar=[30.0]), told, key="esp")
    assert estimated.aims == ()


def test_a_rule_of_ones_own_goes_before_and_ends_where_it_gives_nothing():
    rule = OwnRule(
        "Home", "olsen_p", "0-10", Nutrient.PHOSPHORUS, OwnShape.STEPS,
        (0.0, 10.0, 15.0), (20.0, 10.0, 0.0), "our strips",
    )  # fmt: skip
    (aim,) = aims_of(plans(own_rules=(OwnRulePlan(rule),)))
    assert (aim.analyte, aim.low, aim.high) == ("olsen_p", 15.0, 15.0)
    endless = replace(rule, needs_kg_ha=(20.0, 10.0, 5.0))
    assert aims_of(plans(own_rules=(OwnRulePlan(endless),))) == ()


def test_a_sheet_alone_goes_by_what_is_published_for_its_crop():
    found = default_aims("canola", ("colwell_p", "sulfur_kcl40", "colwell_k"))
    # Colwell K for canola is from memory, so it is no default
    assert [(aim.analyte, aim.depth_cm, aim.low) for aim in found] == [
        ("sulfur_kcl40", "0-30", 6.8)
    ]


def test_zones_are_held_against_the_seasons_own_value(season):
    # the season's value is 35 to 42 mg/kg for southern New South Wales, the west has 20.5
    (found,) = classes_of_zones(season, choices_of(season)).tests
    assert found.standings.side.tolist() == ["below", ""]
    assert found.standings.aims[0].whose == "wheat, southern New South Wales"
