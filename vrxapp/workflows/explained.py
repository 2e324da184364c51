"""A rule explained out of its own docstrings, so that the words cannot part from the code."""

import inspect
import re
from dataclasses import dataclass

from vrxapp.sources import Source, source
from vrxapp.table_reader import read_table
from vrxapp.workflows.rule_book import BookRule, Function

_UNDERLINE = re.compile(r"^(?P<title>[A-Z][A-Za-z ]+)\n-{3,}\n", re.MULTILINE)
_CITED = re.compile(r"^\.\. \[\d+\] (?P<key>[a-z0-9-]+)\.\s*(?P<where>.*)$", re.MULTILINE)
_MATH = re.compile(r"^\.\. math::[ \n]*(?P<text>(?:.+\n?)+)", re.MULTILINE)
_SYMBOLS = {
    r"\times": "×",
    r"\rho": "ρ",
    r"\theta": "θ",
    r"\Delta": "Δ",
    r"\chi": "χ",
    r"\nu": "ν",
    r"\sum": "Σ",
    r"\sqrt": "√",
    r"\le": "≤",
    r"\max": "max",
    r"\min": "min",
    r"\ln": "ln",
    r"\log": "log",
    r"\quad": "  ",
    r"\,": " ",
    r"\;": " ",
}


@dataclass(frozen=True, slots=True)
class CheckValue:
    """A check value that the tests hold a function to, with its id of the handbook."""

    function: str
    id: str
    told: str


@dataclass(frozen=True, slots=True)
class CitedSource:
    """A source, and what a function takes from it."""

    source: Source
    where: str


@dataclass(frozen=True, slots=True)
class ExplainedFunction:
    """One function of a rule in words.

    Parameters
    ----------
    name : str
        The function, with its module.
    told : str
        What it gives.
    equations : tuple of str
        Its equations, in plain letters.
    notes : str
        The equations with what is said beside them.
    takes, gives, refuses : str
        Inputs with units, what comes out, and the range outside which it refuses.
    sources : tuple of CitedSource
        Where it is from, in full.
    example : str
        A worked example, run with the tests.
    checks : tuple of CheckValue
        Check values that the tests hold it to.
    """

    name: str
    told: str
    equations: tuple[str, ...]
    notes: str
    takes: str
    gives: str
    refuses: str
    sources: tuple[CitedSource, ...]
    example: str
    checks: tuple[CheckValue, ...]


def explained(rule: BookRule) -> tuple[ExplainedFunction, ...]:
    """Every function of a rule, explained in the rule's order."""
    return tuple(explained_function(function) for function in rule.functions)


def check_values(function: str = "") -> tuple[CheckValue, ...]:
    """The check values of a function, or all of them."""
    rows = read_table("check_values.csv", CheckValue)
    return tuple(row for row in rows if function in ("", row.function))


def explained_function(function: Function) -> ExplainedFunction:
    """One function out of its docstring."""
    parts = docstring_sections(inspect.getdoc(function) or "")
    name = f"{function.__module__}.{function.__qualname__}"
    notes = parts.get("Notes", "")
    return ExplainedFunction(
        name=name,
        told=parts[""],
        equations=tuple(in_plain_letters(math["text"]) for math in _MATH.finditer(notes)),
        notes=in_plain_letters(notes),
        takes=parts.get("Parameters", ""),
        gives=parts.get("Returns", ""),
        refuses=parts.get("Raises", ""),
        sources=tuple(
            CitedSource(source(cited["key"]), cited["where"])
            for cited in _CITED.finditer(_one_line_each(parts.get("References", "")))
        ),
        example=parts.get("Examples", ""),
        checks=check_values(name),
    )


def docstring_sections(text: str) -> dict[str, str]:
    """The sections of a numpydoc docstring by title; what stands before them under ``""``.

    Examples
    --------
    >>> docstring_sections("Twice a number.\\n\\nNotes\\n-----\\nIt is 2 x.")
    {'': 'Twice a number.', 'Notes': 'It is 2 x.'}
    """
    marks = list(_UNDERLINE.finditer(text))
    starts = [0, *(mark.end() for mark in marks)]
    ends = [*(mark.start() for mark in marks), len(text)]
    titles = ["", *(mark["title"] for mark in marks)]
    return {
        title: text[start:end].strip()
        for title, start, end in zip(titles, starts, ends, strict=True)
    }


def _one_line_each(references: str) -> str:
    """References with their second lines joined to the first."""
    return re.sub(r"\n(?!\.\. )\s*", " ", references)


def in_plain_letters(text: str) -> str:
    r"""LaTeX of the docstrings in plain letters.

    >>> in_plain_letters(r".. math:: q = \max(0, a) \, \rho / \frac{b}{c}")
    'q = max(0, a) ρ / (b) / (c)'
    """
    text = re.sub(r"\.\. math::[ \n]*", "", text)
    text = re.sub(r":math:`([^`]*)`", r"\1", text)
    text = re.sub(r"\\(?:mathrm|text)\{([^{}]*)\}", r"\1", text)
    text = re.sub(r"([_^])\{([^{}]*)\}", r"\1(\2)", text)
    text = re.sub(r"\\sqrt\{([^{}]*)\}", r"\\sqrt(\1)", text)
    text = re.sub(r"\\frac\{([^{}]*)\}\{([^{}]*)\}", r"(\1) / (\2)", text)
    for mark, letter in sorted(_SYMBOLS.items(), key=lambda pair: -len(pair[0])):
        text = text.replace(mark, letter)
    return re.sub(r"(?<=\S) {2,}(?=\S)", " ", text).strip()
