"""Potassium: its rating, its mass, and what sands, loams and seed ask for."""

import numpy as np
import pytest

from vrxapp.agronomy.critical_ranges import critical_range_of
from vrxapp.agronomy.potassium import potassium_need, potassium_rating
from vrxapp.agronomy.sufficiency_values import HarvestRemoval, LayerTest

WHEAT = critical_range_of("k-wheat-exchangeable")


def test_extractable_potassium_rates_as_printed():
    # KSOIL-01; rayment-lyons-2011, Table 18.2: 0.1 to 0.2 is low, above 1.0 very high
    found = potassium_rating([0.09, 0.15, 0.2, 1.0, 1.01, np.nan])
    assert found.tolist() == ["very low", "low", "medium", "high", "very high", "unknown"]


def test_exchangeable_potassium_is_turned_into_mass():
    # KCAP-01 halved by its range: (0.12 - 0.05) x 390.98 x 1300 / 1000 = 35.58
    need = potassium_need(
        LayerTest("exch_k", "0-10", [0.05], bulk_density_t_m3=1.3),
        WHEAT,
        harvest=HarvestRemoval(0.0, 4.0),
    )
    assert need.amount == pytest.approx([35.579], abs=0.01)
    assert need.unit == "kg K/ha"


def test_much_at_once_on_sand_is_split_and_never_capped():
    test = LayerTest("exch_k", "0-10", [0.0, 0.0], bulk_density_t_m3=1.5, texture=["Sand", "clay"])
    need = potassium_need(test, WHEAT, harvest=HarvestRemoval(3.0, 4.0))
    assert (need.amount > 60.0).all()
    assert "split it (unverified limit)" in need.doubt[0]
    assert need.doubt[1] == ""


def test_loams_are_doubted_even_above_the_range():
    # grdc-2023-k-loam
    test = LayerTest("exch_k", "0-10", [0.5], bulk_density_t_m3=1.3, texture=["loam"])
    need = potassium_need(test, WHEAT, harvest=HarvestRemoval(3.0, 4.0))
    assert need.amount.tolist() == [0.0]
    assert "test 0-30 cm" in need.doubt[0]


def test_seed_burn_is_cautioned():
    need = potassium_need(
        LayerTest("exch_k", "0-10", [0.5]), WHEAT, harvest=HarvestRemoval(3.0, 4.0)
    )
    assert any("canola" in caution for caution in need.cautions)
