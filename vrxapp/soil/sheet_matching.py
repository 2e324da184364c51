"""Proposals which paddock, zone and layer a sample is from, where only its name tells.

Nothing is matched here: a person looks at the proposals and takes them or not.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from vrxapp.errors import UnknownChoiceError
from vrxapp.ground.zones import comparable
from vrxapp.soil.place_notes import listed
from vrxapp.soil.results_table import ResultsTable

_LAYER = re.compile(
    r"(?<![^\W_])(?<![.,])([0-9]+(?:[.,][0-9]+)?)\s*(?:-|–|—|to)\s*([0-9]+(?:[.,][0-9]+)?)"
    r"(?:\s*cm)?(?![.,][0-9])(?!-[0-9])(?![^\W_])",
    re.IGNORECASE,
)
_WORD = re.compile(r"[^\W_]+")
_DEEPEST_CM = 300.0
_FEWEST_INITIALS = 2
_SHORTEST_PART = 4
_PART = "part of its name"


@dataclass(frozen=True, slots=True)
class MatchProposal:
    """What the name of one row's sample says about where it is from.

    Parameters
    ----------
    row : int
        Row of the results table, counted from 0.
    paddock, zone : str or None
        Names as they were given; None where nothing or more than one fits.
    depth_cm : str
        Layer, for instance ``"0-10"``; empty where none is told. [cm]
    candidates : tuple of str
        The names that fit equally well, where that is why none is proposed.
    why : str
        What in the sample's name says so.
    is_by_part : bool
        Whether a name was found by a part of it alone, which a person should confirm.
    """

    row: int
    paddock: str | None
    zone: str | None
    depth_cm: str
    candidates: tuple[str, ...]
    why: str
    is_by_part: bool


@dataclass(frozen=True, slots=True)
class _Found:
    """The names that fit best, and how; `words` are theirs in the sample's name."""

    names: tuple[str, ...] = ()
    how: str = ""
    words: tuple[int, ...] = ()


def proposed_matches(
    table: ResultsTable, *, paddock_names: Sequence[str], zone_names: Sequence[str]
) -> tuple[MatchProposal, ...]:
    """One proposal for each row of a sheet, from its sample id and what its columns tell.

    A name fits where all its words stand together in the sample's, or its initials do as
    one word, or else one of its longer words does; case and punctuation do not count. The
    name with the most words wins.
    What a column of the sheet tells already goes before what the sample's name says.
    """
    paddocks = table.paddock_names or ("",) * len(table.sample_ids)
    columns = zip(table.sample_ids, paddocks, table.zone_names, table.depths_cm, strict=True)
    return tuple(
        _proposal(row, told, paddock_names=paddock_names, zone_names=zone_names)
        for row, told in enumerate(columns)
    )


def _proposal(
    row: int,
    told: tuple[str, str, str, str],
    *,
    paddock_names: Sequence[str],
    zone_names: Sequence[str],
) -> MatchProposal:
    """The proposal for one row, from its sample id, paddock, zone and layer."""
    sample, paddock_told, zone_told, depth_told = told
    depth, rest = depth_in(sample)
    words = _words(rest)
    paddock = _best(_words(paddock_told) or words, paddock_names)
    # the words that name the paddock cannot name the zone as well: Creek paddock, creek flat
    left = [w for i, w in enumerate(words) if paddock_told or i not in paddock.words]
    if len(paddock.names) != 1:
        left = words
    zone = _best(_words(zone_told) or left, zone_names)
    why = [_said(paddock, "paddock"), _said(zone, "zone")]
    why.append(f"layer {depth_told or depth} cm" if depth_told or depth else "no layer is told")
    doubtful = [name for found in (paddock, zone) if len(found.names) > 1 for name in found.names]
    return MatchProposal(
        row,
        paddock.names[0] if len(paddock.names) == 1 else None,
        zone.names[0] if len(zone.names) == 1 else None,
        depth_told or depth,
        tuple(dict.fromkeys(doubtful)),
        "; ".join(why),
        _PART in (paddock.how, zone.how),
    )


def depth_in(name: str) -> tuple[str, str]:
    """The one layer that a name tells, and the name without it; empty where none or several.

    Examples
    --------
    >>> depth_in("Long Bend 10-20cm")
    ('10-20', 'Long Bend  ')
    """
    layers = []
    for found in _LAYER.finditer(name):
        upper, lower = (float(part.replace(",", ".")) for part in found.groups())
        if upper < lower <= _DEEPEST_CM:
            layers.append((f"{upper:g}-{lower:g}", found.span()))
    if len(layers) != 1:
        return "", name
    depth, (start, end) = layers[0]
    return depth, f"{name[:start]} {name[end:]}"


def layer_cm(text: str) -> str:
    """A layer that a person typed, as it is kept; empty where nothing was typed. [cm]

    Raises
    ------
    UnknownChoiceError
        If it is no layer.

    Examples
    --------
    >>> layer_cm(" 10 to 20 cm")
    '10-20'
    """
    if not text.strip():
        return ""
    depth, rest = depth_in(text)
    if not depth or rest.strip():
        raise UnknownChoiceError(
            f"{text.strip()!r} is not a layer",
            mend="Write its upper and lower end in cm, for instance 0-10",
        )
    return depth


def _words(text: str) -> list[str]:
    """The words of a name as they are compared."""
    return _WORD.findall(comparable(text))


def _best(words: Sequence[str], names: Sequence[str]) -> _Found:
    """The names that fit with the most words; else by their initials, else by a part."""
    for how, spelled in (("name", _words), ("initials", _initials)):
        found = _longest(words, names, spelled=spelled)
        if found:
            longest = max(len(spelled(name)) for name, _ in found)
            best = [(name, at) for name, at in found if len(spelled(name)) == longest]
            places = tuple(i for _, at in best for i in range(at, at + longest))
            return _Found(tuple(name for name, _ in best), how, places)
    return _by_part(words, names)


def _by_part(words: Sequence[str], names: Sequence[str]) -> _Found:
    """The names of which one longer word stands in the sample's name."""
    parts = {word for word in words if len(word) >= _SHORTEST_PART}
    found = tuple(name for name in dict.fromkeys(names) if parts.intersection(_words(name)))
    if not found:
        return _Found()
    shared = {word for name in found for word in _words(name)}
    return _Found(found, _PART, tuple(i for i, w in enumerate(words) if w in shared))


def _longest(
    words: Sequence[str], names: Sequence[str], *, spelled: Callable[[str], list[str]]
) -> list[tuple[str, int]]:
    """Each name whose words stand together in others, and where they begin."""
    found = []
    for name in dict.fromkeys(names):
        wanted = spelled(name)
        starts = range(len(words) - len(wanted) + 1) if wanted else ()
        at = next((i for i in starts if list(words[i : i + len(wanted)]) == wanted), None)
        if at is not None:
            found.append((name, at))
    return found


def _initials(name: str) -> list[str]:
    """The first letters of a name of several words, as one word."""
    words = _words(name)
    return ["".join(word[0] for word in words)] if len(words) >= _FEWEST_INITIALS else []


def _said(found: _Found, what: str) -> str:
    """Why a name is proposed, or none."""
    if not found.names:
        return f"no {what} is named"
    if len(found.names) > 1:
        return f"{what} may be {listed(found.names)}"
    own = "" if found.how == _PART else "its "
    return f"{what} {found.names[0]} by {own}{found.how}"
