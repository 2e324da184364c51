"""What a rate puts beside the seed: the warning when it passes what is safe."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError
from vrxapp.inputs.products import Product, product_called, typical_products
from vrxapp.inputs.seed_placement import nitrogen_counted_percent, row_load, seed_placed_check
from vrxapp.inputs.seed_safe_rates import SeedPlacement, SeedSensitivity, SeedSoil

INCH = 25.4
WHEAT = SeedPlacement(SeedSensitivity.CEREAL, SeedSoil.MEDIUM, INCH, 6 * INCH)
CANOLA = SeedPlacement(SeedSensitivity.CANOLA, SeedSoil.MEDIUM, INCH, 9 * INCH)
PEA = SeedPlacement(SeedSensitivity.PULSE, SeedSoil.MEDIUM, INCH, 9 * INCH)


def typical(key):
    return product_called(key, typical_products())


@pytest.mark.parametrize(
    ("rate", "row_m", "expected"),
    [pytest.param(10.0, 0.25, 0.25, id="SEED-06"), pytest.param(100.0, 0.30, 3.0, id="SEED-08")],
)
def test_the_load_of_a_row_gives_the_handbook_value(rate, row_m, expected):
    assert row_load(rate, row_m) == pytest.approx(expected, abs=0.001)


def test_urea_is_safe_up_to_the_guide_and_warned_of_beyond():
    # 22.4 kg N/ha are 48.7 kg/ha of urea
    check = seed_placed_check([0.0, 48.0, 49.0, np.nan], typical("urea"), WHEAT)
    assert check.is_over.tolist() == [False, False, True, False]
    assert [bool(text) for text in check.warning] == [False, False, True, False]
    assert "can kill it" in check.warning[2]
    assert check.highest_rate_kg_ha == pytest.approx(48.73, abs=0.01)


def test_the_highest_rate_itself_is_still_safe():
    urea = typical("urea")
    highest = seed_placed_check(1.0, urea, WHEAT).highest_rate_kg_ha
    assert not seed_placed_check(highest, urea, WHEAT).is_over
    assert seed_placed_check(highest + 0.01, urea, WHEAT).is_over


def test_map_with_canola_is_held_by_its_phosphate():
    # canola-council-2018: 40 lb/ac of MAP, 44.8 kg/ha; 22 % P allow 44.5
    check = seed_placed_check([44.0, 60.0], typical("map"), CANOLA)
    assert check.highest_rate_kg_ha == pytest.approx(44.5, abs=0.1)
    assert check.is_over.tolist() == [False, True]
    assert "phosphate" in check.warning[1]


def test_dap_is_harsher_than_map_for_its_nitrogen():
    assert nitrogen_counted_percent(typical("map")) == 0
    assert nitrogen_counted_percent(typical("dap")) == pytest.approx(8.0)
    assert nitrogen_counted_percent(typical("urea")) == 46
    assert seed_placed_check(20.0, typical("dap"), CANOLA).is_over


@pytest.mark.parametrize("key", ["triple_superphosphate", "single_superphosphate"])
def test_superphosphates_count_no_nitrogen(key):
    check = seed_placed_check([50.0], typical(key), WHEAT)
    assert check.n_kg_ha.tolist() == [0.0]
    assert not check.is_over[0]


def test_potassium_is_kept_out_of_the_canola_row_and_unsure_elsewhere():
    potash = typical("potassium_chloride")
    canola, wheat = (seed_placed_check([0.0, 10.0], potash, row) for row in (CANOLA, WHEAT))
    assert canola.is_over.tolist() == [False, True]
    assert wheat.is_over.tolist() == [False, False]
    assert "no guide for potassium" in wheat.warning[1]
    assert wheat.warning[0] == ""


def test_boron_is_never_with_the_seed():
    check = seed_placed_check([2.0], typical("borax"), WHEAT)
    assert check.is_over.tolist() == [True]
    assert "boron" in check.warning[0]


def test_pulses_beyond_the_guide_are_said_to_be():
    check = seed_placed_check([10.0], typical("single_superphosphate"), PEA)
    assert "lupin, chickpea and lentil bear less" in check.warning[0]
    assert not check.is_over[0]


def test_a_product_that_holds_neither_has_no_highest_rate():
    gypsum = typical("gypsum")
    assert seed_placed_check(100.0, gypsum, WHEAT).highest_rate_kg_ha == np.inf


def test_the_check_tells_what_lies_in_the_row():
    check = seed_placed_check([50.0], typical("map"), WHEAT)
    assert check.p_kg_ha == pytest.approx([11.0])
    assert check.row_load_g_m == pytest.approx([50 * 0.1524 / 10])
    assert check.utilisation_percent == pytest.approx(16.67, abs=0.01)


def test_a_negative_rate_is_refused():
    with pytest.raises(SoilInputError, match="rate_kg_ha"):
        seed_placed_check([-1.0], typical("urea"), WHEAT)


@given(
    st.floats(0, 400),
    st.floats(0, 46),
    st.floats(0, 22),
    st.sampled_from([WHEAT, CANOLA, PEA]),
)
def test_a_rate_is_over_exactly_above_the_highest(rate, n_percent, p_percent, placement):
    product = Product("x", "Starter", n_percent, p_percent, 0.0, 0.0)
    check = seed_placed_check(rate, product, placement)
    if abs(rate - check.highest_rate_kg_ha) > 1e-3 * max(rate, 1.0):
        slack = max(check.n_kg_ha - check.safe_n.kg_ha, check.p_kg_ha - check.safe_p.kg_ha)
        if abs(slack) > 1e-6:
            assert bool(check.is_over) == (rate > check.highest_rate_kg_ha)
    assert (rate == 0) <= (not check.is_over)
