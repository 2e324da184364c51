"""Settings in a farm file: what an older program did not know stays untold."""

import json
import math

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
