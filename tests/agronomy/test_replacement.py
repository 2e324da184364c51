"""Replacement for any nutrient: yield times removal, and what the soil loses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.crop_removal import Nutrient, default_removal, removals
from vrxapp.agronomy.phosphorus import replacement_phosphorus
from vrxapp.agronomy.replacement import replacement_need
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade

WHEAT_P = default_removal("wheat_grain", Nutrient.PHOSPHORUS)
CANOLA_P = default_removal("canola_seed", Nutrient.PHOSPHORUS)


@pytest.mark.parametrize(
    ("yield_t_ha", "removal", "expected"),
    [
        pytest.param(3.0, WHEAT_P, 9.0, id="PMAIN-01"),
        pytest.param(2.0, CANOLA_P, 10.0, id="PMAIN-02"),
    ],
)
def test_replacement_gives_the_handbook_value(yield_t_ha, removal, expected):
    assert replacement_need(yield_t_ha, removal).need_kg_ha == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize("nutrient", [*Nutrient][:4])
def test_every_main_nutrient_of_wheat_is_replaced_by_its_own_figure(nutrient):
    removal = default_removal("wheat_grain", nutrient)
    need = replacement_need([2.0, 4.0], removal, lost_kg_ha=[0.0, 1.5])
    assert need.need_kg_ha == pytest.approx(
        [2 * removal.kg_per_unit, 4 * removal.kg_per_unit + 1.5]
    )
    assert (need.nutrient, need.source, need.grade) == (nutrient, removal.source, Grade.PUBLISHED)


def test_phosphorus_is_replaced_as_its_own_rule_says():
    need = replacement_need([1.0, 3.5], WHEAT_P).need_kg_ha
    assert need.tolist() == replacement_phosphorus([1.0, 3.5], WHEAT_P.kg_per_unit).tolist()


def test_the_printed_range_makes_a_range_of_needs():
    # 3 t/ha x 2.7 to 3.6 kg P/t, and 1 kg P/ha lost
    need = replacement_need([3.0], WHEAT_P, lost_kg_ha=1.0)
    assert (need.low_kg_ha[0], need.high_kg_ha[0]) == pytest.approx((9.1, 11.8))


def test_a_third_put_back_says_that_the_soil_is_drawn_on():
    need = replacement_need([3.0], WHEAT_P, replaced_share=1 / 3)
    assert need.need_kg_ha == pytest.approx([3.0])
    assert "drawn on" in need.doubt[0]


def test_an_unverified_figure_says_so():
    (lupin,) = removals("lupin_grain", Nutrient.PHOSPHORUS)
    assert "unverified" in replacement_need([2.0], lupin).doubt[0]
    assert replacement_need([2.0], WHEAT_P).doubt.tolist() == [""]


def test_a_missing_yield_has_a_reason_and_no_need():
    need = replacement_need([np.nan, 2.0], WHEAT_P)
    assert np.isnan(need.need_kg_ha).tolist() == [True, False]
    assert need.reason.tolist() == ["the yield or the loss is not known", ""]


@pytest.mark.parametrize(
    "wrong",
    [{"lost_kg_ha": -1.0}, {"replaced_share": 33.0}, {"replaced_share": np.nan}],
)
def test_what_cannot_be_is_refused_by_name(wrong):
    with pytest.raises(SoilInputError, match=next(iter(wrong))):
        replacement_need([3.0], WHEAT_P, **wrong)


@given(st.floats(0, 20), st.floats(0, 20), st.floats(0, 10), st.floats(0, 1))
def test_more_yield_never_needs_less(yield_t_ha, more, lost, share):
    less = replacement_need(yield_t_ha, WHEAT_P, lost_kg_ha=lost, replaced_share=share)
    most = replacement_need(yield_t_ha + more, WHEAT_P, lost_kg_ha=lost, replaced_share=share)
    assert 0 <= less.need_kg_ha <= most.need_kg_ha + 1e-12
