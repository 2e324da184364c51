"""What of a lime works, against published worked examples."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.lime_quality import (
    available_value,
    effective_cost,
    effective_nv_by_size,
    fineness_by_mesh,
    is_too_much_on_top,
    lime_product_rate,
    pure_neutralising_value,
)
from vrxapp.errors import SoilInputError

WA_EXAMPLE = {  # dpird-comparing-limes, Table 1
    "mass_percent": [5.0, 48.0, 38.0, 8.0, 1.0],
    "nv_percent": [90.0, 90.5, 94.8, 72.1, 62.5],
    "upper_mm": [0.125, 0.25, 0.5, 1.0, np.inf],
}


@pytest.mark.parametrize("expected", [pytest.param(85.28, id="LIME-07")])
def test_mesh_fineness_gives_the_printed_value(expected):
    # 78.8 + 0.60 x 10 + 0.20 x 2.4
    assert fineness_by_mesh([78.8, 10.0, 2.4, 7.8]) == pytest.approx(expected, abs=0.005)


@pytest.mark.parametrize("expected", [pytest.param(70.2525, id="LIME-08")])
def test_available_value_gives_the_printed_value(expected):
    found = available_value(85.0, 95.0, moisture_percent=13.0)
    assert found == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize("expected", [pytest.param(86.973, id="LIME-09")])
def test_effective_value_by_size_gives_the_published_example(expected):
    assert effective_nv_by_size(**WA_EXAMPLE) == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize("expected", [pytest.param(49.4822, id="LIME-10")])
def test_effective_cost_gives_the_published_example(expected):
    assert effective_cost(43.0, effective_nv_percent=86.9) == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize(
    ("value", "expected"),
    [pytest.param(60.0, 1.66667, id="LIME-11"), pytest.param(90.0, 1.11111, id="LIME-12")],
)
def test_product_rate_gives_the_published_value(value, expected):
    assert lime_product_rate(1.0, effective_nv_percent=value) == pytest.approx(expected, abs=1e-4)


def test_wet_lime_takes_more():
    # 1 t of pure lime at 80 % and 10 % water: 1 / 0.8 / 0.9
    found = lime_product_rate(1.0, effective_nv_percent=80.0, moisture_percent=10.0)
    assert found == pytest.approx(1.38889, abs=1e-4)


def test_a_missing_class_is_noticed():
    with pytest.raises(SoilInputError, match="90 %"):
        fineness_by_mesh([78.0, 10.0, 2.0, 0.0])
    with pytest.raises(SoilInputError, match="four"):
        fineness_by_mesh([90.0, 10.0])


def test_lime_that_does_nothing_is_refused():
    with pytest.raises(SoilInputError, match="effective_nv_percent"):
        lime_product_rate(1.0, effective_nv_percent=0.0)
    with pytest.raises(SoilInputError, match="moisture"):
        lime_product_rate(1.0, effective_nv_percent=90.0, moisture_percent=100.0)


def test_much_lime_on_top_is_advised_against():
    found = is_too_much_on_top([2.0, 2.1, 3.0, np.nan], ["sand", "sand", "clay loam", "sand"])
    assert found.tolist() == [False, True, False, False]


@given(st.floats(0, 20), st.floats(10, 110), st.floats(0, 30))
def test_what_is_spread_holds_what_is_needed(pure, value, moisture):
    rate = lime_product_rate(pure, effective_nv_percent=value, moisture_percent=moisture)
    dry = rate * (1 - moisture / 100)
    assert dry * value / 100 == pytest.approx(pure, abs=1e-9)


@pytest.mark.parametrize(
    ("formula", "expected", "printed"),
    [
        # printed in rayment-lyons-2011
        pytest.param("MgCO3", 118.708, 119, id="NV-01"),
        pytest.param("CaO2H2", 135.083, 135, id="NV-02"),
        pytest.param("CaO", 178.48, 178, id="NV-03"),
        pytest.param("CaMgC2O6", 108.554, 108, id="NV-04"),
    ],
)
def test_a_pure_compound_neutralises_the_published_amount(formula, expected, printed):
    found = pure_neutralising_value(formula)
    assert found == pytest.approx(expected, abs=0.05)
    assert found == pytest.approx(printed, abs=0.6)


def test_a_compound_without_base_neutralises_nothing():
    assert pure_neutralising_value("S") == 0
