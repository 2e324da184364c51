"""Rules explained from their docstrings: each says what it must, and its example runs."""

import doctest
import inspect
import sys

import pytest
from check_values import TABLE, csv_text, found_check_values

from vrxapp.errors import UnknownChoiceError
from vrxapp.need_plans import Purpose
from vrxapp.workflows.explained import check_values, docstring_sections, explained
from vrxapp.workflows.rule_book import BOOK, rules_called

FUNCTIONS = sorted({f for rule in BOOK for f in rule.functions}, key=lambda f: f.__qualname__)
BY_TABLE_ALONE = {"trace-elements"}
"""Rules that read classes off a printed table and have no equation."""


@pytest.mark.parametrize("rule", BOOK, ids=lambda rule: rule.name)
def test_a_rule_tells_equations_range_and_sources(rule):
    told = explained(rule)
    assert any(f.equations for f in told) or rule.name in BY_TABLE_ALONE
    assert any(f.sources for f in told) or rule.name == "own-rule"
    assert all(f.told and f.takes and f.gives for f in told)
    assert all(f.refuses for f in told[:1])
    assert not any("\\" in f.notes for f in told)  # no LaTeX is left over


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda f: f.__qualname__)
def test_the_worked_example_of_a_function_runs_and_gives_what_it_says(function):
    module = sys.modules[function.__module__]
    (found,) = doctest.DocTestFinder(recurse=False).find(
        function, function.__qualname__, module=module
    )
    assert found.examples
    assert doctest.DocTestRunner(verbose=False).run(found).failed == 0


def test_the_check_values_are_those_of_the_tests():
    text = csv_text(found_check_values())
    assert TABLE.read_text("utf-8") == text, "run tests/makers/check_values.py"


def test_known_check_values_are_told_beside_their_functions():
    told = {c.id: c.told for c in check_values("vrxapp.agronomy.gypsum.gypsum_for_sodium")}
    assert "expected = 0.86082" in told["GYP-01"]  # by a parameter
    assert "GYP-07" in told  # by a comment in the test


@pytest.mark.parametrize("purpose", Purpose)
def test_every_need_has_a_rule_that_is_explained(purpose):
    assert rules_called(str(purpose))


def test_a_rule_is_found_by_its_name_and_else_by_the_need_it_serves():
    assert [rule.name for rule in rules_called("Gypsum")] == ["gypsum"]
    assert {"sufficiency", "cation-balance"} <= {rule.name for rule in rules_called("calcium")}
    with pytest.raises(UnknownChoiceError, match=r"lime-quality"):
        rules_called("alchemy")


def test_every_section_of_a_docstring_is_found_under_its_title():
    for function in FUNCTIONS:
        text = inspect.getdoc(function)
        assert set(docstring_sections(text)) - {""} == {
            title
            for title in ("Parameters", "Returns", "Raises", "Notes", "References", "Examples")
            if f"\n{title}\n{'-' * len(title)}\n" in text
        }


@pytest.mark.parametrize("rule", BOOK, ids=lambda rule: rule.name)
def test_each_rule_says_what_it_serves(rule):
    assert bool(rule.purposes) is not bool(rule.serves)


def test_humates_and_salt_can_be_looked_up():
    assert {"humates", "salinity"} <= {rule.name for rule in BOOK}
