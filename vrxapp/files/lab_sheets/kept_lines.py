"""The lines of a lab sheet that hold samples, without remarks, titles and repeated headers."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from operator import itemgetter

from vrxapp.errors import InputFileError, Note
from vrxapp.files.lab_sheets.header import Header
from vrxapp.files.lab_sheets.names import Role
from vrxapp.files.lab_sheets.sheet_text import Sheet
from vrxapp.soil.place_notes import listed

_FEWEST_WORDS = 3
"""Words that make a remark of a cell that stands alone."""
_Line = tuple[int, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class KeptLines:
    """Lines that hold results or name a sample, and those that were left out.

    `remarks` and `titles` are told with their row and text, `repeats` with their row.
    """

    cells: tuple[tuple[str, ...], ...]
    rows: tuple[int, ...]
    remarks: tuple[tuple[int, str], ...]
    titles: tuple[tuple[int, str], ...]
    repeats: tuple[int, ...]


def kept_lines(sheet: Sheet, header: Header, *, first: int) -> KeptLines:
    """The lines from a row on that are neither blank nor remarks, titles or the header again.

    A remark has no result, and no sample id or a blank row between it and the results. A
    title stands alone in its row, where the ids are, and results follow; so does a remark of
    three words or more, wherever it is.

    Raises
    ------
    InputFileError
        If a line with results is longer than the header.
    """
    width = len(header.names)
    results_of = _results_of(header)
    sample = header.roles.index(Role.SAMPLE)
    top = header.row - 2 if sheet.names else header.row - 1
    head = {_fitted(line, width) for line in sheet.rows[max(top, 0) : first] if any(line)}
    head_ids = {line[sample] for line in head}
    kept: list[_Line] = []
    remarks: list[tuple[int, str]] = []
    repeats: list[int] = []
    after_blank = False
    for row, line in enumerate(sheet.rows[first:], start=first + 1):
        full = line if len(line) == width else _fitted(line, width)
        if full[sample] in head_ids and full in head:
            repeats.append(row)
        elif any(results_of(full)) or (full[sample] and not after_blank):
            if len(line) > width and any(line[width:]):
                raise _too_long(sheet, line, width=width, row=row)
            after_blank = False
            kept.append((row, full))
        elif any(line):
            remarks.append((row, next(filter(None, line))))
        else:
            after_blank = True
    # a form that is typed has its header outside its rows, and holds no titles
    titles = _titles(kept, results_of) if header.row else {}
    lines = [line for line in kept if line[0] not in titles] if titles else kept
    return KeptLines(
        tuple(cells for _, cells in lines),
        tuple(row for row, _ in lines),
        tuple(remarks),
        tuple(sorted(titles.items())),
        tuple(repeats),
    )


def _titles(
    kept: Sequence[_Line], results_of: Callable[[tuple[str, ...]], tuple[str, ...]]
) -> dict[int, str]:
    """Row and text of the lines that hold one cell alone: above results, or some words."""
    titles: dict[int, str] = {}
    is_above_results = False
    for row, cells in reversed(kept):
        if any(results_of(cells)):
            is_above_results = True
        elif sum(map(bool, cells)) == 1 and (is_above_results or _is_remark(cells)):
            titles[row] = next(filter(None, cells))
        else:
            is_above_results = False
    return titles


def _is_remark(cells: tuple[str, ...]) -> bool:
    """Whether the one cell of a line is a remark such as 'End of report', and no name."""
    text = next(filter(None, cells))
    return len(text.split()) >= _FEWEST_WORDS and not any(map(str.isdigit, text))


def _fitted(line: tuple[str, ...], width: int) -> tuple[str, ...]:
    """A line cut or filled to a width."""
    return (*line, *[""] * (width - len(line)))[:width]


def _results_of(header: Header) -> Callable[[tuple[str, ...]], tuple[str, ...]]:
    """Takes the results out of a line: in a long sheet its value and what was measured."""
    wide = [index for index, known in enumerate(header.headings) if known is not None]
    first, *others = wide or [header.roles.index(Role.VALUE), header.roles.index(Role.ANALYTE)]
    # an itemgetter of one place would give a text instead of a tuple
    return itemgetter(first, first, *others)


def _too_long(sheet: Sheet, line: tuple[str, ...], *, width: int, row: int) -> InputFileError:
    """The error for a line with more cells than the header."""
    return InputFileError(
        f"the row has {len(line)} cells, but the header only {width}",
        mend="Name the extra column in the header, or put text that holds "
        f"{sheet.delimiter!r} in quotation marks",
        file=sheet.file,
        row=row,
        column=str(width + 1),
        value=next(filter(None, line[width:])),
    )


def left_out_notes(found: KeptLines, file: str) -> tuple[Note, ...]:
    """A note on all the remarks, one on all the titles, and one on all the repeated headers."""
    notes: list[Note] = []
    if found.remarks:
        row, text = found.remarks[0]
        notes.append(
            Note(
                "the row holds no result and names no sample beside the others, so it is left out"
                + _alike(row for row, _ in found.remarks[1:]),
                mend="Nothing needs doing; if it is a sample, write its id and take out the blank "
                "row",
                file=file,
                row=row,
                value=text,
            )
        )
    if found.titles:
        row, text = found.titles[0]
        notes.append(
            Note(
                f"{listed(repr(text) for _, text in found.titles)} alone in a row is taken for "
                "a title or a remark and left out" + _alike(row for row, _ in found.titles[1:]),
                mend="Nothing needs doing; if it is a sample, write a dash for its results",
                file=file,
                row=row,
                value=text,
            )
        )
    if found.repeats:
        notes.append(
            Note(
                "the header stands here again and is skipped" + _alike(found.repeats[1:]),
                mend="Nothing needs doing",
                file=file,
                row=found.repeats[0],
            )
        )
    return tuple(notes)


def _alike(rows: Iterable[int]) -> str:
    """The further rows that a note is about."""
    others = listed(map(str, rows))
    return f"; rows alike: {others}" if others else ""
