"""A small writer for dBASE III tables: plain numbers and ASCII text, and nothing missing.

Its numbers stand exactly as the field's decimals hold them; one that would be rounded is
refused, so that a file never holds another rate than the plan.
"""

import math
import re
import struct
import unicodedata
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from numbers import Real
from pathlib import Path

from vrxapp.errors import WriteError
from vrxapp.files.write_aside import write_error

_NAME = re.compile(r"[A-Z][A-Z0-9_]{0,9}")
_MOST_FIELDS = 255
_WIDEST = {"N": 19, "C": 254}
_ROUNDING = 1e-9
"""Difference that is an artefact of binary numbers, not of a number with more decimals."""


class FieldKind(StrEnum):
    """What a field holds, by the letter that stands for it in the file."""

    NUMBER = "N"
    TEXT = "C"


@dataclass(frozen=True, slots=True)
class DbfField:
    """One column of a table.

    Parameters
    ----------
    name : str
        One to ten of ``A-Z 0-9 _``, a letter first.
    kind : FieldKind
        Number or text.
    width : int
        Characters that a value may take, the decimal point and a minus sign counted.
    decimals : int, default 0
        Decimals of a number.
    """

    name: str
    kind: FieldKind
    width: int
    decimals: int = 0

    def __post_init__(self) -> None:
        """Refuse a field that no dBASE III reader could take."""
        if not _NAME.fullmatch(self.name):
            raise WriteError(
                f"{self.name!r} cannot be a field name",
                mend="Use one to ten of A-Z, 0-9 and _, a letter first",
                column=self.name,
            )
        roomy = self.decimals == 0 or (
            self.kind is FieldKind.NUMBER and 0 < self.decimals <= self.width - 2
        )
        if not (1 <= self.width <= _WIDEST[self.kind] and roomy):
            raise WriteError(
                f"a field of kind {self.kind} cannot be {self.width} wide with "
                f"{self.decimals} decimals",
                mend=f"Use a width from 1 to {_WIDEST[self.kind]}, with room for the decimals",
                column=self.name,
            )


def write_dbf(
    path: Path,
    fields: Sequence[DbfField],
    columns: Sequence[Sequence[float] | Sequence[str]],
    *,
    written_on: date,
) -> None:
    """Write a table.

    Parameters
    ----------
    path : Path
        File to write; an older one is replaced.
    fields : sequence of DbfField
        The columns, at most 255, no name twice.
    columns : sequence of sequence of float or str
        Values of each field, all of the same length.
    written_on : date
        Date that the header states, so that the same table gives the same bytes.

    Raises
    ------
    WriteError
        If a value does not fit its field exactly, naming field and row, or the file cannot
        be written.
    """
    content = dbf_content(fields, columns, written_on=written_on, file=path.name)
    try:
        path.write_bytes(content)
    except OSError as error:
        raise write_error(error, path) from error


def dbf_content(
    fields: Sequence[DbfField],
    columns: Sequence[Sequence[float] | Sequence[str]],
    *,
    written_on: date,
    file: str = "",
) -> bytes:
    """A table as the bytes of its file, see `write_dbf`.

    Examples
    --------
    >>> zone = DbfField("ZONE", FieldKind.TEXT, 16)
    >>> rate = DbfField("RATE", FieldKind.NUMBER, 10, 2)
    >>> len(dbf_content([zone, rate], [["North"], [120.0]], written_on=date(2025, 4, 1)))
    125
    """
    _refuse_misfit(fields, columns, file)
    cells = [_cells(field, column, file) for field, column in zip(fields, columns, strict=True)]
    records = [b" " + b"".join(row) for row in zip(*cells, strict=True)]
    return _header(fields, len(records), written_on) + b"".join(records) + b"\x1a"


def ascii_labels(labels: Sequence[str], width: int) -> tuple[str, ...]:
    """Labels in printable ASCII of at most `width` characters, different where they differ.

    A label that fits stays as it is. Any other loses its accents, shows ``?`` for a letter
    that ASCII lacks, is cut, and ends in ``~`` and a number, so that everybody sees that it
    was changed and no two labels become one.

    Parameters
    ----------
    labels : sequence of str
        Labels; the same label may stand for many parts.
    width : int
        Longest label to give out, 6 or more.

    Examples
    --------
    >>> ascii_labels(["North", "Böschung", "The long slope by the creek"], 16)
    ('North', 'Boschung~1', 'The long slope~1')
    """
    distinct = tuple(dict.fromkeys(labels))
    short = {label: label for label in distinct if _fits(label, width)}
    taken = {label.casefold() for label in short}
    for label in distinct:
        if label not in short:
            short[label] = _marked(label, width, taken)
            taken.add(short[label].casefold())
    return tuple(short[label] for label in labels)


def _fits(label: str, width: int) -> bool:
    """Whether a label reads back as it is; blanks at the ends would be lost."""
    return 0 < len(label) <= width and _is_plain(label) and label == label.strip()


def _is_plain(text: str) -> bool:
    return text.isascii() and text.isprintable()


def _marked(label: str, width: int, taken: set[str]) -> str:
    """A label turned into ASCII and cut, with the first number that nobody has yet."""
    spread = unicodedata.normalize("NFKD", label)
    letters = [c if _is_plain(c) else "?" for c in spread if not unicodedata.combining(c)]
    plain = "".join(letters).strip()
    number = 1
    while True:
        mark = f"~{number}"
        candidate = f"{plain[: width - len(mark)].rstrip()}{mark}"
        if candidate.casefold() not in taken:
            return candidate
        number += 1


def _refuse_misfit(
    fields: Sequence[DbfField], columns: Sequence[Sequence[float] | Sequence[str]], file: str
) -> None:
    """Refuse columns that do not match the fields, and fields that nobody could tell apart."""
    twice = [name for name, count in Counter(f.name for f in fields).items() if count > 1]
    if twice:
        raise WriteError("a field name stands twice", file=file, column=twice[0])
    lengths = {len(column) for column in columns}
    if not 1 <= len(fields) <= _MOST_FIELDS or len(fields) != len(columns) or len(lengths) > 1:
        raise WriteError(
            f"{len(fields)} fields and {len(columns)} columns of {sorted(lengths)} rows are no "
            "table",
            mend=f"Give one column a field, all of one length, {_MOST_FIELDS} at most",
            file=file,
        )


def _header(fields: Sequence[DbfField], rows: int, written_on: date) -> bytes:
    """File header and field descriptors."""
    descriptors = b"".join(
        struct.pack("<11sc4xBB14x", f.name.encode(), f.kind.encode(), f.width, f.decimals)
        for f in fields
    )
    head = struct.pack(
        "<BBBBIHH20x",
        3,
        written_on.year - 1900,
        written_on.month,
        written_on.day,
        rows,
        32 + len(descriptors) + 1,
        1 + sum(f.width for f in fields),
    )
    return head + descriptors + b"\r"


def _cells(field: DbfField, column: Sequence[float] | Sequence[str], file: str) -> list[bytes]:
    """The values of a field, each as wide as the field."""
    is_number = field.kind is FieldKind.NUMBER
    cells = []
    for row, value in enumerate(column, start=1):
        text, problem = _number_text(field, value) if is_number else _plain_text(value)
        if not problem and len(text) > field.width:
            problem = f"it takes {len(text)} characters, and the field holds {field.width}"
        if problem:
            raise WriteError(
                f"the value {value} cannot be stored: {problem}",
                mend="Round or shorten it before writing",
                file=file,
                row=row,
                column=field.name,
                value=str(value),
            )
        cell = text.rjust(field.width) if is_number else text.ljust(field.width)
        cells.append(cell.encode("ascii"))
    return cells


def _number_text(field: DbfField, value: object) -> tuple[str, str]:
    """A number as text, and what is wrong with it."""
    number = float(value) if isinstance(value, Real) else math.nan
    if not math.isfinite(number):
        return "", "it is not a finite number"
    text = f"{number:.{field.decimals}f}"
    if abs(float(text) - number) > _ROUNDING:
        return text, f"the field holds {field.decimals} decimals"
    return (text.removeprefix("-") if float(text) == 0 else text), ""


def _plain_text(value: object) -> tuple[str, str]:
    """A text, and what is wrong with it."""
    if not isinstance(value, str):
        return "", "it is not a text"
    return value, "" if _is_plain(value) else "it holds characters other than plain ASCII"
