"""What a figure takes, read from the signature and the docstring of its function."""

import inspect
import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, StrEnum
from functools import cache
from typing import Any, get_type_hints

import numpy as np

from vrxapp.workflows.worked_figures.docstring_entries import DocEntry, parameter_entries
from vrxapp.workflows.worked_figures.figure import Choice, WorkedFigure

UNKNOWN, ENDLESS = "?", "inf"
"""What is typed for a number that nobody knows, and for one without an end."""


class InputKind(StrEnum):
    """How an input is given."""

    NUMBER = "a number"
    NUMBERS = "numbers, with commas between"
    WORD = "words"
    CHOICE = "one of a list"
    CHOICES = "one or more of a list, with commas between"
    YES_NO = "yes or no"
    PAIRS = "names with numbers, with commas between"


@dataclass(frozen=True, slots=True)
class FigureInput:
    """One input of a figure.

    Parameters
    ----------
    name : str
        What is typed before the value.
    label, told : str
        What it is: in a few words, and in full with its range.
    unit : str
        Its unit; empty where it has none.
    kind : InputKind
        How it is given.
    choices : tuple of Choice
        All that may be given, or the names of pairs.
    offers : tuple of Choice
        What may be taken from a table instead of a number or word of one's own.
    default : str
        What counts where nothing is given.
    is_needed : bool
        Whether there is no working it out without.
    passes_list : bool
        Whether the function asks for a Python list.
    """

    name: str
    label: str
    told: str
    unit: str
    kind: InputKind
    choices: tuple[Choice, ...]
    offers: tuple[Choice, ...]
    default: str
    is_needed: bool
    passes_list: bool = False


@cache
def _hints(function: Any) -> Mapping[str, Any]:
    return get_type_hints(function)


def figure_inputs(figure: WorkedFigure) -> tuple[FigureInput, ...]:
    """The inputs of a figure in the order of its function's parameters."""
    entries = {entry.name: entry for entry in parameter_entries(figure.function)}
    return tuple(
        _input(figure, parameter, entries.get(name, DocEntry(name, "", "", "")))
        for name, parameter in inspect.signature(figure.function).parameters.items()
    )


def _input(figure: WorkedFigure, parameter: inspect.Parameter, entry: DocEntry) -> FigureInput:
    """One input out of its parameter and its entry in the docstring."""
    name, hint = parameter.name, _hints(figure.function)[parameter.name]
    has_list = name in figure.choices
    choices = figure.choices[name]() if has_list else _choices_of(hint)
    offers = figure.offers[name]() if name in figure.offers else ()
    is_needed = parameter.default is inspect.Parameter.empty
    return FigureInput(
        name=name,
        label=entry.label or name.replace("_", " "),
        told=entry.told.replace("the result is NaN", "there is no value").replace("NaN", UNKNOWN),
        unit=entry.unit,
        kind=_kind(hint, entry, has_choices=bool(choices)),
        choices=choices,
        offers=offers,
        default="" if is_needed else default_text(parameter.default),
        is_needed=is_needed,
        passes_list=entry.kind.startswith("sequence"),
    )


def _choices_of(hint: Any) -> tuple[Choice, ...]:
    """The members of an enumeration as choices; none for all else."""
    if not (isinstance(hint, type) and issubclass(hint, Enum)):
        return ()
    return tuple(Choice(str(member.value), str(member.value), member) for member in hint)


def _kind(hint: Any, entry: DocEntry, *, has_choices: bool) -> InputKind:
    """How an input is given, by its type and its list."""
    if entry.kind.startswith("mapping"):
        return InputKind.PAIRS
    if has_choices:
        is_one = isinstance(hint, type)
        return InputKind.CHOICE if is_one else InputKind.CHOICES
    if hint is bool:
        return InputKind.YES_NO
    if hint is str:
        return InputKind.WORD
    return InputKind.NUMBER if hint in (float, int) else InputKind.NUMBERS


def default_text(value: object) -> str:
    """A default as it would be typed."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        if math.isnan(value):
            return UNKNOWN
        return ENDLESS if math.isinf(value) else np.format_float_positional(value, trim="-")
    return "" if value is None else str(value)
