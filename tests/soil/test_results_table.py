from dataclasses import replace

import numpy as np
import pytest

from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.soil.results_table import column_of, paddocks_of, rows_of_paddock


@pytest.fixture
def table(make_table):
    """Three rows of two paddocks."""
    made = make_table({"pbi": ["80", "<5", "90"]}, samples=["1", "1", "2"])
    return replace(made, paddock_names=("Home", "Creek", "home "))


def test_the_rows_of_one_paddock_are_taken(table):
    home = rows_of_paddock(table, "HOME")
    assert home.sample_ids == ("1", "2")
    assert home.paddock_names == ("Home", "home ")
    np.testing.assert_array_equal(home.file_rows, [2, 4])
    np.testing.assert_array_equal(column_of(home, "pbi").values, [80.0, 90.0])
    assert column_of(rows_of_paddock(table, "Creek"), "pbi").limits.tolist() == ["<"]


def test_a_paddock_with_a_colon_in_its_name_is_found(make_table):
    made = replace(make_table({"pbi": ["80"]}), paddock_names=("Gate 4:2",))
    assert rows_of_paddock(made, "gate 4:2").sample_ids == made.sample_ids


def test_each_paddock_is_named_once(table):
    assert paddocks_of(table) == ("Home", "Creek")


@pytest.mark.parametrize("name", ["Rise", ""])
def test_a_paddock_that_is_not_on_the_sheet_is_refused(table, name):
    with pytest.raises(UnknownChoiceError) as caught:
        rows_of_paddock(table, name)
    assert "Home, Creek" in caught.value.note.mend


def test_a_sheet_without_paddocks_says_so(make_table):
    with pytest.raises(MissingInputError, match="names no paddock"):
        rows_of_paddock(make_table({"pbi": ["80"]}), "Home")
