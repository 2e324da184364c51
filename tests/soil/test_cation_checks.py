"""Cations that do not add up, or do not fit the pH, are queried; plausible ones are not."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.soil.analytes import analyte
from vrxapp.soil.cation_checks import cation_notes
from vrxapp.soil.results_table import AnalyteColumn

BASES = {"exch_ca": ["5.0"], "exch_mg": ["1.5"], "exch_k": ["0.4"], "exch_na": ["0.3"]}
ACIDS = {"exch_al": ["0.6"], "exch_h": ["0.2"]}  # together 8.0 cmol(+)/kg


def with_cec(table, values):
    """The table with a whole exchange capacity beside the effective one."""
    whole = replace(analyte("ecec"), key="cec", name="Cation exchange capacity")
    column = AnalyteColumn(whole, np.array(values), np.full(len(values), "", dtype="<U1"))
    return replace(table, columns=(*table.columns, column))


@pytest.mark.parametrize(
    ("ecec", "queried"),
    [
        ("8.0", False),
        ("8.4", False),  # 8.0 is 4.8 % less
        ("8.5", True),  # 5.9 % less
        ("7.7", False),
        ("7.5", True),  # 8.0 is 6.7 % more
        ("", False),
        ("<8", False),
    ],
)
def test_cations_add_up_to_the_effective_capacity_within_five_percent(make_table, ecec, queried):
    notes = list(cation_notes(make_table({**BASES, **ACIDS, "ecec": [ecec]})))
    assert bool(notes) is queried
    for note in notes:
        assert (note.file, note.row, note.value) == ("lab.csv", 2, ecec)
        assert "add up to 8 cmol(+)/kg" in note.message
        assert "unit" in note.mend


def test_without_acid_cations_a_larger_capacity_is_no_contradiction(make_table):
    # the bases are 7.2; the rest may be aluminium and hydrogen that the sheet leaves out
    assert not list(cation_notes(make_table({**BASES, "ecec": ["9.0"]})))
    assert list(cation_notes(make_table({**BASES, "ecec": ["6.0"]})))


@pytest.mark.parametrize(("ecec", "queried"), [("7.3", False), ("7.6", False), ("15", True)])
def test_untold_hydrogen_counts_as_no_more_than_the_aluminium(make_table, ecec, queried):
    # the bases are 7.2 and aluminium 0.1, so hydrogen brings at most another 0.1
    found = list(cation_notes(make_table({**BASES, "exch_al": ["0.1"], "ecec": [ecec]})))
    assert bool(found) is queried


def test_a_cation_below_its_limit_counts_as_anything_up_to_it(make_table):
    cations = {**BASES, "exch_al": ["<1"], "exch_h": ["0.2"]}
    assert not list(cation_notes(make_table({**cations, "ecec": ["8.0"]})))
    assert not list(cation_notes(make_table({**cations, "ecec": ["7.4"]})))
    assert list(cation_notes(make_table({**cations, "ecec": ["9.0"]})))


def test_a_missing_base_leaves_the_sum_open(make_table):
    cations = {**BASES, **ACIDS, "exch_ca": [""]}
    assert not list(cation_notes(make_table({**cations, "ecec": ["8.0"]})))


@pytest.mark.parametrize(("ecec", "queried"), [("11.4", False), ("11.6", True)])
def test_more_cations_than_places_mean_free_salt_lime_or_gypsum(make_table, ecec, queried):
    table = with_cec(make_table({"ecec": [ecec]}), [10.0])
    notes = list(cation_notes(table))
    assert bool(notes) is queried
    assert all("free salt, lime or gypsum" in note.message for note in notes)


@pytest.mark.parametrize(
    ("ph", "esp", "queried"),
    [("8.6", "5", True), ("8.5", "5", False), ("8.6", "6", False), ("8.6", "", False)],
)
def test_a_high_ph_without_sodium_is_queried(make_table, ph, esp, queried):
    notes = list(cation_notes(make_table({"ph_water": [ph], "esp": [esp]})))
    assert bool(notes) is queried
    assert all(note.column == "pH in water" for note in notes)


def test_the_share_of_sodium_is_worked_out_where_the_sheet_gives_none(make_table):
    # 0.3 of 10 is 3 %; 1.2 of 10 is 12 %
    low = make_table({"ph_water": ["9.0"], "exch_na": ["0.3"], "ecec": ["10"]})
    high = make_table({"ph_water": ["9.0"], "exch_na": ["1.2"], "ecec": ["10"]})
    (note,) = cation_notes(low)
    assert "3.0 % sodium" in note.message
    assert not list(cation_notes(high))
