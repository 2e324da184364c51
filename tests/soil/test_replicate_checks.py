"""Replicates of tests that no laboratory spread is published for go by the general curve."""

import pytest

from vrxapp.soil.replicate_checks import replicate_notes


@pytest.mark.parametrize(
    ("second", "queried"),
    [
        # Horwitz at 10 mg/kg: 11.3 %, and 1.96 x 1.4142 x 11.3 = 31.4 % of the mean
        ("13.6", False),  # 30.5 % of 11.8
        ("13.9", True),  # 32.6 % of 11.95
    ],
)
def test_a_test_without_its_own_spread_goes_by_the_general_curve(make_table, second, queried):
    table = make_table({"mehlich3_p": ["10", second]}, samples=["A", "A"])
    notes = list(replicate_notes(table))
    assert bool(notes) is queried
    assert all("general curve of Horwitz" in note.message for note in notes)


@pytest.mark.parametrize("key", ["exch_al", "clay", "organic_matter"])
def test_a_test_in_another_unit_without_a_spread_is_not_judged(make_table, key):
    assert not list(replicate_notes(make_table({key: ["3", "9"]}, samples=["A", "A"])))


def test_results_of_nothing_are_no_difference(make_table):
    assert not list(replicate_notes(make_table({"mehlich3_p": ["0", "0"]}, samples=["A", "A"])))
