"""Magnesium: unverified, rare, and a matter for the stock rather than the paddock."""

import numpy as np
import pytest

from vrxapp.agronomy.critical_ranges import critical_range_of, default_critical_range
from vrxapp.agronomy.magnesium import EVIDENCE_NOTE, magnesium_need
from vrxapp.agronomy.sufficiency_values import HarvestRemoval, LayerTest


def need_of(values):
    test = LayerTest("exch_mg", "0-10", values, bulk_density_t_m3=1.3)
    return magnesium_need(test, critical_range_of("mg-any"), harvest=HarvestRemoval(3.0, 1.0))


def test_poor_soil_is_lifted_to_the_middle_of_the_range():
    # (0.25 - 0.15) cmol(+)/kg x 121.525 x 1300 / 1000 = 15.80; 3 kg Mg/ha carried away
    assert need_of([0.15]).amount == pytest.approx([18.798], abs=0.01)


def test_no_range_is_a_default():
    assert default_critical_range("Mg", "wheat", analyte="exch_mg") is None


def test_the_unverified_range_is_doubted_where_it_decides():
    need = need_of([0.15, 1.0, np.nan])
    assert "unverified" in need.doubt[0]
    assert need.amount[1] == 0.0
    assert np.isnan(need.amount[2])


def test_rarity_and_stock_are_told():
    cautions = need_of([0.15]).cautions
    assert EVIDENCE_NOTE in cautions
    assert any("tetany" in caution for caution in cautions)
