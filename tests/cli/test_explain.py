"""Rules explained in the terminal."""

import json

import pytest

from vrxapp.sources import source
from vrxapp.workflows.rule_book import BOOK


def test_without_a_rule_they_are_listed(verb):
    _, out, _ = verb("explain")
    assert [line.split()[0] for line in out.splitlines()] == [rule.name for rule in BOOK]
    _, out, _ = verb("explain", "--json")
    assert [row["rule"] for row in json.loads(out)] == [rule.name for rule in BOOK]


def test_a_rule_is_told_with_equation_source_check_value_and_example(verb):
    _, out, _ = verb("explain", "phosphorus")
    assert "P_(crit) = 4.6 PBI^(0.393)" in out
    assert source("moody-2007").citation in out
    assert source("moody-2007").grade in out
    assert "PCRIT-01" in out
    assert ">>> phosphorus_need(" in out


def test_a_need_tells_every_rule_that_serves_it(verb):
    _, out, _ = verb("explain", "magnesium", "--json")
    (rule,) = json.loads(out)
    assert rule["rule"] == "magnesium"
    (first, *_) = rule["functions"]
    assert first["name"] == "vrxapp.agronomy.magnesium.magnesium_need"
    assert first["sources"][0]["source"]["citation"]
    _, out, _ = verb("explain", "zinc", "--json")
    assert {r["rule"] for r in json.loads(out)} == {"trace-elements", "replacement", "own-rule"}


@pytest.mark.parametrize("rule", BOOK, ids=lambda rule: rule.name)
def test_every_rule_can_be_printed(verb, rule):
    code, out, _ = verb("explain", rule.name)
    assert code == 0
    for function in rule.functions:
        assert f"{function.__module__}.{function.__qualname__}" in out


def test_an_unknown_rule_is_answered_with_what_there_is(verb):
    code, out, said = verb("explain", "alchemy")
    assert (code, out) == (1, "")
    assert "Choose one of: phosphorus, lime" in said
