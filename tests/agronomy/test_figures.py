"""Single numbers: each has a source, a place in it, and a range around its value."""

import math

import pytest

from vrxapp.agronomy.figures import FigureTable, figure, figures, own_figure
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.sources import Grade, source

ALL = [row for table in FigureTable for row in figures(table)]


@pytest.mark.parametrize("row", ALL, ids=lambda row: f"{row.key}-{row.value:g}")
def test_each_number_lies_in_its_range_and_tells_where_it_is_from(row):
    assert source(row.source).grade is row.grade
    assert row.name
    assert row.unit
    assert row.where
    low, high = (row.value if math.isnan(end) else end for end in (row.low, row.high))
    assert low <= row.value <= high


@pytest.mark.parametrize("table", [t for t in FigureTable if t is not FigureTable.BULK_DENSITY])
def test_no_key_stands_twice(table):
    keys = [row.key for row in figures(table)]
    assert len(keys) == len(set(keys))


def test_an_unknown_key_lists_what_there_is():
    with pytest.raises(UnknownChoiceError, match="efficiency_rule"):
        figure(FigureTable.NITROGEN, "luck")


def test_a_number_of_ones_own_is_marked_as_such():
    own = own_figure("efficiency", 0.42, unit="share", reason="eight years of strips")
    assert (own.value, own.grade, own.where) == (0.42, Grade.YOURS, "eight years of strips")


@pytest.mark.parametrize(("value", "reason"), [(math.nan, "x"), (math.inf, "x"), (0.4, " ")])
def test_a_number_of_ones_own_needs_a_number_and_a_reason(value, reason):
    with pytest.raises(MissingInputError):
        own_figure("efficiency", value, unit="share", reason=reason)
