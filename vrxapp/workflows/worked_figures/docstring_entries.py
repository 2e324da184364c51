"""The entries of a docstring's Parameters and Returns: names, kind, words and units."""

import inspect
import re
from dataclasses import dataclass

from vrxapp.workflows.explained import docstring_sections, in_plain_letters

_ENTRY = re.compile(r"^(?P<names>\w+(?:, \w+)*)(?: : (?P<kind>.+))?$|^(?P<whole>\S.*)$")
_UNIT = re.compile(r"\s*\[([^\]\d][^\]]*)\](?!_)")
_CITATION = re.compile(r"\s*\[[a-z0-9-]+-\d{4}\]|\s*\[\d+\]_")
_NO_UNIT = ("-", "index", "pH")
_CODE = re.compile(r",? (?:as|as for) `[^`]+`(?: gives)?")
_CLAUSE = re.compile(r"[,;:.](?:\s|$)|\s\(")


@dataclass(frozen=True, slots=True)
class DocEntry:
    """One parameter, field or result as its docstring tells it.

    Parameters
    ----------
    name : str
        Name of the parameter or field; empty for a result.
    kind : str
        Type in the docstring's words.
    told : str
        What it is, without its unit.
    unit : str
        Its unit; empty where it has none.
    """

    name: str
    kind: str
    told: str
    unit: str

    @property
    def label(self) -> str:
        """The first clause of what it is, short enough to stand before a field."""
        clause = _CLAUSE.split(self.told, maxsplit=1)[0].strip().removeprefix("The ")
        return "" if clause.startswith("NaN") else clause[:1].upper() + clause[1:]


def parameter_entries(of: object) -> tuple[DocEntry, ...]:
    """The parameters of a function or the fields of a class, in the docstring's order."""
    return _entries(docstring_sections(inspect.getdoc(of) or "").get("Parameters", ""))


def result_entry(of: object) -> DocEntry:
    """What a function gives; all empty where its docstring does not tell."""
    found = _entries(docstring_sections(inspect.getdoc(of) or "").get("Returns", ""))
    return found[0] if found else DocEntry("", "", "", "")


def first_line(of: object) -> str:
    """The first line of a docstring, without its unit."""
    text = (inspect.getdoc(of) or "").partition("\n")[0]
    return _UNIT.sub("", text)


def plain_words(text: str) -> str:
    """A text without references and names of the code, in one line.

    Examples
    --------
    >>> plain_words("1.4 to 2.5 is possible [2]_, as `organic_matter` gives.")
    '1.4 to 2.5 is possible.'
    """
    return " ".join(_CODE.sub("", _CITATION.sub("", text)).replace("`", "").split())


def _entries(section: str) -> tuple[DocEntry, ...]:
    """The entries of one section; names that share one description share it."""
    found: list[DocEntry] = []
    for block in re.split(r"\n(?=\S)", section.strip()):
        head, _, body = block.partition("\n")
        entry = _ENTRY.match(head)
        if entry is None:
            continue
        words = in_plain_letters(" ".join(body.split()))
        units = ["" if unit in _NO_UNIT else unit for unit in _UNIT.findall(words)] or [""]
        told = plain_words(_UNIT.sub("", words))
        names = (entry["names"] or "").split(", ") if entry["kind"] else [""]
        kind = entry["kind"] or head
        for number, name in enumerate(names):
            unit = units[number] if len(units) == len(names) else units[0]
            found.append(DocEntry(name, kind, told, unit))
    return tuple(found)
