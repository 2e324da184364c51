"""What a function gave, as lines with a label, a unit and words for each place."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from typing import Any

import numpy as np

from vrxapp.agronomy.figures import Figure
from vrxapp.soil.estimates import Estimate, estimate_marked
from vrxapp.workflows.worked_figures.docstring_entries import (
    DocEntry,
    first_line,
    parameter_entries,
    result_entry,
)
from vrxapp.workflows.worked_figures.figure import WorkedFigure

NO_VALUE = "no value"
_DIGITS = 4
_NOT_SHOWN = (
    *("key", "name", "metal", "effect", "material"),  # they stand in the label of a row
    *("source", "where", "grade", "trail", "steps"),  # they are told beside the result
)

Plain = float | bool | str


@dataclass(frozen=True, slots=True)
class AnswerLine:
    """One result.

    Parameters
    ----------
    label, unit : str
        What it is, and its unit.
    values : tuple of float, bool or str
        One value for each place; NaN where there is none.
    told : tuple of str
        The same in words.
    why_none : str
        When there is no value, as the docstring tells it; empty where all have one.
    """

    label: str
    unit: str
    values: tuple[Plain, ...]
    told: tuple[str, ...]
    why_none: str = ""

    @property
    def text(self) -> str:
        """The values in words with their unit, and why one is missing."""
        unit = f" {self.unit}" if self.unit and not _is_words(self.unit) else ""
        beside = f" ({self.unit})" if _is_words(self.unit) else ""
        told = ", ".join(one if one == NO_VALUE else f"{one}{unit}" for one in self.told)
        return f"{told}{beside}" + (f" ({self.why_none})" if self.why_none else "")


def answer_lines(figure: WorkedFigure, result: object) -> tuple[AnswerLine, ...]:
    """The lines of a result, the main one first."""
    entry = result_entry(figure.function)
    return tuple(_lines(result, entry, label=entry.label or first_line(figure.function)))


def source_keys(result: object) -> Iterator[tuple[str, str]]:
    """Keys of the bibliography that a result brings along, with the place in each."""
    for part in result if isinstance(result, tuple) else (result,):
        inner = [getattr(part, one.name) for one in fields(part)] if _is_value(part) else []
        for row in (part, *filter(_is_value, inner)):
            if getattr(row, "source", ""):
                yield str(getattr(row, "source", "")), str(getattr(row, "where", ""))


def _is_value(thing: Any) -> bool:
    """Whether something is a dataclass's value and not its class."""
    return is_dataclass(thing) and not isinstance(thing, type)


def told_number(value: float) -> str:
    """A number to four figures, never with an exponent.

    Examples
    --------
    >>> told_number(1001.9500001), told_number(0.0000143), told_number(1234567.0)
    ('1002', '0.0000143', '1234567')
    """
    if math.isnan(value):
        return NO_VALUE
    if math.isinf(value):
        return "no end"
    if value == 0:
        return "0"
    whole = len(str(int(abs(value))))
    return np.format_float_positional(
        value, precision=max(_DIGITS, whole), fractional=False, trim="-"
    )


def _lines(result: object, entry: DocEntry, *, label: str) -> Iterator[AnswerLine]:
    """The lines of one result, whatever it is made of."""
    if isinstance(result, Estimate):
        yield from _estimate_lines(result)
    elif isinstance(result, Figure):
        yield from _figure_lines(result)
    elif isinstance(result, tuple):
        yield from _rows(result, entry, label=label)
    elif is_dataclass(result):
        yield from _field_lines(result)
    elif result is None:
        yield AnswerLine("The check", "", ("passes",), ("passes",))
    else:
        yield _line(result, entry, label=label)


def _line(result: object, entry: DocEntry, *, label: str) -> AnswerLine:
    """One number, word, truth or column of them."""
    values = tuple(map(_plain, np.ravel(np.asarray(result, dtype=object))))
    is_missing = any(isinstance(value, float) and math.isnan(value) for value in values)
    _, _, why = entry.told.partition("NaN ")
    return AnswerLine(
        label,
        entry.unit,
        values,
        tuple(map(_told, values)),
        _first_clause(why) if is_missing else "",
    )


def _estimate_lines(estimate: Estimate) -> Iterator[AnswerLine]:
    """An estimate keeps its mark."""
    places = range(estimate.values.size)
    values = tuple(float(value) for value in estimate.values)
    told = tuple(estimate_marked(estimate, place) or NO_VALUE for place in places)
    yield AnswerLine(_with_capital(estimate.name), "", values, told)
    yield AnswerLine("Worked out", "", (estimate.basis,), (estimate.basis,))


def _figure_lines(found: Figure) -> Iterator[AnswerLine]:
    """A number of a table with its range, where one is printed."""
    yield AnswerLine(found.name, found.unit, (found.value,), (told_number(found.value),))
    ends = [told_number(end) for end in (found.low, found.high) if not math.isnan(end)]
    if ends:
        told = " to ".join(ends) if len(ends) > 1 else f"up to {ends[0]}"
        yield AnswerLine(f"{found.name}: range", found.unit, (told,), (told,))


def _rows(rows: tuple[object, ...], entry: DocEntry, *, label: str) -> Iterator[AnswerLine]:
    """Several rows, or that there is none."""
    if not rows:
        yield AnswerLine(label, "", (), ("none",))
    for row in rows:
        name = str(getattr(row, "name", "") or getattr(row, "effect", ""))
        for line in _lines(row, entry, label=label):
            is_named = not name or line.label.startswith(name)
            told = line.label if is_named else f"{name}: {line.label[:1].lower()}{line.label[1:]}"
            yield AnswerLine(_with_capital(told), line.unit, line.values, line.told, line.why_none)


def _field_lines(result: object) -> Iterator[AnswerLine]:
    """The fields of a value that its docstring tells of; empty texts are left out."""
    for entry in parameter_entries(type(result)):
        value = getattr(result, entry.name)
        if entry.name in _NOT_SHOWN or is_dataclass(value):
            continue
        line = _line(value, entry, label=entry.label)
        if any(value != "" for value in line.values):
            yield line


def _plain(value: object) -> Plain:
    """A value without numpy or an enumeration around it."""
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, (bool, str)):
        return value
    return float(str(value))


def _told(value: Plain) -> str:
    """A value in words."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return told_number(value) if isinstance(value, float) else value or "nothing"


def _first_clause(text: str) -> str:
    return text.partition(".")[0].partition(";")[0].strip()


def _with_capital(text: str) -> str:
    """A text with a capital; pH keeps its own spelling."""
    return text if text.startswith("pH") else text[:1].upper() + text[1:]


def _is_words(unit: str) -> bool:
    """Whether a unit is told in words, as "the same unit"."""
    return unit.split(" ")[0] in ("the", "its", "their", "unit")
