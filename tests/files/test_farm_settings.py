"""Settings in a farm file: what an older program did not know stays untold."""

import json
import math
import sqlite3
from contextlib import closing
from dataclasses import replace

import pytest

from vrxapp.agronomy.crop_removal import Nutrient
from vrxapp.agronomy.humate_policy import FertiliserPolicy
from vrxapp.agronomy.organic_dressing import OrganicDressing, YearSpread, typical_analysis
from vrxapp.agronomy.own_rule_values import OwnRule, OwnShape
from vrxapp.agronomy.paddock_history import LimeSpread, PaddockHistory
from vrxapp.errors import FarmFileError
from vrxapp.farm import Farm
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.files.farm_settings import StoredFarm, StoredSeason, settings_from, settings_text
from vrxapp.inputs.humate_acceptance import HumateTest, HumicMethod
from vrxapp.inputs.products import Product, typical_products
from vrxapp.inputs.seed_groups import SeedRow
from vrxapp.inputs.seed_safe_rates import SeedSoil
from vrxapp.season import HumateShare

TRACE = ("zn_percent", "mn_percent", "cu_percent", "b_percent", "fe_percent", "mo_percent")


def test_trace_elements_of_a_product_come_back():
    zinc = Product("z", "Zinc starter", 10.0, 20.0, 0.0, 1.0, zn_percent=2.5)
    stored = settings_text(StoredFarm("Farm", (zinc,), (), ()))
    assert settings_from(stored, file="farm.gpkg").products == (zinc,)


def test_a_farm_saved_before_trace_elements_opens_with_none_told():
    starter = Product("s", "Starter", 10.0, 20.0, 0.0, 1.0)
    stored = json.loads(settings_text(StoredFarm("Farm", (starter,), (), ())))
    for element in TRACE:
        del stored["products"][0][element]
    (again,) = settings_from(json.dumps(stored), file="farm.gpkg").products
    assert again == starter
    assert all(math.isnan(getattr(again, element)) for element in TRACE)


def stored_with(season, operation):
    """A farm with one season and one pass, as text."""
    stored = StoredSeason(
        season.id, season.name, "Flat", season.crop, season.phosphorus, (), (operation,), None,
        (), (),
    )  # fmt: skip
    return settings_text(StoredFarm("Farm", (), (), (stored,)))


def operation_from(text):
    return settings_from(text, file="farm.gpkg").seasons[0].operations[0]


def test_policy_test_and_seed_row_of_a_pass_come_back(season):
    humate = next(p for p in typical_products() if p.key == "soluble_humate")
    test = HumateTest(True, HumicMethod.ISO_19822, 60.0, moisture_percent=12.0)
    share = HumateShare(humate, 5.0, 20.0, FertiliserPolicy.SHARE_OFF, 1 / 3, test)
    row = SeedRow(SeedSoil.LIGHT, 25.0, 300.0, is_drying=True)
    operation = replace(season.operations[0], humate=share, seed_row=row)
    again = operation_from(stored_with(season, operation))
    assert repr(again.humate) == repr(share)
    assert again.seed_row == row


def test_a_farm_saved_before_policies_keeps_its_fertiliser_and_is_spread(season):
    humate = next(p for p in typical_products() if p.key == "soluble_humate")
    operation = replace(season.operations[0], humate=HumateShare(humate, 5.0, 20.0))
    stored = json.loads(stored_with(season, operation))
    (older,) = stored["seasons"][0]["operations"]
    for name in ("policy", "cut_fraction", "test"):
        del older["humate"][name]
    del older["seed_row"]
    again = operation_from(json.dumps(stored))
    assert repr(again.humate) == repr(operation.humate)
    assert again.humate.policy is FertiliserPolicy.KEEP
    assert again.humate.test.dissolves_in_own_water is None
    assert again.seed_row is None


def test_a_farm_saved_before_dressings_and_history_opens_with_none(season, tmp_path):
    path = tmp_path / "farm.gpkg"
    noted = OrganicDressing(typical_analysis("feedlot_aged"), 10.0, YearSpread.BEFORE)
    history = PaddockHistory(2026, (LimeSpread(2023, 2.0),))
    season = replace(season, dressings=(noted,), history=history)
    write_farm(Farm("Farm", (season,), (), ()), path)
    assert repr(read_farm(path).seasons[0].history) == repr(history)
    assert repr(read_farm(path).seasons[0].dressings) == repr((noted,))  # NaN never equals itself
    with closing(sqlite3.connect(path)) as database:
        (text,) = database.execute("SELECT json FROM project_setting WHERE key = 'farm'").fetchone()
    stored = json.loads(text)
    del stored["seasons"][0]["dressings"], stored["seasons"][0]["history"]
    (older,) = settings_from(json.dumps(stored), file="farm.gpkg").seasons
    assert (older.dressings, older.history) == ((), None)


def test_a_rule_of_ones_own_comes_back_whole_and_an_older_farm_has_none():
    rule = OwnRule(
        "Mine {x}",
        "colwell_k",
        "0-10",
        Nutrient.POTASSIUM,
        OwnShape.LINES,
        (0.0, 40.0),
        (50.0, 0.0),
        "trials",
    )
    stored = json.loads(settings_text(StoredFarm("Farm", (), (), (), (rule,))))
    (again,) = settings_from(json.dumps(stored), file="farm.gpkg").own_rules
    assert repr(again) == repr(rule)  # a missing cap is NaN, which is never equal to itself
    del stored["own_rules"]
    assert settings_from(json.dumps(stored), file="farm.gpkg").own_rules == ()


def test_a_rule_that_was_made_impossible_in_the_file_is_refused():
    rule = OwnRule(
        "Mine", "colwell_k", "0-10", Nutrient.POTASSIUM, OwnShape.STEPS, (0.0,), (5.0,), "trials"
    )
    stored = json.loads(settings_text(StoredFarm("Farm", (), (), (), (rule,))))
    stored["own_rules"][0]["needs_kg_ha"] = [-5.0]
    with pytest.raises(FarmFileError, match="a need lies between 0"):
        settings_from(json.dumps(stored), file="farm.gpkg")
