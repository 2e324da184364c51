"""Loss to salt against the handbook's check values and its own limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.salt_tolerance import (
    relative_yield_under_salt,
    salt_tolerance,
    salt_tolerances,
)
from vrxapp.errors import UnknownChoiceError
from vrxapp.sources import Grade, source

salts = st.floats(0.0, 40.0)


@pytest.mark.parametrize(
    ("crop", "ece", "expected"),
    [
        # maas-hoffman-1977: 100 - 7.1 x (8 - 6); thresholds from memory
        pytest.param("wheat", 8.0, 85.8, id="SALT-01"),
        pytest.param("maize", 4.0, 72.4, id="SALT-02"),
        # maas-1990, read: sweet corn holds the same two numbers
        pytest.param("sweet_corn", 4.0, 72.4, id="SALT-02 as read for sweet corn"),
    ],
)
def test_relative_yield_gives_the_handbook_value(crop, ece, expected):
    found = salt_tolerance(crop)
    relative = relative_yield_under_salt(
        ece,
        threshold_ds_m=found.threshold_ds_m,
        slope_percent_per_ds_m=found.slope_percent_per_ds_m,
    )
    assert relative == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize("row", salt_tolerances(), ids=lambda row: row.crop)
def test_an_unverified_crop_says_so_in_its_name(row):
    assert ("(unverified)" in row.name) == (row.grade is Grade.UNVERIFIED)
    assert source(row.source).grade is row.grade


def test_an_unknown_crop_lists_what_there_is():
    with pytest.raises(UnknownChoiceError, match="potato"):
        salt_tolerance("banana")


@given(salts, salts, st.floats(0.0, 12.0), st.floats(0.1, 40.0))
def test_yield_falls_with_salt_and_stays_between_nothing_and_all(first, second, start, slope):
    low, high = sorted((first, second))
    less, more = relative_yield_under_salt(
        [low, high], threshold_ds_m=start, slope_percent_per_ds_m=slope
    )
    assert 0 <= more <= less <= 100


@given(st.floats(0.0, 6.0))
def test_nothing_is_lost_up_to_the_threshold(ece):
    assert relative_yield_under_salt(ece, threshold_ds_m=6.0, slope_percent_per_ds_m=7.1) == 100


def test_a_missing_conductivity_stays_missing():
    found = relative_yield_under_salt(
        [np.nan, 1.0], threshold_ds_m=2.0, slope_percent_per_ds_m=10.0
    )
    assert np.isnan(found).tolist() == [True, False]
