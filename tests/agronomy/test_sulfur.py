"""Sulfur: depth and region are doubted, fire and acid cautioned."""

import pytest

from vrxapp.agronomy.critical_ranges import critical_range_of
from vrxapp.agronomy.sufficiency_values import HarvestRemoval, LayerTest
from vrxapp.agronomy.sulfur import sulfur_need


def need_of(key, value):
    critical = critical_range_of(key)
    test = LayerTest(critical.analyte, critical.depth_cm, [value], bulk_density_t_m3=1.4)
    return sulfur_need(test, critical, harvest=HarvestRemoval(2.0, 5.0))


def test_poor_canola_ground_needs_the_lift_and_the_harvest():
    # SSOIL-01: (7.15 - 6.0) x 30 cm x 1.4 x 0.1 = 4.83, and 10 kg S/ha carried away
    assert need_of("s-canola-30", 6.0).amount == pytest.approx([14.83])


def test_a_shallow_test_is_doubted():
    assert "deeper" in need_of("s-canola-10", 5.0).doubt[0]
    assert "deeper" not in need_of("s-canola-30", 5.0).doubt[0]


def test_canola_is_doubted_beyond_western_australia_and_wheat_not():
    assert "New South Wales" in need_of("s-canola-30", 5.0).doubt[0]
    assert need_of("s-wheat-30", 3.0).doubt.tolist() == [""]


def test_where_nothing_is_needed_nothing_is_doubted():
    assert need_of("s-canola-30", 20.0).doubt.tolist() == [""]


def test_fire_is_cautioned():
    assert any("explodes" in caution for caution in need_of("s-wheat-30", 3.0).cautions)
