"""Reads the data tables; each row becomes a small frozen value with typed fields."""

import csv
import math
from dataclasses import fields
from enum import Enum
from functools import cache
from importlib import resources
from typing import Any, TypeVar, cast, get_type_hints

Row = TypeVar("Row")


def read_table(name: str, row_type: type[Row]) -> tuple[Row, ...]:
    """The rows of `tables/<name>`, one `row_type` each.

    The header must hold exactly the fields of `row_type`. A blank number is NaN,
    a blank tuple is empty, and a tuple's parts are parted by ``|``.

    Raises
    ------
    ValueError
        If the header or a cell does not fit: a mistake in the program's own data.
    """
    rows: tuple[Row, ...] = _read(name, cast("Any", row_type))
    return rows


@cache
def _read(name: str, row_type: Any) -> tuple[Any, ...]:
    """Read a table once."""
    text = resources.files("vrxapp.tables").joinpath(name).read_text("utf-8")
    lines = csv.DictReader(text.splitlines())
    names = [field.name for field in fields(row_type)]
    if list(lines.fieldnames or ()) != names:
        raise ValueError(f"{name}: the header is {lines.fieldnames}, expected {names}")
    hints = get_type_hints(row_type)
    return tuple(
        row_type(**{field: _cell(line[field], hints[field]) for field in names}) for line in lines
    )


def _cell(text: str, kind: Any) -> Any:
    """One cell as the type its field asks for."""
    text = text.strip()
    if kind is float:
        return float(text) if text else math.nan
    if kind is str:
        return text
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(text)
    return tuple(part.strip() for part in text.split("|")) if text else ()
