import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import SoilInputError
from vrxapp.soil.detection_limits import is_untold_limit, parsed_result, substituted
from vrxapp.soil.results_table import Limit


@pytest.mark.parametrize(
    ("text", "value", "limit"),
    [
        ("12", 12.0, Limit.NONE),
        (" 12.5 ", 12.5, Limit.NONE),
        (".5", 0.5, Limit.NONE),
        ("1.2e2", 120.0, Limit.NONE),
        ("-35.5", -35.5, Limit.NONE),
        pytest.param("<0.5", 0.5, Limit.BELOW, id="CSV-02-below"),
        ("< 0.5", 0.5, Limit.BELOW),
        pytest.param(">200", 200.0, Limit.ABOVE, id="CSV-02-above"),
    ],
)
def test_a_number_and_its_sign_are_read(text, value, limit):
    assert parsed_result(text) == (value, limit)


@pytest.mark.parametrize(
    ("text", "value", "limit"),
    [("12,5", 12.5, Limit.NONE), ("< 0,5", 0.5, Limit.BELOW), ("149", 149.0, Limit.NONE)],
)
def test_a_decimal_comma_is_read_where_the_column_has_them(text, value, limit):
    assert parsed_result(text, decimal_comma=True) == (value, limit)


@pytest.mark.parametrize(("text", "comma"), [("12,5", False), ("12.5", True), ("1,234,5", True)])
def test_the_other_decimal_sign_is_refused(text, comma):
    with pytest.raises(SoilInputError, match="is not a number"):
        parsed_result(text, decimal_comma=comma)


@pytest.mark.parametrize("text", ["", "  ", "-", "–", "ND", "nd", "n/a", "N/A", "trace", "nr"])
def test_words_for_no_result_give_no_number(text):
    value, limit = parsed_result(text)
    assert math.isnan(value)
    assert limit is Limit.NONE


@pytest.mark.parametrize(
    "text", ["high", "12 mg/kg", "12*", "1 234", "<", "<>5", "inf", "nan", "1e999", "٣"]
)
def test_anything_else_is_refused_by_name(text):
    with pytest.raises(SoilInputError) as caught:
        parsed_result(text)
    assert caught.value.note.value == text
    assert caught.value.note.mend


@pytest.mark.parametrize("text", ["<0", "< -5"])
def test_a_detection_limit_at_or_below_zero_is_refused(text):
    with pytest.raises(SoilInputError, match="nothing can be measured"):
        parsed_result(text)


@pytest.mark.parametrize(
    ("text", "untold"),
    [("ND", True), (" Trace ", True), ("n/a", False), ("", False), ("<5", False)],
)
def test_only_words_for_too_little_count_as_a_limit_that_is_not_told(text, untold):
    assert is_untold_limit(text) is untold


@given(st.floats(min_value=1e-6, max_value=1e6), st.sampled_from(["", "<", ">"]))
def test_what_is_written_is_what_is_read(value, sign):
    assert parsed_result(f"{sign}{value!r}") == (value, Limit(sign))


def test_half_the_limit_stands_in_below_and_the_limit_itself_above():
    values, limits = np.array([5.0, 200.0, 12.0, np.nan]), np.array(["<", ">", "", ""])
    np.testing.assert_array_equal(substituted(values, limits), [2.5, 200.0, 12.0, np.nan])
    assert values[0] == 5.0


@pytest.mark.parametrize(
    "text", ["<LOR", "<LOQ", "< DL", "<lod", "< MDL", "<PQL", "< limit of reporting", "BDL"]
)
@pytest.mark.parametrize("comma", [False, True])
def test_below_a_limit_that_is_not_told_is_no_result_and_never_zero(text, comma):
    value, limit = parsed_result(text, decimal_comma=comma)
    assert math.isnan(value)
    assert limit is Limit.NONE
    assert is_untold_limit(text)
