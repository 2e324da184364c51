"""What is typed for one input becomes the value its function takes."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.errors import VrxError
from vrxapp.workflows.worked_figures.answer import told_number
from vrxapp.workflows.worked_figures.figure_inputs import default_text, figure_inputs
from vrxapp.workflows.worked_figures.reading import near, read_input
from vrxapp.workflows.worked_figures.registry import figure_called

FINITE = st.floats(allow_nan=False, allow_infinity=False, width=32)


def entry(figure, name):
    return next(one for one in figure_inputs(figure_called(figure)) if one.name == name)


DEPTH = entry("soil-mass", "depth_cm")
DENSITY = entry("soil-mass", "bulk_density_t_m3")


@pytest.mark.parametrize("between", [", ", ";", "; ", " "])
@settings(deadline=None)  # the first reads tables
@given(numbers=st.lists(FINITE, min_size=1, max_size=6))
def test_numbers_are_read_whatever_stands_between(between, numbers):
    read = read_input(DEPTH, between.join(map(repr, numbers)))
    assert np.array_equal(read.value, numbers)
    assert read.length == len(numbers)


@settings(deadline=None)  # the first reads tables
@given(FINITE)
def test_a_number_with_its_unit_is_the_number(number):
    assert read_input(DEPTH, f"{number!r} cm").value.tolist() == [number]


def test_a_question_mark_is_a_number_that_nobody_knows():
    assert np.isnan(read_input(DEPTH, "1, ?").value).tolist() == [False, True]


def test_a_name_stands_for_its_number_in_the_table():
    read = read_input(DENSITY, "sandy loam high, 1.1")
    assert read.value.tolist() == [1.5, 1.1]
    assert [choice.key for choice in read.taken] == ["sandy loam high"]


@pytest.mark.parametrize("text", ["1,300", "1.5, 12,500", "10,200;3"])
def test_a_comma_within_thousands_is_asked_about(text):
    with pytest.raises(VrxError, match="may be one number or several"):
        read_input(DEPTH, text)


@pytest.mark.parametrize("text", ["0.5,0.125", "1300", "1, 300", "10.5,100", "1000,2000"])
def test_a_plain_list_is_not_taken_for_thousands(text):
    assert read_input(DEPTH, text).length == text.count(",") + 1


@settings(deadline=None)  # the first reads tables
@given(FINITE)
def test_a_default_is_read_back_as_itself(number):
    assert read_input(DEPTH, default_text(number)).value.tolist() == [number]


@settings(deadline=None)  # the first reads tables
@given(st.floats(1e-6, 1e12))
def test_a_told_number_is_right_to_four_figures(number):
    told = told_number(number)
    assert "e" not in told
    assert math.isclose(float(told), number, rel_tol=6e-4)


def test_a_yes_is_told_in_several_ways():
    accepted = entry("humate-credits", "is_accepted")
    assert [read_input(accepted, text).value for text in ("Yes", "y", "NO", "0")] == [
        True,
        True,
        False,
        False,
    ]


def test_pairs_are_names_with_numbers():
    metals = entry("humate-metals", "content_mg_kg")
    assert read_input(metals, "Cd 2, pb=20").value == {"Cd": 2.0, "Pb": 20.0}


def test_near_names_hold_the_word_or_look_alike():
    names = ["soil-mass", "soluble-salts", "salt-index"]
    assert near("salt", names)[:2] == ["soluble-salts", "salt-index"]
    assert near("soil-mas", names) == ["soil-mass"]
    assert near("", names) == []
