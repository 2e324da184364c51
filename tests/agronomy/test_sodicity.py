"""Sodium on the exchange against the handbook's check values and the printed classes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.sodicity import esp_from_sar, exchangeable_sodium_percent, sodicity_class
from vrxapp.errors import SoilInputError


@pytest.mark.parametrize(
    ("sodium", "cec", "expected", "named"),
    [
        # rayment-lyons-2011, Method 15N1
        pytest.param(1.2, 15.0, 8.0, "sodic", id="ESP-01"),
        pytest.param(3.2, 20.0, 16.0, "strongly sodic", id="ESP-02"),
    ],
)
def test_esp_gives_the_handbook_value(sodium, cec, expected, named):
    esp = exchangeable_sodium_percent(sodium, cec)
    assert esp == pytest.approx(expected, abs=0.01)
    assert sodicity_class(esp) == named


@pytest.mark.parametrize(
    ("sar", "expected"),
    [
        # richards-1954, quoted as eq. 43
        pytest.param(10.0, 11.8865, id="ESP-03"),
        pytest.param(5.0, 5.76262, id="ESP-04"),
    ],
)
def test_esp_from_sar_gives_the_handbook_value(sar, expected):
    assert esp_from_sar(sar) == pytest.approx(expected, abs=0.02)


def test_esp_from_sar_is_silent_from_65_on_and_never_negative():
    assert esp_from_sar([0.0, 0.5]).tolist() == [0.0, 0.0]
    assert np.isnan(esp_from_sar([64.9, 65.0, 80.0])).tolist() == [False, True, True]


def test_classes_start_where_they_are_printed():
    found = sodicity_class([0.0, 5.99, 6.0, 15.0, 15.01, np.nan])
    assert found.tolist() == [
        "non-sodic",
        "non-sodic",
        "sodic",
        "sodic",
        "strongly sodic",
        "unknown",
    ]


@given(st.floats(0.0, 64.0), st.floats(0.0, 64.0))
def test_more_sodium_in_solution_is_never_less_on_the_exchange(first, second):
    low, high = sorted((first, second))
    assert esp_from_sar(low) <= esp_from_sar(high)


def test_a_negative_value_is_refused_by_name():
    with pytest.raises(SoilInputError, match="sar"):
        esp_from_sar([-1.0])
