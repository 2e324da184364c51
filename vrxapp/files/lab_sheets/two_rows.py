"""Names of columns over two rows, such as Exchangeable over Ca, Mg and K."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import zip_longest

from vrxapp.errors import Note
from vrxapp.files.lab_sheets.names import (
    Role,
    heading,
    known_unit,
    role_of,
    without_bracket,
)
from vrxapp.files.lab_sheets.sheet_text import Sheet
from vrxapp.soil.place_notes import listed

_KINDS = (" cations", " Cations", " bases", " Bases")
_NAMES_TOO = ("pH", "index")  # these units are what a column may be called


def with_names_of_two_rows(sheet: Sheet) -> Sheet:
    """The sheet with its names put together, where two rows say more than one.

    Only a name that means nothing alone, and a known analyte with the cell above it, is
    put together. A cell counts for the columns to its right too, up to the next that
    is named above or known by itself.

    Parameters
    ----------
    sheet : Sheet
        The sheet, with the row that looks most like a header.

    Returns
    -------
    Sheet
        The same sheet, its header in the lower row, and a note; unchanged where the row
        above or below the header adds nothing, or two columns would be the same.
    """
    for upper in (sheet.header_index - 1, sheet.header_index):
        if not 0 <= upper < len(sheet.rows) - 1:
            continue
        names, joined = _names(sheet.rows[upper], sheet.rows[upper + 1])
        if joined:
            note = Note(
                f"the names in rows {upper + 1} and {upper + 2} are read together: "
                f"{listed(joined)}",
                mend="Check these names; if one is wrong, say in the layout what it holds",
                file=sheet.file,
                row=upper + 2,
            )
            return replace(sheet, header_index=upper + 1, names=names, notes=(*sheet.notes, note))
    return sheet


def _names(upper: Sequence[str], lower: Sequence[str]) -> tuple[tuple[str, ...], list[str]]:
    """Each column's name, and those that were put together; none where it is not clear."""
    pairs = list(zip_longest(upper, lower, fillvalue=""))
    if not _are_names(pairs):
        return (), []
    names: list[str] = []
    joined: list[str] = []
    over = ""
    for above, below in pairs:
        over = above or over
        both = "" if _is_known(above) or _is_known(below) else _together(over, below)
        names.append(both or _alone(above, below))
        if both:
            joined.append(both)
        elif _is_known(names[-1]) or not below:
            over = ""
    found = [known for known in (heading(name).analyte for name in names) if known]
    return (tuple(names), joined) if len(set(found)) == len(found) else ((), [])


def _are_names(pairs: Sequence[tuple[str, str]]) -> bool:
    """Whether both rows can be names: no numbers, no units, and one id for the sample."""
    cells = [cell for pair in pairs for cell in pair if cell]
    roles = {found[0] for found in map(role_of, cells) if found}
    is_long = roles.issuperset((Role.ANALYTE, Role.VALUE))
    if is_long or not all(any(map(str.isalpha, cell)) for cell in cells):
        return False
    if any(known_unit(below) not in (None, *_NAMES_TOO) for _, below in pairs):
        return False
    return all(
        above == below or not (above and below)
        for above, below in pairs
        if Role.SAMPLE in (_role(above), _role(below))
    )


def _role(text: str) -> Role | None:
    """The role that a name stands for."""
    found = role_of(text)
    return found[0] if found else None


def _is_known(text: str) -> bool:
    """Whether a name means something by itself."""
    return role_of(text) is not None or heading(text).analyte is not None


def _alone(above: str, below: str) -> str:
    """The name of a column whose two cells make no known one together."""
    known = next(filter(_is_known, (above, below)), "")
    return known or f"{above} {below}".strip()


def _together(above: str, below: str) -> str:
    """The name that two cells make together; empty where it is none that is known."""
    if not above or not below:
        return ""
    return next((name for name in _ways(above, below) if heading(name).analyte), "")


def _ways(above: str, below: str) -> Iterator[str]:
    """The ways to say two cells in one name."""
    yield f"{above} {below}"
    yield f"{below} ({above})"
    yield f"{above} ({below})"
    # Exchangeable cations over Ca; a share of the cations has other words there, and stays out
    name, unit = without_bracket(above)
    for word in _KINDS:
        name = name.removesuffix(word)
    yield f"{name} {below} ({unit})" if unit else f"{name} {below}"
