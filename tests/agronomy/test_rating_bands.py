"""Classes by method: in order, complete, and never lent to another method."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.rating_bands import RatingBand, rated, rating_bands
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.table_reader import read_table

RATINGS = sorted({row.rating for row in read_table("rating_bands.csv", RatingBand)})


@pytest.mark.parametrize("rating", RATINGS)
def test_classes_start_at_zero_and_rise(rating):
    starts = [band.start for band in rating_bands(rating)]
    assert starts[0] == 0.0
    assert starts == sorted(set(starts))
    assert {band.start_belongs for band in rating_bands(rating)} <= {"yes", "no"}


@given(st.sampled_from(RATINGS), st.floats(0.0, 1e6), st.floats(0.0, 1e6))
def test_a_larger_value_is_never_in_a_lower_class(rating, first, second):
    low, high = sorted((first, second))
    names = [band.name for band in rating_bands(rating)]
    assert names.index(rated(rating, low)) <= names.index(rated(rating, high))


@given(st.sampled_from(RATINGS))
def test_a_start_falls_where_it_is_printed(rating):
    bands = rating_bands(rating)
    for below, band in pairwise(bands):
        expected = band.name if band.start_belongs == "yes" else below.name
        assert rated(rating, band.start) == expected


def test_a_missing_value_is_unknown():
    assert rated("esp", [np.nan]).tolist() == ["unknown"]


def test_a_method_without_classes_is_refused():
    with pytest.raises(UnknownChoiceError, match="dtpa_zn"):
        rated("zinc_edta", [1.0])


def test_a_negative_value_is_refused():
    with pytest.raises(SoilInputError):
        rated("esp", [-1.0])
