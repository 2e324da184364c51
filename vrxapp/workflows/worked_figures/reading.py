"""What was typed for an input, as the value that its function takes."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from difflib import get_close_matches

import numpy as np

from vrxapp.errors import MissingInputError, SoilInputError, UnknownChoiceError, VrxError
from vrxapp.workflows.worked_figures.figure import Choice
from vrxapp.workflows.worked_figures.figure_inputs import UNKNOWN, FigureInput, InputKind

_PARTED = re.compile(r"[,;]")
_THOUSANDS = re.compile(r"(?<![\d.])\d{1,3}(?:,\d{3})+(?![\d])")
_YES, _NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")
_MOST_TOLD = 12


@dataclass(frozen=True, slots=True)
class ReadInput:
    """What a function is given for one input, and what was taken from a table for it."""

    value: object
    length: int
    taken: tuple[Choice, ...] = ()


def read_input(entry: FigureInput, text: str) -> ReadInput:
    """The value of an input.

    Raises
    ------
    VrxError
        If the text is no such value; the message names the input, the value and the mend.
    """
    readers: dict[InputKind, Callable[[FigureInput, str], ReadInput]] = {
        InputKind.NUMBER: _number,
        InputKind.NUMBERS: _numbers,
        InputKind.WORD: _word,
        InputKind.CHOICE: _choice,
        InputKind.CHOICES: _choices,
        InputKind.YES_NO: _yes_no,
        InputKind.PAIRS: _pairs,
    }
    return readers[entry.kind](entry, text.strip())


def near(wanted: str, names: list[str]) -> list[str]:
    """Names that were perhaps meant: those that hold the word, and those that look alike."""
    lowered = {name.casefold(): name for name in names}
    holding = [low for low in lowered if wanted and wanted.casefold() in low]
    alike = get_close_matches(wanted.casefold(), list(lowered), n=3, cutoff=0.6)
    return [lowered[low] for low in dict.fromkeys((*holding, *alike))][:_MOST_TOLD]


def _numbers(entry: FigureInput, text: str) -> ReadInput:
    """Numbers with commas or spaces between; a name out of the table stands for its number."""
    thousands = _THOUSANDS.search(text)
    if thousands:
        plain = thousands.group().replace(",", "")
        raise SoilInputError(
            f"{entry.name}: {thousands.group()!r} may be one number or several",
            mend=f"Write {plain}, or several numbers with a space after each comma",
        )
    read = [_one_number(entry, part) for part in _parts(entry, text)]
    numbers = [number for number, _ in read]
    taken = tuple(choice for _, choice in read if choice is not None)
    value = numbers if entry.passes_list else np.array(numbers, dtype=float)
    return ReadInput(value, len(numbers), taken)


def _number(entry: FigureInput, text: str) -> ReadInput:
    """One number."""
    read = _numbers(entry, text)
    if read.length != 1:
        raise SoilInputError(
            f"{entry.name} is one number, not {read.length}", value=text, mend="Give one"
        )
    return ReadInput(float(np.asarray(read.value)[0]), 1, read.taken)


def _parts(entry: FigureInput, text: str) -> list[str]:
    """The parts of a list; spaces alone part numbers too."""
    parts = [part.strip() for part in _PARTED.split(text) if part.strip()]
    split = [
        word
        for part in parts
        for word in (part.split() if all(map(_is_number, part.split())) else [part])
    ]
    if not split:
        raise MissingInputError(f"{entry.name} is empty", mend=f"Give {entry.kind}")
    return split


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return text == UNKNOWN
    return True


def _one_number(entry: FigureInput, part: str) -> tuple[float, Choice | None]:
    """A number, with or without its unit, or what the table has under a name."""
    bare = part.removesuffix(entry.unit).strip() if entry.unit else part
    if bare == UNKNOWN:
        return float("nan"), None
    if _is_number(bare):
        return float(bare), None
    for offer in entry.offers:
        if part.casefold() in (offer.key.casefold(), offer.name.casefold()):
            return float(str(offer.value)), offer
    told = f" in {entry.unit}" if entry.unit else ""
    names = [offer.key for offer in entry.offers]
    mend = f"Write a number{told}"
    if names:
        mend += f", or one of: {', '.join((near(part, names) or names)[:_MOST_TOLD])}"
    raise SoilInputError(f"{entry.name}: {part!r} is no number", mend=mend)


def _word(entry: FigureInput, text: str) -> ReadInput:
    """Words; a name out of the list stands for what it is short for."""
    if not text:
        raise MissingInputError(f"{entry.name} is empty", mend=f"Give {entry.kind}")
    for offer in entry.offers:
        if text.casefold() in (offer.key.casefold(), offer.name.casefold()):
            return ReadInput(offer.value, 1, (offer,))
    return ReadInput(text, 1)


def _choice(entry: FigureInput, text: str) -> ReadInput:
    chosen = _chosen(entry, text)
    return ReadInput(chosen.value, 1, (chosen,))


def _choices(entry: FigureInput, text: str) -> ReadInput:
    """Several of a list, one for each place."""
    parts = [part.strip() for part in _PARTED.split(text) if part.strip()]
    chosen = tuple(_chosen(entry, part) for part in parts or [""])
    return ReadInput(np.array([str(one.value) for one in chosen]), len(chosen), chosen)


def _chosen(entry: FigureInput, text: str) -> Choice:
    """The choice with this key or name."""
    for choice in entry.choices:
        if text.casefold() in (choice.key.casefold(), choice.name.casefold()):
            return choice
    names = [choice.key for choice in entry.choices]
    meant = near(text, names) or names
    more = f" and {len(meant) - _MOST_TOLD} more" if len(meant) > _MOST_TOLD else ""
    raise UnknownChoiceError(
        f"{entry.name}: there is no {text!r} to choose" if text else f"{entry.name} is empty",
        mend=f"Choose one of: {', '.join(meant[:_MOST_TOLD])}{more}",
    )


def _yes_no(entry: FigureInput, text: str) -> ReadInput:
    """Yes or no, by several spellings."""
    if text.casefold() not in (*_YES, *_NO):
        raise SoilInputError(
            f"{entry.name} is yes or no", value=text or "nothing", mend="Write yes or no"
        )
    return ReadInput(text.casefold() in _YES, 1)


def _pairs(entry: FigureInput, text: str) -> ReadInput:
    """Names with a number each: ``Cd 2, Pb 20``."""
    found: dict[str, float] = {}
    for part in _PARTED.split(text):
        words = part.replace("=", " ").split()
        if not words:
            continue
        if len(words) < 2:
            raise SoilInputError(
                f"{entry.name}: {part.strip()!r} is no name with a number",
                mend=f"Write it as {entry.choices[0].key} 2",
            )
        choice = _chosen(entry, words[0])
        found[choice.key], _ = _one_number(entry, " ".join(words[1:]))
    if not found:
        raise MissingInputError(
            f"{entry.name} is empty", mend=f"Write it as {entry.choices[0].key} 2"
        )
    return ReadInput(found, 1)


def require_same_length(read: dict[str, ReadInput]) -> None:
    """Refuse lists that do not go together; one value alone goes with any number of places.

    Raises
    ------
    VrxError
        If two lists differ in length; the message names both.
    """
    longer = {name: one.length for name, one in read.items() if one.length > 1}
    if len(set(longer.values())) > 1:
        told = " and ".join(f"{name} {length}" for name, length in longer.items())
        raise _unlike(told)


def _unlike(told: str) -> VrxError:
    return SoilInputError(
        f"the lists differ in length: {told} values",
        mend="Give each as many values as there are places, or one for all",
    )
