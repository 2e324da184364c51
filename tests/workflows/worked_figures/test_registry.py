"""The registry: each figure is named, described in full with units, and found by its words."""

import inspect
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.errors import UnknownChoiceError
from vrxapp.workflows.worked_figures.docstring_entries import parameter_entries, result_entry
from vrxapp.workflows.worked_figures.figure import Subject
from vrxapp.workflows.worked_figures.figure_inputs import InputKind, figure_inputs
from vrxapp.workflows.worked_figures.registry import FIGURES, figure_called, figures_with


def has_bracket(figure, name):
    """Whether the docstring gives a unit, be it that there is none: [-]."""
    doc = inspect.getdoc(figure.function)
    block = re.search(rf"^(\w+, )*{name}(, \w+)* : .*\n((?:    .*\n)+)", doc, re.MULTILINE)
    return bool(re.search(r"\[[^\d\]]", block[3]))


def by_name(figure):
    return figure.name


def test_names_and_titles_are_told_once():
    assert len({figure.name for figure in FIGURES}) == len(FIGURES)
    assert len({figure.title for figure in FIGURES}) == len(FIGURES)
    assert {figure.subject for figure in FIGURES} == set(Subject)


@pytest.mark.parametrize("figure", FIGURES, ids=by_name)
def test_a_figure_is_named_in_plain_words_and_described_by_its_function(figure):
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", figure.name)
    assert len(figure.title) <= 50
    entries = {entry.name for entry in parameter_entries(figure.function)}
    assert {entry.name for entry in figure_inputs(figure)} == entries
    assert set(figure.choices) | set(figure.offers) <= entries


@pytest.mark.parametrize("figure", FIGURES, ids=by_name)
def test_each_input_says_what_it_is_and_each_number_its_unit(figure):
    for entry in figure_inputs(figure):
        assert entry.told.endswith("."), entry.name
        assert entry.label
        assert "NaN" not in entry.told
        assert "`" not in entry.told
        if entry.kind in (InputKind.NUMBER, InputKind.NUMBERS):
            assert entry.unit or has_bracket(figure, entry.name) or "umber of" in entry.told
    labels = [entry.label for entry in figure_inputs(figure)]
    assert len(set(labels)) == len(labels)


@pytest.mark.parametrize("figure", FIGURES, ids=by_name)
def test_each_list_has_keys_that_are_told_once_for_each_thing(figure):
    for entry in figure_inputs(figure):
        for choice in (*entry.choices, *entry.offers):
            assert choice.key
            assert choice.name


@pytest.mark.parametrize("figure", FIGURES, ids=by_name)
def test_a_figure_says_what_comes_out(figure):
    entry = result_entry(figure.function)
    assert entry.told or figure.name == "label-rate-check"  # which only refuses


def test_an_unverified_value_is_never_gone_by_unasked():
    for figure in FIGURES:
        for entry in figure_inputs(figure):
            if entry.choices or entry.offers:
                assert entry.is_needed or not entry.default.strip("?"), figure.name


@settings(deadline=None)  # the first reads tables
@given(st.sampled_from(FIGURES))
def test_a_figure_is_found_by_its_name_however_it_is_spelled(figure):
    assert figure_called(figure.name) is figure
    assert figure_called(figure.name.upper().replace("-", " ")) is figure


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("ece-by-lime", "ece-by-line"), ("mixed_bulk_densty", "mixed-bulk-density")],
)
def test_a_slip_is_answered_with_what_was_meant(typed, meant):
    with pytest.raises(UnknownChoiceError, match=f"Did you mean.*{meant}"):
        figure_called(typed)


def test_words_find_figures_by_subject():
    assert figures_with("") == {s: tuple(f for f in FIGURES if f.subject is s) for s in Subject}
    assert [f.name for f in figures_with("YIELD salt")[Subject.SALT]] == [
        "yield-under-salt",
        "yield-under-salt-own",
    ]
    assert figures_with("yoghurt") == {}
