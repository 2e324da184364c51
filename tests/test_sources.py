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
WITHOUT_NUMBERS = {
    "analytes.csv",
    "crops.csv",
    "harvests.csv",
    "leaf_nutrients.csv",
    "units.csv",
}
TABLES = sorted(p.name for p in resources.files("vrxapp.tables").iterdir() if p.name[-4:] == ".csv")


def keys_in_tables():
    found = set()
    for table in TABLES:
        text = resources.files("vrxapp.tables").joinpath(table).read_text("utf-8")
        for row in csv.DictReader(text.splitlines()):
            found |= {row[name] for name in row if name.endswith("source")}
            found |= {key for key in KEYS if key in row.get("where", "")}
    return found


def keys_in_code():
    text = "\n".join(path.read_text("utf-8") for path in PACKAGE.rglob("*.py"))
    cited = set(re.findall(r"^\s+\.\. \[\d\] ([a-z0-9-]+)\.", text, re.MULTILINE))
    quoted = {key for key in KEYS if f'"{key}"' in text or f"[{key}]" in text or f"# {key}" in text}
    return cited | quoted


@pytest.mark.parametrize("table", [t for t in TABLES if t not in WITHOUT_NUMBERS])
def test_each_row_of_numbers_has_a_source(table):
    text = resources.files("vrxapp.tables").joinpath(table).read_text("utf-8")
    for row in csv.DictReader(text.splitlines()):
        assert source(row["source"]).key == row["source"]
        if "grade" in row:
            assert Grade(row["grade"]) is source(row["source"]).grade


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
