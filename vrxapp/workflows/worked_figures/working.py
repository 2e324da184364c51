"""A figure worked out from what was typed, with all that belongs beside it."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from vrxapp.errors import MissingInputError, UnknownChoiceError, closed
from vrxapp.sources import Grade, source
from vrxapp.workflows.explained import CitedSource, ExplainedFunction, explained_function
from vrxapp.workflows.worked_figures.answer import (
    NO_VALUE,
    AnswerLine,
    answer_lines,
    source_keys,
    told_number,
)
from vrxapp.workflows.worked_figures.docstring_entries import plain_words
from vrxapp.workflows.worked_figures.figure import Choice, WorkedFigure
from vrxapp.workflows.worked_figures.figure_inputs import FigureInput, InputKind, figure_inputs
from vrxapp.workflows.worked_figures.reading import (
    ReadInput,
    near,
    read_input,
    require_same_length,
)

PLAIN_SUM = "A plain sum: no number in it is anybody's but yours."
"""Told where a figure has no source, since it needs none."""


@dataclass(frozen=True, slots=True)
class Working:
    """A figure worked out.

    Parameters
    ----------
    figure : WorkedFigure
        What was worked out.
    given : mapping of str to str
        What was typed, by the full name of each input.
    with_inputs : tuple of str
        The same as people read it: with units, and with what was taken from a table.
    lines : tuple of AnswerLine
        The result.
    about : ExplainedFunction
        Equation, range, example and check values.
    sources : tuple of CitedSource
        The function's, and those of each number that was taken from a table.
    cautions : tuple of str
        What has to stand beside the result.
    """

    figure: WorkedFigure
    given: Mapping[str, str]
    with_inputs: tuple[str, ...]
    lines: tuple[AnswerLine, ...]
    about: ExplainedFunction
    sources: tuple[CitedSource, ...]
    cautions: tuple[str, ...]


def worked(figure: WorkedFigure, given: Mapping[str, str]) -> Working:
    """Work out a figure from what was typed for its inputs.

    Parameters
    ----------
    figure : WorkedFigure
        What to work out.
    given : mapping of str to str
        What was typed for each input; empty counts as not given, and the beginning of a
        name stands for the name where no other begins so.

    Returns
    -------
    Working
        The result and what belongs beside it.

    Raises
    ------
    VrxError
        If an input is unknown, missing or not possible; it names the input and the mend.
    """
    entries = {entry.name: entry for entry in figure_inputs(figure)}
    typed = {_full(name, entries): text for name, text in given.items() if text.strip()}
    missing = still_to_give(figure, typed)
    if missing:
        raise _lacking(missing)
    read = {name: read_input(entries[name], text) for name, text in typed.items()}
    require_same_length(read)
    result = _called(figure.function, read)
    lines = answer_lines(figure, result)
    about = explained_function(figure.function)
    taken = tuple(choice for one in read.values() for choice in one.taken)
    sources = _all_sources(about, taken, result)
    told = tuple(_told_input(entries[name], text, read[name]) for name, text in typed.items())
    cautions = _cautions(figure, lines, sources)
    return Working(figure, typed, told, lines, about, sources, cautions)


def still_to_give(figure: WorkedFigure, given: Mapping[str, str]) -> tuple[FigureInput, ...]:
    """The inputs that a figure needs and that nothing was typed for."""
    return tuple(
        entry
        for entry in figure_inputs(figure)
        if entry.is_needed and not given.get(entry.name, "").strip()
    )


def with_labels(figure: WorkedFigure, sentence: str) -> str:
    """A sentence that names inputs as the terminal does, in the words that a form has for them.

    Examples
    --------
    >>> from vrxapp.agronomy.sodicity import esp_from_sar
    >>> from vrxapp.workflows.worked_figures.figure import Subject
    >>> figure = WorkedFigure("esp-from-sar", "ESP from SAR", Subject.SALT, esp_from_sar)
    >>> with_labels(figure, "sar must not be negative.")
    'SAR of the saturation extract must not be negative.'
    """
    for entry in figure_inputs(figure):
        # a name that is a plain word too, as rate, is meant only where the sentence begins
        at = rf"\b{entry.name}\b" if "_" in entry.name else rf"^{entry.name}(?=:| must | is )"
        sentence = re.sub(at, entry.label, sentence)
    return sentence


def equation_lines(figure: WorkedFigure) -> tuple[str, ...]:
    """The equation of a figure, its letters, and what is to be known about it."""
    notes = explained_function(figure.function).notes
    return tuple(plain_words(part) for part in notes.split("\n\n") if part.strip())


def _full(name: str, entries: Mapping[str, FigureInput]) -> str:
    """The full name of an input from its beginning."""
    wanted = name.strip().casefold().replace("-", "_")
    if wanted in entries:
        return wanted
    begins = [known for known in entries if wanted and known.startswith(wanted)]
    if len(begins) == 1:
        return begins[0]
    meant = begins or near(wanted, list(entries)) or list(entries)
    raise UnknownChoiceError(
        f"{name!r} may be several inputs" if begins else f"there is no input {name!r}",
        mend=f"Use one of: {', '.join(meant)}" if meant else "It takes none",
    )


def _lacking(missing: tuple[FigureInput, ...]) -> MissingInputError:
    """What has not been given yet, with its unit."""
    first = missing[0]
    told = f"{first.label.lower() if first.label.istitle() else first.label}"
    unit = f" [{first.unit}]" if first.unit else ""
    rest = ", ".join(entry.name for entry in missing)
    return MissingInputError(f"{rest}: not given yet", mend=f"Give {first.name}: {told}{unit}")


def _called(function: Callable[..., Any], read: Mapping[str, ReadInput]) -> object:
    """The function's result; a division by zero inside is a missing value, not a warning."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return function(**{name: one.value for name, one in read.items()})


def _all_sources(
    about: ExplainedFunction, taken: tuple[Choice, ...], result: object
) -> tuple[CitedSource, ...]:
    """Every source once for each place in it that something was taken from."""
    rows = [(choice.source, choice.where) for choice in taken if choice.source]
    cited = [(one.source.key, one.where) for one in about.sources]
    places: dict[str, list[str]] = {}
    for key, where in (*cited, *rows, *source_keys(result)):
        told = places.setdefault(key, [])
        if where and not any(where.rstrip(".") in other for other in told):
            told.append(where)
    return tuple(
        CitedSource(source(key), " ".join(map(closed, told))) for key, told in places.items()
    )


def _told_input(entry: FigureInput, text: str, read: ReadInput) -> str:
    """An input as people read it."""
    has_numbers = entry.kind in (InputKind.NUMBER, InputKind.NUMBERS)
    if has_numbers:
        text = ", ".join(map(told_number, np.ravel(np.asarray(read.value, dtype=float))))
        text = text.replace(NO_VALUE, "unknown")
        text += f" {entry.unit}" if entry.unit else ""
    names = dict.fromkeys(choice.name for choice in read.taken)
    beside = ", ".join(name for name in names if name.casefold() != text.casefold())
    return f"{entry.label}: {text}" + (f" ({beside})" if beside else "")


def _cautions(
    figure: WorkedFigure, lines: tuple[AnswerLine, ...], sources: tuple[CitedSource, ...]
) -> tuple[str, ...]:
    """What must be said beside the result, and which of its numbers nobody has verified."""
    truths = [value for value in lines[0].values if isinstance(value, bool)]
    said = figure.cautions if any(truths) or not truths else ()
    unsure = dict.fromkeys(
        cited.source.key for cited in sources if cited.source.grade is Grade.UNVERIFIED
    )
    doubts = (f"From memory and unverified: {', '.join(unsure)}.",) if unsure else ()
    return (*doubts, *said)
