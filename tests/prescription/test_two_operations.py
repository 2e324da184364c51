"""Lime in autumn, starter with humate at sowing: two machines, nothing counted twice, no fire."""

import math
from dataclasses import replace

import numpy as np
import pytest

from vrxapp.agronomy.lime_values import LimeChoices, LimeMethod
from vrxapp.edits.operations import (
    add_operation,
    free_operation_id,
    remove_operation,
    set_humate,
    set_lime_plan,
)
from vrxapp.errors import MissingInputError, RefusedMixError, UnknownChoiceError
from vrxapp.inputs.products import Material, Product, typical_products
from vrxapp.need_plans import LimePlan, Purpose
from vrxapp.prescription.mix import mix_cautions, spread_name
from vrxapp.prescription.pipeline import prescription, why
from vrxapp.prescription.sheet_needs import SheetPlans, samples_of, sheet_need
from vrxapp.season import HumateShare, Operation
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn
from vrxapp.spreading.machine import Machine
from vrxapp.spreading.rate_map import total_kg

TYPICAL = {product.key: product for product in typical_products()}
HUMATE = HumateShare(TYPICAL["soluble_humate"], 5.0, 20.0)
PIT_LIME = Product(
    "pit_lime", "Pit lime", 0, 0, 0, 0, 45.0, "AUD",
    material=Material.LIMING_MATERIAL, effective_nv_percent=85.0,
)  # fmt: skip
LIMING = Operation(
    "lime", "Lime", "autumn", PIT_LIME, Machine("Lime spreader", 12.0, 50.0, 0.0, 9000.0),
    purpose=Purpose.LIME,
)  # fmt: skip
CREGAN = LimePlan(LimeMethod.TOLERATED_ALUMINIUM, LimeChoices(tolerated_aluminium_percent=10.0))


@pytest.fixture
def acid_season(season, with_results):
    """West: Colwell 44, Al 1.5 of ECEC 5.0; east: Colwell 44 and no aluminium result."""
    season = with_results(season, [("1", "West", 44.0), ("2", "East", 44.0)])
    limits = np.full(2, "", "<U1")
    extra = tuple(
        AnalyteColumn(analyte(key), np.array([value, math.nan]), limits)
        for key, value in (("exch_al", 1.5), ("ecec", 5.0))
    )
    tests = replace(season.tests, columns=(*season.tests.columns, *extra))
    return replace(season, tests=tests, lime=CREGAN, operations=(LIMING, *season.operations))


def test_lime_follows_from_aluminium(acid_season):
    # LIME-03 (Cregan 1980, Method 16B1): Al 1.5, ECEC 5.0, 10 % borne: 1300 kg/ha of lime of
    # 90 % available value = 1170 kg pure; / 0.85 = 1376 -> 1400 in steps of 50
    plan = prescription(acid_season, acid_season.operations[0])
    assert plan.need[0] == pytest.approx(1.17)
    assert plan.need_unit == "t CaCO3/ha"
    assert plan.rates_kg_ha[0] == 1400.0
    assert "exchangeable aluminium" in plan.reasons[1]
    assert any("16B1" in s.text for s in why(plan, "West"))


def test_lime_and_phosphorus_do_not_count_towards_each_other(acid_season):
    starter = acid_season.operations[1]
    alone = replace(acid_season, operations=(starter,))
    with_lime = prescription(acid_season, starter).rates_kg_ha
    assert np.array_equal(with_lime, prescription(alone, starter).rates_kg_ha)


def test_without_a_method_lime_asks_for_one(acid_season):
    season = set_lime_plan(acid_season, None)
    with pytest.raises(MissingInputError, match="there is no default"):
        prescription(season, season.operations[0])


def test_a_lime_of_unknown_value_covers_no_need(acid_season):
    unknown = replace(LIMING, product=replace(PIT_LIME, effective_nv_percent=math.nan))
    season = replace(acid_season, operations=(unknown,))
    with pytest.raises(MissingInputError, match="effective_nv_percent"):
        prescription(season, unknown)


def test_a_set_rate_of_105_carries_100(season, with_results):
    # QTY-06: 100 kg/ha of MAP with 5 % humate is a set rate of 105
    season = with_results(season, [("1", "West", 60.0), ("2", "East", 60.0)])
    season = replace(season, crop=replace(season.crop, target_yield_t_ha=22.0 / 3.0))
    season = set_humate(season, "op-1", HUMATE)
    plan = prescription(season, season.operations[0])
    assert plan.need == pytest.approx([22.0, 22.0])
    assert plan.rates_kg_ha.tolist() == [105.0, 105.0]
    assert plan.product_kg_ha == pytest.approx([100.0, 100.0])
    assert plan.humate_kg_ha == pytest.approx([5.0, 5.0])
    told = " ".join(s.text for s in why(plan, "West"))
    assert "100 × (1 + 5 ÷ 100) = 105 kg/ha" in told
    assert "No nutrient and no yield is credited to the humate" in told


def test_totals_of_a_mix_add_up(season):
    humate = replace(
        HUMATE, product=replace(HUMATE.product, price_per_tonne=3000.0, currency="AUD")
    )
    season = set_humate(season, "op-1", humate)
    plan = prescription(season, season.operations[0])
    spread_kg = plan.totals.product_kg
    assert total_kg(plan.rate_map) == pytest.approx(spread_kg, rel=1e-9)
    assert plan.totals.humate_kg == pytest.approx(spread_kg * 5 / 105, rel=1e-9)
    by_hand = (spread_kg * 100 / 105 * 900 + spread_kg * 5 / 105 * 3000) / 1000
    assert plan.totals.cost == pytest.approx(by_hand, rel=1e-9)
    assert plan.rate_map.product == "MAP with 5 % Soluble humate granules"


def test_the_cap_of_the_humate_holds_the_mix_back(season):
    season = set_humate(season, "op-1", replace(HUMATE, cap_kg_ha=4.0))
    plan = prescription(season, season.operations[0])
    assert plan.humate_kg_ha[0] <= 4.0 + 1e-9
    assert plan.product_kg_ha[0] == pytest.approx(80.0)
    assert any("humate reaches its cap of 4 kg/ha" in s.text for s in why(plan, "West"))


@pytest.mark.parametrize(
    "nitrate",
    [
        TYPICAL["calcium_ammonium_nitrate"],
        TYPICAL["ammonium_nitrate"],
        Product("mine", "My starter", 20.0, 10.0, 0.0, 0.0),  # its nitrogen form is not told
    ],
    ids=lambda p: p.key,
)
def test_humate_with_a_nitrate_is_refused_before_any_quantity(season, nitrate):
    operation = replace(season.operations[0], product=nitrate, humate=HUMATE)
    season = replace(season, operations=(operation,))
    with pytest.raises(RefusedMixError) as raised:
        prescription(season, operation)
    text = str(raised.value)
    assert "must never meet" in text
    assert "Keep them apart" in text
    assert "kg" not in text


def test_a_mix_is_named_and_cautioned_for_all_that_is_in_it(season):
    operation = replace(season.operations[0], humate=HUMATE)
    assert spread_name(operation) == "MAP with 5 % Soluble humate granules"
    told = " ".join(mix_cautions(operation))
    assert "Combustible dust" in told
    assert "Seed burn" in told
    assert len(set(mix_cautions(operation))) == len(mix_cautions(operation))


def test_passes_are_added_and_removed(season):
    both = add_operation(season, replace(LIMING, id=free_operation_id(season)))
    assert [o.name for o in both.operations] == ["MAP before sowing", "Lime"]
    assert [o.name for o in remove_operation(both, "op-1").operations] == ["Lime"]
    with pytest.raises(UnknownChoiceError, match="already"):
        add_operation(both, replace(LIMING, id="another"))
    with pytest.raises(UnknownChoiceError, match="only operation"):
        remove_operation(season, "op-1")
    assert remove_operation(both, "nobody") is both
    assert set_humate(season, "op-1", None) is season
    assert set_lime_plan(season, None) is season


@pytest.mark.parametrize(("share", "cap"), [(0.0, 20.0), (101.0, 20.0), (5.0, 0.0)])
def test_a_share_or_cap_that_cannot_be_is_refused(share, cap):
    with pytest.raises(MissingInputError, match="humate"):
        HumateShare(TYPICAL["soluble_humate"], share, cap)


def test_a_sheet_alone_gives_the_needs_of_its_samples(acid_season):
    tests = acid_season.tests
    assert samples_of(tests) == ("1", "2")
    plans = SheetPlans(acid_season.crop, acid_season.phosphorus, CREGAN)
    phosphorus = sheet_need(tests, plans, Purpose.PHOSPHORUS)
    assert phosphorus.amount == pytest.approx([12.0, 12.0])
    lime = sheet_need(tests, plans, Purpose.LIME)
    assert lime.amount[0] == pytest.approx(1.17)
    assert np.isnan(lime.amount[1])
    assert lime.reasons[1]
