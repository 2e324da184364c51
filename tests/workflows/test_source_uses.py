"""Who uses a source: what the tables and modules themselves say."""

import pytest

from vrxapp.errors import UnknownChoiceError
from vrxapp.sources import Grade, bibliography
from vrxapp.workflows.source_uses import source_uses, table_rows


def test_every_source_is_told_with_a_table_or_a_module_that_uses_it():
    uses = source_uses()
    assert tuple(use.source for use in uses) == bibliography()
    assert [use.source.key for use in uses if not (use.tables or use.modules)] == []


def test_every_sourced_row_of_every_table_is_counted():
    counted = {}
    for name, _, row in table_rows():
        for key in {cell for column, cell in row.items() if column.endswith("source")}:
            counted[name, key] = counted.get((name, key), 0) + 1
    told = {(name, u.source.key): rows for u in source_uses() for name, rows in u.tables}
    # some rows name a second source beside the place where a number stands
    assert all(told[pair] >= rows for pair, rows in counted.items())
    assert told["critical_values.csv", "moody-2007"] == 1


def test_a_module_is_told_that_cites_in_a_docstring_a_constant_or_a_step():
    (moody,) = source_uses(("moody-2006",))
    assert "vrxapp.agronomy.phosphorus" in moody.modules  # .. [1] moody-2006.
    assert "vrxapp.prescription.phosphorus_loss_steps" in moody.modules  # source="moody-2006"
    (mason,) = source_uses(("mason-brennan-1995",))
    assert "vrxapp.agronomy.trace_elements" in mason.modules  # [mason-brennan-1995]


def test_one_grade_is_told_alone():
    found = source_uses(grade=Grade.UNVERIFIED)
    assert {use.source.grade for use in found} == {Grade.UNVERIFIED}
    assert len(found) == sum(entry.grade is Grade.UNVERIFIED for entry in bibliography())


def test_an_unknown_key_is_answered_with_those_like_it():
    with pytest.raises(UnknownChoiceError, match=r"moody-2006, moody-2007"):
        source_uses(("moody-1999",))
