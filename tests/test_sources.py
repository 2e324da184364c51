"""The bibliography: every key is defined, and every entry is used."""

import csv
import re
from importlib import resources
from pathlib import Path

import pytest

import vrxapp
from vrxapp.errors import UnknownChoiceError
from vrxapp.sources import Grade, bibliography, source

PACKAGE = Path(vrxapp.__file__).parent
KEYS = {entry.key for entry in bibliography()}
TABLES = sorted(p.name for p in resources.files("vrxapp.tables").iterdir() if p.name[-4:] == ".csv")
NO_SOURCE = {
    "analytes.csv": "lowest and highest only refuse slips of the unit; no need is made of them",
    "leaf_nutrients.csv": "lowest and highest only refuse slips of the unit",
    "units.csv": "definitions of units, compared with another library in test_units.py",
}
"""Tables with numbers that need no source, and why."""
NO_GRADE = {
    "atomic_masses.csv": "one source for all of it, whose entry is graded",
    "pure_compounds.csv": "made from the atomic masses, by the same source",
}
"""Tables whose rows have a source without a grade beside it, and why."""


def rows_of(table):
    text = resources.files("vrxapp.tables").joinpath(table).read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


def is_number(text):
    try:
        return bool(float(text) or True)
    except ValueError:
        return False


def holds_numbers(table):
    return any(is_number(cell) for row in rows_of(table) for cell in row.values())


def keys_in_tables():
    found = set()
    for table in TABLES:
        for row in rows_of(table):
            found |= {row[name] for name in row if name.endswith("source")}
            found |= {key for key in KEYS if key in row.get("where", "")}
    return found


def keys_in_code():
    text = "\n".join(path.read_text("utf-8") for path in PACKAGE.rglob("*.py"))
    cited = set(re.findall(r"^\s+\.\. \[\d\] ([a-z0-9-]+)\.", text, re.MULTILINE))
    quoted = {key for key in KEYS if f'"{key}"' in text or f"[{key}]" in text or f"# {key}" in text}
    return cited | quoted


@pytest.mark.parametrize("table", [t for t in TABLES if t not in NO_SOURCE])
def test_each_row_of_numbers_has_its_source_and_grade(table):
    rows = rows_of(table)
    assert rows
    assert not holds_numbers(table) or "source" in rows[0]
    assert ("grade" in rows[0]) == ("source" in rows[0] and table not in NO_GRADE)
    for row in rows:
        for column in (c for c in row if c.endswith("source")):
            assert source(row[column]).key == row[column], column
        if "grade" in row:
            assert Grade(row["grade"]) is source(row["source"]).grade


@pytest.mark.parametrize("table", [*NO_SOURCE, *NO_GRADE])
def test_an_excuse_is_for_a_table_that_needs_one(table):
    assert holds_numbers(table) or table == "pure_compounds.csv"  # made into numbers when read
    assert ("source" in rows_of(table)[0]) == (table in NO_GRADE)
    assert "grade" not in rows_of(table)[0]


def test_each_key_that_is_used_is_defined():
    assert keys_in_tables() | keys_in_code() <= KEYS


def test_each_key_that_is_defined_is_used():
    assert keys_in_tables() | keys_in_code() >= KEYS


def test_an_unknown_key_is_refused():
    with pytest.raises(UnknownChoiceError):
        source("nobody-1900")


@pytest.mark.parametrize("entry", bibliography(), ids=lambda e: e.key)
def test_an_entry_that_nobody_read_is_not_called_published(entry):
    assert entry.citation
    assert (entry.grade is Grade.PUBLISHED) <= (entry.seen not in {"", "nothing"})
