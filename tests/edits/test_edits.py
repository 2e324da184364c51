"""What the user does to a season: a new value each time, the older one whole."""

import math
from dataclasses import replace

import pytest

from vrxapp.agronomy.critical_values import critical_value, own_critical_value
from vrxapp.agronomy.lime_upkeep import LimeUpkeep
from vrxapp.agronomy.lime_values import LimeChoices, LimeMethod
from vrxapp.edits.lab_tests import match_sample
from vrxapp.edits.operations import set_humate, set_seed_row
from vrxapp.edits.prices import set_price
from vrxapp.edits.rates import (
    set_build_up,
    set_critical_value,
    set_crop,
    set_machine,
    set_product,
    set_rate_cap,
    set_target_yield,
)
from vrxapp.errors import GroundError, MissingInputError, UnknownChoiceError
from vrxapp.farm import Farm, season_called, with_season
from vrxapp.inputs.products import typical_products
from vrxapp.inputs.seed_groups import SeedRow
from vrxapp.inputs.seed_safe_rates import SeedSoil
from vrxapp.need_plans import LimePlan
from vrxapp.prescription.pipeline import prescription
from vrxapp.season import HumateShare, operation_called
from vrxapp.soil.by_place import RowMatch
from vrxapp.spreading.machine import Machine

OWN = own_critical_value("wheat", "colwell_p", 30.0, reason="own strips")
OTHER_MACHINE = Machine("Wide", 36.0, 5.0, 20.0, 500.0)
TRIPLE = typical_products()[2]
CHANGES = {
    "crop": lambda s: set_crop(s, "canola"),
    "yield": lambda s: set_target_yield(s, 5.0),
    "critical value": lambda s: set_critical_value(s, OWN),
    "build-up": lambda s: set_build_up(s, factor_kg_ha_per_mg_kg=2.0, years=3.0),
    "product": lambda s: set_product(s, "op-1", TRIPLE),
    "cap": lambda s: set_rate_cap(s, "op-1", 90.0),
    "machine": lambda s: set_machine(s, "op-1", OTHER_MACHINE),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES.keys())
def test_an_edit_changes_the_plan_and_leaves_the_older_season_whole(season, change):
    before = prescription(season, season.operations[0])
    after = change(season)
    plan = prescription(after, after.operations[0])
    assert plan.rates_kg_ha[0] != before.rates_kg_ha[0]
    assert prescription(season, season.operations[0]) is before


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES.keys())
def test_the_same_edit_twice_gives_the_same_season(season, change):
    once = change(season)
    assert change(once) is once


def test_leaving_build_up_out_twice_is_no_edit(season):
    out = set_build_up(season, factor_kg_ha_per_mg_kg=math.nan, years=1.0)
    assert set_build_up(out, factor_kg_ha_per_mg_kg=math.nan, years=1.0) is out


def test_another_crop_brings_its_own_critical_value(season):
    assert set_crop(season, "canola").phosphorus.critical.key == "canola-southern-nsw"


@pytest.mark.parametrize(
    ("change", "error"),
    [
        (lambda s: set_crop(s, "tulips"), UnknownChoiceError),
        (lambda s: set_target_yield(s, -1.0), MissingInputError),
        (lambda s: set_target_yield(s, math.nan), MissingInputError),
        (lambda s: set_critical_value(s, critical_value("pasture-olsen")), UnknownChoiceError),
        (lambda s: set_build_up(s, factor_kg_ha_per_mg_kg=0.0, years=1.0), MissingInputError),
        (lambda s: set_build_up(s, factor_kg_ha_per_mg_kg=3.0, years=0.5), MissingInputError),
        (lambda s: set_rate_cap(s, "op-1", 0.0), MissingInputError),
        (lambda s: set_rate_cap(s, "nobody", 9.0), UnknownChoiceError),
        (lambda s: match_sample(s, "1", "North"), UnknownChoiceError),
        (lambda s: match_sample(s, "99", "East"), UnknownChoiceError),
    ],
)
def test_what_cannot_be_is_refused(season, change, error):
    with pytest.raises(error):
        change(season)


def test_a_sample_matched_by_hand_gives_its_zone_a_rate(season):
    matched = match_sample(season, "1", "east")
    plan = prescription(matched, matched.operations[0])
    assert [bool(reason) for reason in plan.reasons] == [True, False]
    assert match_sample(matched, "1", "East") is matched
    assert match_sample(matched, "1", "West").row_matches == (RowMatch("1", "w"),)


@pytest.fixture
def farm(season):
    product = season.operations[0].product
    return Farm("Farm", (season,), (product, TRIPLE), (season.operations[0].machine,))


def test_a_price_reaches_the_list_and_the_operations(farm):
    dear = set_price(farm, "map", 1200.0, "AUD")
    assert dear.products[0].price_per_tonne == 1200.0
    assert dear.seasons[0].operations[0].product.price_per_tonne == 1200.0
    assert farm.seasons[0].operations[0].product.price_per_tonne == 900.0
    assert set_price(dear, "MAP", 1200.0, "AUD") is dear
    unpriced = set_price(dear, "map", math.nan, "")
    assert set_price(unpriced, "map", math.nan, "") is unpriced


def test_a_season_is_exchanged_and_found(farm, season):
    richer = set_target_yield(season, 5.0)
    assert season_called(with_season(farm, richer), "flat") is richer
    assert with_season(farm, season) is farm
    with pytest.raises(UnknownChoiceError, match="Flat"):
        season_called(farm, "nobody")


def test_a_price_reaches_a_humate_that_travels_along(farm):
    humate = next(p for p in typical_products() if p.key == "soluble_humate")
    season = set_humate(farm.seasons[0], "op-1", HumateShare(humate, 5.0, 20.0))
    farm = replace(farm, seasons=(season,), products=(*farm.products, humate))
    dear = set_price(farm, "soluble_humate", 3000.0, "AUD")
    (operation,) = dear.seasons[0].operations
    assert operation.humate.product.price_per_tonne == 3000.0
    assert operation.product.price_per_tonne == 900.0


def test_a_seed_row_that_changes_nothing_gives_the_same_season(season):
    row = SeedRow(SeedSoil.LIGHT, 25.0, 300.0)
    placed = set_seed_row(season, "op-1", row)
    assert placed.operations[0].seed_row == row
    assert set_seed_row(placed, "op-1", SeedRow(SeedSoil.LIGHT, 25.0, 300.0)) is placed
    assert set_seed_row(placed, "nobody", None) is placed
    assert set_seed_row(placed, "op-1", None).operations[0].seed_row is None


def test_an_operation_is_found_by_its_name(season):
    assert operation_called(season, "map BEFORE sowing") is season.operations[0]
    with pytest.raises(UnknownChoiceError, match="MAP before sowing"):
        operation_called(season, "lime")


def test_paddocks_of_one_farm_share_a_coordinate_system(farm, season):
    elsewhere = replace(season, id="t", paddock=replace(season.paddock, crs="EPSG:7856"))
    with pytest.raises(GroundError, match="EPSG:7855, EPSG:7856"):
        replace(farm, seasons=(season, elsewhere))


@pytest.mark.parametrize(
    ("before", "crop", "after"),
    [
        (LimeUpkeep("wheat_grain"), "canola", LimeUpkeep("canola_grain")),
        (LimeUpkeep("wheat_grain"), "sorghum", None),
        (LimeUpkeep("wheat_grain", "urea", 60.0, 0.25), "oats", LimeUpkeep("", "urea", 60.0, 0.25)),
        (LimeUpkeep("", "urea", 60.0, 0.25), "barley", LimeUpkeep("", "urea", 60.0, 0.25)),
    ],
)
def test_maintenance_lime_balances_the_harvest_of_the_crop_that_is_grown(
    season, before, crop, after
):
    limed = replace(season, lime=LimePlan(LimeMethod.ALUMINIUM, LimeChoices(), upkeep=before))
    assert repr(set_crop(limed, crop).lime.upkeep) == repr(after)
