"""The bibliography: where each number comes from and how well it is known."""

import tomllib
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import resources

from vrxapp.errors import UnknownChoiceError


class Grade(StrEnum):
    """How far a number can be trusted, shown beside it wherever it is used."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice, no source"
    UNVERIFIED = "from memory, unverified"
    YOURS = "the agronomist's own"


@dataclass(frozen=True, slots=True)
class Source:
    """One entry of the bibliography."""

    key: str
    citation: str
    grade: Grade
    seen: str
    """What was read: the paper, its abstract, a document quoting it, or nothing."""


@cache
def bibliography() -> tuple[Source, ...]:
    """Every source of every number in the program, in alphabetical order of key."""
    text = resources.files("vrxapp.tables").joinpath("sources.toml").read_text("utf-8")
    return tuple(
        Source(key, entry["citation"], Grade(entry["grade"]), entry["seen"])
        for key, entry in sorted(tomllib.loads(text).items())
    )


def source(key: str) -> Source:
    """The entry with this key.

    Raises
    ------
    UnknownChoiceError
        If the bibliography has no such key.
    """
    for entry in bibliography():
        if entry.key == key:
            return entry
    raise UnknownChoiceError(f"the bibliography has no entry {key!r}")
