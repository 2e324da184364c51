"""Classes by method: in order, complete, and never lent to another method."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.agronomy.rating_bands import rated, rating_scale
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.soil.analytes import analyte
from vrxapp.soil.interpretation import class_name
from vrxapp.soil.interpretation_scales import asks_for_clay, scales

# scales whose values are rounded first start half a step lower than they print
RATINGS = sorted(
    s.analyte_key
    for s in scales()
    if s.is_default and not (s.crop or s.depth_cm or asks_for_clay(s)) and math.isnan(s.decimals)
)


def steps_of(rating):
    (steps,) = rating_scale(rating).steps
    return steps


@pytest.mark.parametrize("rating", RATINGS)
def test_classes_start_at_zero_and_rise(rating):
    starts = steps_of(rating).from_values
    assert starts[0] == 0.0
    assert list(starts) == sorted(set(starts))


@given(st.sampled_from(RATINGS), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_larger_value_is_never_in_a_lower_class(rating, first, second):
    low, high = (share * analyte(rating).highest for share in sorted((first, second)))
    names = [class_name(words) for words in steps_of(rating).words]
    assert names.index(rated(rating, low)) <= names.index(rated(rating, high))


@given(st.sampled_from(RATINGS))
def test_a_class_starts_at_its_first_value_and_not_before(rating):
    steps = steps_of(rating)
    rising = zip(steps.from_values, steps.words, strict=True)
    for below, (start, words) in zip(steps.words, list(rising)[1:], strict=False):
        assert rated(rating, start) == class_name(words)
        assert rated(rating, np.nextafter(start, -np.inf)) == class_name(below)


def test_a_missing_value_is_unknown():
    assert rated("esp", [np.nan]).tolist() == ["unknown"]


def test_a_method_without_classes_is_refused():
    with pytest.raises(UnknownChoiceError, match="dtpa_zn"):
        rated("zinc_edta", [1.0])


def test_a_negative_value_is_refused():
    with pytest.raises(SoilInputError):
        rated("esp", [-1.0])
