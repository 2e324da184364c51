"""How much may lie beside the seed, against the printed guides."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError
from vrxapp.inputs.seed_safe_rates import (
    SeedPlacement,
    SeedSensitivity,
    SeedSoil,
    safe_seed_nitrogen,
    safe_seed_phosphorus,
    scaled_safe_rate,
    seed_bed_utilisation,
)
from vrxapp.sources import Grade
from vrxapp.units import KG_HA_PER_POUND_ACRE, mass_fraction

CEREAL, CANOLA, PULSE = SeedSensitivity
LIGHT, MEDIUM, HEAVY = SeedSoil
INCH = 25.4
PRINTED_LB_AC = {  # manitoba-seed, Table 1: spread of 1, 2, 3 inches on rows of 6, 9, 12
    LIGHT: [(10, 0, 0), (20, 15, 10), (30, 20, 15)],
    MEDIUM: [(20, 15, 10), (30, 25, 20), (40, 30, 25)],
    HEAVY: [(25, 20, 10), (40, 30, 25), (50, 40, 30)],
}


def in_inches(spread, row, *, sensitivity=CEREAL, soil=MEDIUM, **more):
    return SeedPlacement(sensitivity, soil, spread * INCH, row * INCH, **more)


@pytest.mark.parametrize(
    ("spread_mm", "row_mm", "expected", "tolerance"),
    [
        pytest.param(INCH, 6 * INCH, 16.6667, 0.5, id="SBU-01"),
        pytest.param(INCH, 9 * INCH, 11.1111, 0.5, id="SBU-02"),
        pytest.param(2 * INCH, 12 * INCH, 16.6667, 0.5, id="SBU-03"),
        pytest.param(3 * INCH, 6 * INCH, 50.0, 0.5, id="SBU-04"),
        pytest.param(3 * INCH, 12 * INCH, 25.0, 0.5, id="SBU-05"),
        pytest.param(25.0, 250.0, 10.0, 0.01, id="SBU-06"),
    ],
)
def test_utilisation_gives_the_handbook_value(spread_mm, row_mm, expected, tolerance):
    assert seed_bed_utilisation(spread_mm, row_mm) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize("soil", SeedSoil)
@pytest.mark.parametrize("spread", [1, 2, 3])
@pytest.mark.parametrize("row", [6, 9, 12])
def test_every_printed_rate_of_cereals_comes_back(soil, spread, row):
    printed = PRINTED_LB_AC[soil][spread - 1][(6, 9, 12).index(row)]
    found = safe_seed_nitrogen(in_inches(spread, row, soil=soil)).kg_ha
    assert found == pytest.approx(printed * KG_HA_PER_POUND_ACRE)


def test_twenty_pounds_by_the_acre_are_22_kilograms():
    # SEED-03: Manitoba, cereal, medium soil, 1 inch on 6 inch rows
    safe = safe_seed_nitrogen(in_inches(1, 6))
    assert safe.kg_ha == pytest.approx(22.417, abs=0.1)
    assert (safe.source, safe.grade) == ("manitoba-seed", Grade.PUBLISHED)


@pytest.mark.parametrize(
    ("lb_ac", "expected"),
    [pytest.param(25, 12.2293, id="SEED-01"), pytest.param(50, 24.4586, id="SEED-02")],
)
def test_pounds_of_phosphate_are_kilograms_of_phosphorus(lb_ac, expected):
    found = lb_ac * KG_HA_PER_POUND_ACRE * mass_fraction("P", "P2O5")
    assert found == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize(
    ("sensitivity", "expected"),
    [(CEREAL, 24.4586), (CANOLA, 9.7835), (PULSE, 7.3376)],  # 50, 20 and 15 lb P2O5/ac
)
def test_phosphorus_on_the_printed_row_is_the_printed_one(sensitivity, expected):
    found = safe_seed_phosphorus(in_inches(1, 9, sensitivity=sensitivity)).kg_ha
    assert found == pytest.approx(expected, abs=1e-3)


def test_wide_rows_bear_less_phosphorus_and_wide_openers_no_more():
    at_the_guide = safe_seed_phosphorus(in_inches(1, 9)).kg_ha
    assert safe_seed_phosphorus(in_inches(1, 18)).kg_ha == pytest.approx(at_the_guide / 2)
    assert safe_seed_phosphorus(in_inches(3, 9)).kg_ha == pytest.approx(at_the_guide)


@pytest.mark.parametrize(
    ("safe", "start", "end", "expected"),
    [
        pytest.param(10.0, 11.1, 22.2, 20.0, id="SEED-04"),
        pytest.param(22.4, 16.7, 8.35, 11.2, id="SEED-07"),
    ],
)
def test_a_safe_rate_goes_with_the_utilisation(safe, start, end, expected):
    found = scaled_safe_rate(safe, from_percent=start, to_percent=end)
    assert found == pytest.approx(expected, abs=0.1)


def test_drying_wind_halves_what_is_safe():
    # SEED-05; manitoba-seed: 22.4 kg N/ha becomes 11.2
    dry = safe_seed_nitrogen(in_inches(1, 6, is_drying=True)).kg_ha
    assert dry == pytest.approx(11.2, abs=0.1)
    moist = safe_seed_phosphorus(in_inches(1, 9)).kg_ha
    assert safe_seed_phosphorus(in_inches(1, 9, is_drying=True)).kg_ha == pytest.approx(moist / 2)


def test_under_the_guide_nothing_is_safe_and_it_says_so():
    # 25 mm on 375 mm rows: 6.7 % of the ground
    safe = safe_seed_nitrogen(SeedPlacement(CEREAL, MEDIUM, 25.0, 375.0))
    assert safe.kg_ha == 0
    assert "starts at 8.3 %" in safe.reason


@pytest.mark.parametrize(
    ("sensitivity", "soil"), [(CANOLA, HEAVY), (PULSE, LIGHT), (PULSE, MEDIUM), (PULSE, HEAVY)]
)
def test_without_a_guide_nothing_is_safe_and_it_says_so(sensitivity, soil):
    safe = safe_seed_nitrogen(in_inches(3, 6, sensitivity=sensitivity, soil=soil))
    assert safe.kg_ha == 0
    assert "no guide" in safe.reason
    assert safe.grade is Grade.COMMON_PRACTICE


def test_canola_on_common_rows_bears_no_nitrogen():
    for soil in SeedSoil:
        assert safe_seed_nitrogen(in_inches(1, 9, sensitivity=CANOLA, soil=soil)).kg_ha == 0


@pytest.mark.parametrize(("spread", "row"), [(0.0, 250.0), (25.0, -1.0), (300.0, 250.0)])
def test_a_row_that_cannot_be_is_refused(spread, row):
    with pytest.raises(SoilInputError, match=r"spread_mm|row_spacing_mm"):
        safe_seed_nitrogen(SeedPlacement(CEREAL, MEDIUM, spread, row))


@given(
    st.sampled_from(SeedSensitivity), st.sampled_from(SeedSoil), st.floats(5, 100), st.floats(0, 50)
)
def test_more_room_never_bears_less_and_never_more_than_is_printed(crop, soil, spread, more):
    for safe_rate in (safe_seed_nitrogen, safe_seed_phosphorus):
        narrow = safe_rate(SeedPlacement(crop, soil, spread, 200.0)).kg_ha
        wide = safe_rate(SeedPlacement(crop, soil, spread + more, 200.0)).kg_ha
        assert 0 <= narrow <= wide + 1e-9
        assert wide <= 50 * KG_HA_PER_POUND_ACRE + 1e-9


def test_scaling_there_and_back_changes_nothing():
    there = scaled_safe_rate([5.0, 20.0], from_percent=10.0, to_percent=25.0)
    back = scaled_safe_rate(there, from_percent=25.0, to_percent=10.0)
    assert np.allclose(back, [5.0, 20.0])
