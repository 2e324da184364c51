"""Metals of a humate, against the handbook's check values."""

import pytest

from vrxapp.errors import UnknownChoiceError
from vrxapp.inputs.humate_metals import (
    humate_metal_limits,
    metal_load,
    metal_rise,
    metals_above_limit,
)

LIMIT = {limit.metal: limit.highest_mg_kg for limit in humate_metal_limits()}


@pytest.mark.parametrize(
    ("dose", "metal", "grams"),
    [
        pytest.param(20.0, "Cd", 0.030, id="SAF-01"),
        pytest.param(500.0, "As", 20.0, id="SAF-02"),
    ],
)
def test_a_dose_at_the_limit_brings_the_handbook_amount(dose, metal, grams):
    assert metal_load(dose, LIMIT[metal]) == pytest.approx(grams)


@pytest.mark.parametrize("expected", [pytest.param(0.0143, id="SAF-03")])
def test_the_soil_rises_by_the_handbook_amount(expected):
    found = metal_rise(metal_load(500.0, LIMIT["As"]), depth_cm=10.0, bulk_density_t_m3=1.4)
    assert found == pytest.approx(expected, abs=0.0001)


def test_only_what_goes_past_its_limit_is_told():
    found = metals_above_limit({"Cd": 1.5, "Pb": 121.0, "Hg": float("nan")})
    assert [limit.metal for limit in found] == ["Pb"]


def test_a_metal_without_a_limit_is_not_passed_over():
    with pytest.raises(UnknownChoiceError, match="Tl"):
        metals_above_limit({"Tl": 1.0})
