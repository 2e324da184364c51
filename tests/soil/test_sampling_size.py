"""Number of cores, against the handbook's check values."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from vrxapp.agronomy.soil_mass import soil_mass
from vrxapp.errors import SoilInputError
from vrxapp.soil.sampling_size import (
    composite_cv_percent,
    cores_between_bands,
    cores_needed,
    cores_needed_few,
)


@pytest.mark.parametrize(
    ("cv", "error", "expected"),
    [pytest.param(30, 10, 35, id="SAMP-01"), pytest.param(50, 20, 25, id="SAMP-02")],
)
def test_a_large_sample_needs_the_handbook_cores(cv, error, expected):
    assert cores_needed(cv, error) == expected


def test_a_small_sample_needs_the_handbook_cores():
    assert cores_needed_few(30.0, 15.0, confidence=0.95) == 18  # SAMP-03


@pytest.mark.parametrize(
    ("cv", "cores"),
    [pytest.param(50, 25, id="SAMP-04"), pytest.param(30, 9, id="SAMP-05")],
)
def test_bulking_halves_the_spread_for_each_fourfold_cores(cv, cores):
    assert composite_cv_percent(cv, cores) == pytest.approx(10, abs=0.01)


@pytest.mark.parametrize(
    ("spacing_m", "expected", "tolerance"),
    [
        pytest.param(0.305, 8, 0.1, id="SMP-06"),
        pytest.param(0.61, 16, 0.1, id="SMP-07"),
        pytest.param(0.76, 20, 0.1, id="SMP-08"),
        pytest.param(0.25, 6.56, 0.01, id="SMP-09"),
    ],
)
def test_cores_between_bands_are_the_handbook_ones(spacing_m, expected, tolerance):
    assert cores_between_bands(spacing_m) == pytest.approx(expected, abs=tolerance)


def test_a_harvest_shows_little_in_ten_centimetres():
    # SMP-12: 9 kg P/ha out of 0-10 cm at 1.4 t/m³ is 6.43 mg/kg
    assert 9.0 * 1000 / soil_mass(10.0, 1.4) == pytest.approx(6.43, abs=0.01)


def test_an_even_paddock_needs_one_core_or_two():
    assert cores_needed(0.0, 10.0) == 1
    assert cores_needed_few(0.0, 10.0) == 2


def test_missing_stays_missing():
    for rule in (cores_needed, cores_needed_few):
        assert np.isnan(rule([30.0, math.nan], 10.0)).tolist() == [False, True]
    assert math.isnan(composite_cv_percent(math.nan, 20))
    assert math.isnan(cores_between_bands(math.nan))


@pytest.mark.parametrize(
    "call",
    [
        lambda: cores_needed(-1.0, 10.0),
        lambda: cores_needed(30.0, 0.0),
        lambda: cores_needed_few(30.0, 15.0, confidence=95),
        lambda: cores_needed_few(80.0, 0.1),
        lambda: composite_cv_percent(30.0, 0),
        lambda: cores_between_bands(0.0),
    ],
)
def test_what_cannot_be_is_refused(call):
    with pytest.raises(SoilInputError):
        call()


@given(st.floats(1, 80), st.floats(2, 40), st.sampled_from([0.8, 0.9, 0.95]))
def test_the_number_is_enough_and_one_core_less_is_not(cv, error, confidence):
    number = float(cores_needed_few(cv, error, confidence=confidence))

    def reached(cores):
        # another library's t, so that the search is not checked against itself
        return stats.t.ppf((1 + confidence) / 2, cores - 1) * cv / math.sqrt(cores)

    assert reached(number) <= error * (1 + 1e-6)
    if number > 2:
        assert reached(number - 1) > error * (1 - 1e-6)
