"""Aluminium and the single buffer against the handbook's check values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.lime_tests import (
    lime_by_aluminium,
    lime_by_mehlich_buffer,
    lime_by_tolerated_aluminium,
)
from vrxapp.errors import SoilInputError


@pytest.mark.parametrize(
    ("aluminium", "density", "expected", "within"),
    [
        pytest.param(1.0, 1.0, 750.0, 1.0, id="LIME-01"),  # 1.5 x 500.4 = 751, printed 750
        pytest.param(2.4, 1.3, 2340.0, 3.0, id="LIME-02"),
    ],
)
def test_aluminium_gives_the_handbook_value(aluminium, density, expected, within):
    assert lime_by_aluminium(aluminium, density) == pytest.approx(expected, abs=within)


@pytest.mark.parametrize(
    ("aluminium", "ecec", "expected"),
    [
        # 1300 x (1.5 - 5.0 x 0.10) = 1300
        pytest.param(1.5, 5.0, 1300.0, id="LIME-03"),
        pytest.param(0.3, 5.0, 0.0, id="LIME-22"),
    ],
)
def test_tolerated_aluminium_gives_the_handbook_value(aluminium, ecec, expected):
    found = lime_by_tolerated_aluminium(aluminium, ecec, tolerated_percent=10.0)
    assert found == pytest.approx(expected, abs=1.0 if expected else 0.0)


@pytest.mark.parametrize(
    ("buffer_ph", "is_sensitive", "expected"),
    [
        # (6.6 - 5.6) / 0.25 = 4;  0.1 x 16 + 4 = 5.6
        pytest.param(5.6, False, 5.6, id="LIME-04"),
        pytest.param(6.1, True, 3.6, id="LIME-05"),
    ],
)
def test_mehlich_buffer_gives_the_handbook_value(buffer_ph, is_sensitive, expected):
    found = lime_by_mehlich_buffer(buffer_ph, is_sensitive_crop=is_sensitive)
    assert found == pytest.approx(expected, abs=0.01)


def test_twice_the_depth_takes_twice_the_lime():
    assert lime_by_aluminium(1.0, 1.3, depth_cm=20.0) == 2 * lime_by_aluminium(1.0, 1.3)


def test_missing_results_stay_missing():
    assert np.isnan(lime_by_aluminium(np.nan, 1.3))
    assert np.isnan(lime_by_tolerated_aluminium(1.0, np.nan, tolerated_percent=5.0))
    assert np.isnan(lime_by_mehlich_buffer(np.nan))


def test_what_cannot_be_is_refused():
    with pytest.raises(SoilInputError, match="aluminium"):
        lime_by_aluminium(-0.1, 1.3)
    with pytest.raises(SoilInputError, match="tolerated_percent"):
        lime_by_tolerated_aluminium(1.0, 5.0, tolerated_percent=120.0)
    with pytest.raises(SoilInputError, match="buffer_ph"):
        lime_by_mehlich_buffer(56.0)


@given(st.floats(4.0, 8.0), st.floats(0.0, 2.0))
def test_a_higher_buffer_ph_never_needs_more_lime(buffer_ph, more):
    assert lime_by_mehlich_buffer(buffer_ph + more) <= lime_by_mehlich_buffer(buffer_ph)


@given(st.floats(0, 5), st.floats(0.5, 20), st.floats(0, 50), st.floats(0, 50))
def test_a_crop_that_bears_more_aluminium_never_needs_more_lime(aluminium, ecec, bears, more):
    less = lime_by_tolerated_aluminium(aluminium, ecec, tolerated_percent=bears + more)
    assert less <= lime_by_tolerated_aluminium(aluminium, ecec, tolerated_percent=bears)
