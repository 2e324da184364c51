"""Which mark parts the decimals of a column, and which its thousands."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, Note

_BEFORE = r"[<>]?\s*[+-]?"
_WITH_COMMA = re.compile(rf"{_BEFORE}([0-9]+),([0-9]+)")
_WITH_POINT = re.compile(rf"{_BEFORE}([0-9]*)\.([0-9]+)")
_THOUSANDS = re.compile(rf"{_BEFORE}[1-9][0-9]{{0,2}}(?:,[0-9]{{3}})+(?:\.[0-9]*)?")
_THOUSANDS_AND_POINT = re.compile(rf"{_BEFORE}[1-9][0-9]{{0,2}}(?:,[0-9]{{3}})+\.[0-9]+")


@dataclass(frozen=True, slots=True)
class Cells:
    """Cells of one column of a sheet, with the row of each in the file."""

    file: str
    column: str
    rows: NDArray[np.int64]
    texts: tuple[str, ...]


def refused(cells: Cells, index: int, *, message: str, mend: str) -> InputFileError:
    """The error for one cell, saying where it stands."""
    return InputFileError(
        message,
        mend=mend,
        file=cells.file,
        row=int(cells.rows[index]),
        column=cells.column,
        value=cells.texts[index],
    )


def number_cells(
    cells: Cells, delimiter: str, *, decimal_comma: bool | None = None
) -> tuple[Cells, bool]:
    """A column as it is to be read, and whether its commas are decimal.

    Commas that part thousands are taken out: where somebody said that they do, or a
    decimal point in the column leaves no other reading.

    Raises
    ------
    InputFileError
        If nobody said which mark is decimal and the column does not tell, or tells otherwise.
    """
    if "," not in "".join(cells.texts):
        return cells, False
    if decimal_comma is None:
        decimal_comma = has_decimal_commas(cells, delimiter)
    if decimal_comma:
        _refuse_thousands_commas(cells)
        return cells, True
    plain = tuple(
        text.replace(",", "") if _THOUSANDS.fullmatch(text) else text for text in cells.texts
    )
    return replace(cells, texts=plain), False


def has_decimal_commas(cells: Cells, delimiter: str) -> bool:
    """Whether a column writes 12,5 for twelve and a half, decided for the whole column.

    Raises
    ------
    InputFileError
        If the comma can also be read as a thousands separator, the column mixes points
        and commas, or the delimiter is a comma itself.
    """
    commas = [(i, m) for i, text in enumerate(cells.texts) if (m := _WITH_COMMA.fullmatch(text))]
    if not commas:
        return False
    first = commas[0][0]
    may_be_thousands = all(_THOUSANDS.fullmatch(cells.texts[index]) for index, _ in commas)
    if may_be_thousands and any(map(_THOUSANDS_AND_POINT.fullmatch, cells.texts)):
        return False
    if delimiter == ",":
        raise refused(
            cells,
            first,
            message=f"{cells.texts[first]!r} holds a comma, which also parts the columns",
            mend="Write decimal points, or save the sheet with semicolons between the columns",
        )
    points = [
        i
        for i, text in enumerate(cells.texts)
        if _WITH_POINT.fullmatch(text) or _THOUSANDS_AND_POINT.fullmatch(text)
    ]
    if points:
        raise refused(
            cells,
            points[0],
            message=f"the column mixes decimal points and commas: {cells.texts[points[0]]!r} here, "
            f"{cells.texts[first]!r} in row {cells.rows[first]}",
            mend="Write all numbers of the column in one way",
        )
    # 1,234 may be 1.234 or 1234; 0,123 and 12,5 can only be decimals
    if all(len(match[2]) == 3 and not match[1].startswith("0") for _, match in commas):
        raise refused(
            cells,
            first,
            message=f"{cells.texts[first]!r} may be a decimal comma or a thousands separator",
            mend="Write decimal points and no thousands separators, or say in the sheet's layout "
            "which of the two it is",
        )
    return True


def _refuse_thousands_commas(cells: Cells) -> None:
    """Refuse 1,234.5 where commas are decimal."""
    for index, text in enumerate(cells.texts):
        if _THOUSANDS_AND_POINT.fullmatch(text):
            raise refused(
                cells,
                index,
                message=f"{text!r} parts its thousands by a comma, though the commas of the sheet "
                "are decimal",
                mend="Write all numbers of the sheet in one way, without thousands separators",
            )


def doubtful_point_notes(columns: Sequence[Cells], *, is_workbook: bool) -> tuple[Note, ...]:
    """Ask about points that may part thousands, in a sheet whose commas are decimal.

    Parameters
    ----------
    columns : sequence of Cells
        Columns without decimal commas, as they stand in the sheet.
    is_workbook : bool
        Whether they are from a workbook: its numbers come with a point, however it shows
        them, so that the doubt is only told.

    Returns
    -------
    tuple of Note
        A note for each column of a workbook whose points all have three digits after them,
        as in 1.234.

    Raises
    ------
    InputFileError
        If a text has such a column, or a column parts its thousands by commas.
    """
    notes: list[Note] = []
    for cells in columns:
        _refuse_thousands_commas(cells)
        index = _doubtful_point(cells)
        if index is None:
            continue
        text = cells.texts[index]
        error = refused(
            cells,
            index,
            message=f"{text!r} may be a decimal point or a thousands separator, for the commas "
            "of the sheet are decimal",
            mend=f"Write {text.replace('.', ',')} or {text.replace('.', '')}, whichever is meant",
        )
        if not is_workbook:
            raise error
        said = f"{error.note.message}; it is read as a decimal point"
        notes.append(replace(error.note, message=said))
    return tuple(notes)


def _doubtful_point(cells: Cells) -> int | None:
    """The first point of a column where every one may part thousands; None where one cannot."""
    points = [(i, m) for i, text in enumerate(cells.texts) if (m := _WITH_POINT.fullmatch(text))]
    # 0.123, .5 and 12.5 can only be decimals, and then so are the others of the column
    if points and all(re.fullmatch(r"[1-9]\d{0,2}\.\d{3}", f"{m[1]}.{m[2]}") for _, m in points):
        return points[0][0]
    return None
