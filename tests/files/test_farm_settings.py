"""Settings in a farm file: what an older program did not know stays untold."""

import json
import math

import pytest

from vrxapp.agronomy.crop_removal import Nutrient
from vrxapp.agronomy.own_rule_values import OwnRule, OwnShape
from vrxapp.errors import FarmFileError
from vrxapp.files.farm_settings import StoredFarm, settings_from, settings_text
from vrxapp.inputs.products import Product

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
