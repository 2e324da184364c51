"""Cadmium that a rate may bring, against the handbook's check values."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError
from vrxapp.inputs.heavy_metals import highest_cadmium_load, metal_limits


@pytest.mark.parametrize(
    ("p_kg_ha", "expected"),
    [pytest.param(15.0, 4.5, id="ENV-01"), pytest.param(30.0, 9.0, id="ENV-05")],
)
def test_phosphorus_brings_at_most_what_the_law_allows(p_kg_ha, expected):
    # nsw-biosecurity-2017, clause 43: 300 mg Cd for each kg P
    assert highest_cadmium_load(p_kg_ha) == pytest.approx(expected, abs=0.01)


def test_an_analysis_comes_before_the_limit():
    assert highest_cadmium_load([20.0], cadmium_mg_kg_p=100.0) == pytest.approx([2.0])


def test_the_limits_are_those_of_the_clause():
    limits = {row.key: (row.value, row.unit) for row in metal_limits()}
    assert limits["cadmium_phosphatic"] == (300, "mg/kg P")
    assert limits["cadmium_other"] == limits["cadmium_lime"] == (10, "mg/kg product")
    assert (limits["lead"][0], limits["mercury"][0]) == (100, 5)


@pytest.mark.parametrize(("p", "cadmium"), [(-1.0, 100.0), (10.0, -1.0)])
def test_what_cannot_be_is_refused(p, cadmium):
    with pytest.raises(SoilInputError):
        highest_cadmium_load(p, cadmium_mg_kg_p=cadmium)


@given(st.floats(0, 100), st.floats(0, 100))
def test_loads_add_up(first, second):
    together = highest_cadmium_load(first + second)
    assert together == pytest.approx(highest_cadmium_load([first, second]).sum(), abs=1e-9)
