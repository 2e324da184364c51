"""Who uses which source: the tables by their columns, the modules by the keys they name."""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path

import vrxapp
from vrxapp.errors import UnknownChoiceError
from vrxapp.sources import Grade, Source, bibliography, source

_CITED = re.compile(r"^\s+\.\. \[\d\] ([a-z0-9-]+)\.", re.MULTILINE)
_NAMED = re.compile(r"""["\[(]([a-z0-9]+(?:-[a-z0-9]+)*)["\])]|# ([a-z0-9]+(?:-[a-z0-9]+)+)""")


@dataclass(frozen=True, slots=True)
class SourceUse:
    """A source and where its numbers stand.

    Parameters
    ----------
    source : Source
        The entry of the bibliography.
    tables : tuple of (str, int)
        Tables that hold numbers of it, with their count of rows.
    modules : tuple of str
        Modules that cite it.
    """

    source: Source
    tables: tuple[tuple[str, int], ...]
    modules: tuple[str, ...]


def source_uses(keys: tuple[str, ...] = (), *, grade: Grade | None = None) -> tuple[SourceUse, ...]:
    """Every source with its uses, or those with some keys or of one grade.

    Raises
    ------
    UnknownChoiceError
        If the bibliography has no such key; the mend lists those that look like it.
    """
    chosen = tuple(_known(key) for key in keys) or bibliography()
    tables, modules = _rows_of_tables(), _modules_of_keys()
    return tuple(
        SourceUse(
            entry,
            tuple((name, rows[entry.key]) for name, rows in tables.items() if entry.key in rows),
            tuple(name for name, cited in modules.items() if entry.key in cited),
        )
        for entry in chosen
        if grade in (None, entry.grade)
    )


def table_rows() -> Iterator[tuple[str, int, dict[str, str]]]:
    """Every row of every table, with the table's name and the row as a spreadsheet counts it."""
    for path in sorted(resources.files("vrxapp.tables").iterdir(), key=lambda p: p.name):
        if path.name.endswith(".csv"):
            lines = csv.DictReader(path.read_text("utf-8").splitlines())
            for number, row in enumerate(lines, start=2):
                yield path.name, number, row


def _known(key: str) -> Source:
    """The entry with a key; else what there is like it."""
    try:
        return source(key)
    except UnknownChoiceError as error:
        part = key.casefold().split("-")[0]
        near = [entry.key for entry in bibliography() if part and part in entry.key]
        raise UnknownChoiceError(
            error.note.message,
            mend=f"Choose one of: {', '.join(near)}" if near else "vrxapp sources lists them all",
        ) from error


@cache
def _rows_of_tables() -> dict[str, dict[str, int]]:
    """How many rows of each table name each source, in a source column or beside a place."""
    counted: dict[str, dict[str, int]] = {}
    keys = {entry.key for entry in bibliography()}
    for name, _, row in table_rows():
        cells = {cell for column, cell in row.items() if column.endswith("source")}
        beside = set(re.findall(r"[a-z0-9-]+", row.get("where", "")))
        for key in (cells | beside) & keys:
            rows = counted.setdefault(name, {})
            rows[key] = rows.get(key, 0) + 1
    return counted


@cache
def _modules_of_keys() -> dict[str, frozenset[str]]:
    """Which sources each module of the program names."""
    keys = {entry.key for entry in bibliography()}
    folder = Path(vrxapp.__file__).parent
    found = {}
    for path in sorted(folder.rglob("*.py")):
        text = path.read_text("utf-8")
        named = {first or second for first, second in _NAMED.findall(text)}
        cited = (named | set(_CITED.findall(text))) & keys
        if cited:
            parts = path.relative_to(folder.parent).with_suffix("").parts
            found[".".join(parts)] = frozenset(cited)
    return found
