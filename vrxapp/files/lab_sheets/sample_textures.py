"""Texture of each sample in words, from a column of its own or among the results."""

from collections.abc import Sequence

from vrxapp.errors import Note
from vrxapp.files.lab_sheets.header import is_wide
from vrxapp.files.lab_sheets.lines import Lines, column_cells, role_texts
from vrxapp.files.lab_sheets.names import Role, role_of
from vrxapp.ground.zones import comparable
from vrxapp.soil.place_notes import listed
from vrxapp.soil.textures import texture_called


def sample_textures(lines: Lines, first: Sequence[int]) -> tuple[tuple[str, ...], tuple[Note, ...]]:
    """The texture of each row as the laboratory writes it, and notes on words not known.

    Parameters
    ----------
    lines : Lines
        The lines of the sheet.
    first : sequence of int
        The line of each row of the table.

    Returns
    -------
    tuple of str
        Nothing where no texture is told at all; empty for a row that tells none.
    tuple of Note
        A note where a word is no grade of texture that is known.
    """
    told: dict[tuple[str, ...], str] = {}
    for line, text in enumerate(_texts(lines)):
        if text:
            told.setdefault(_sample(lines, line), text)
    if not told:
        return (), ()
    textures = tuple(told.get(_sample(lines, line), "") for line in first)
    return textures, _unknown(lines, textures, first=first)


def is_texture(name: str) -> bool:
    """Whether a long sheet's name for a result speaks of texture."""
    found = role_of(name)
    return found is not None and found[0] is Role.TEXTURE


def _texts(lines: Lines) -> tuple[str, ...]:
    """What each line says of texture."""
    if is_wide(lines.header):
        return role_texts(lines, Role.TEXTURE)
    values = column_cells(lines, lines.header.roles.index(Role.VALUE)).texts
    own = role_texts(lines, Role.TEXTURE)
    names = role_texts(lines, Role.ANALYTE)
    return tuple(
        value if is_texture(name) else beside
        for name, value, beside in zip(names, values, own, strict=True)
    )


def _sample(lines: Lines, line: int) -> tuple[str, ...]:
    """What tells one sample and layer from another; its replicates share a texture."""
    told = (lines.samples, lines.paddocks, lines.growers)
    return lines.depths_cm[line], *(comparable(texts[line]) for texts in told)


def _unknown(lines: Lines, textures: Sequence[str], *, first: Sequence[int]) -> tuple[Note, ...]:
    """A note on words that stand for no grade of texture."""
    words = [text for text in dict.fromkeys(textures) if text and texture_called(text) is None]
    if not words:
        return ()
    row = first[textures.index(words[0])]
    return (
        Note(
            f"{listed(words)} is no grade of texture that is known here; such samples count as "
            "without one",
            mend="Write a grade such as sandy loam, clay loam or medium clay",
            file=lines.sheet.file,
            row=int(lines.rows[row]),
            column="texture",
            value=words[0],
        ),
    )
