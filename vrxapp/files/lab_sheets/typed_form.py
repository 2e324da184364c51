"""Results typed in by hand, from a sheet held only on paper."""

from collections.abc import Sequence
from dataclasses import dataclass

from vrxapp.errors import InputFileError, MissingInputError
from vrxapp.files.lab_sheets.header import Header
from vrxapp.files.lab_sheets.lines import lines_under
from vrxapp.files.lab_sheets.names import Heading, Role
from vrxapp.files.lab_sheets.samples import results_table
from vrxapp.files.lab_sheets.sheet_text import Sheet
from vrxapp.files.lab_sheets.wide_form import wide_results
from vrxapp.soil.analytes import Analyte, analyte
from vrxapp.soil.results_table import ResultsTable

FORM = "typed sheet"
PLACE_NAMES = ("Sample", "Zone", "Depth (cm)")
_PLACE_ROLES = (Role.SAMPLE, Role.ZONE, Role.DEPTH)


@dataclass(frozen=True, slots=True)
class TypedRow:
    """One row of the form.

    Parameters
    ----------
    sample, zone : str
        Sample id, and the zone it is from; the zone may be empty.
    depth_cm : str
        Layer, for instance ``"0-10"``; may be empty. [cm]
    results : tuple of (str, str)
        Key of each analyte and what was typed, in the analyte's own unit.
    """

    sample: str
    zone: str
    depth_cm: str
    results: tuple[tuple[str, str], ...]


def typed_row(text: str) -> TypedRow:
    """A row out of one line of text, as the terminal takes it.

    Parameters
    ----------
    text : str
        ``SAMPLE@LAYER: ANALYTE VALUE, ANALYTE VALUE``; the layer may be left out, and an
        analyte is told by its key.

    Raises
    ------
    MissingInputError
        If the line cannot be read so.

    Examples
    --------
    >>> typed_row("A1@0-10: colwell_p 23, pbi 80").results
    (('colwell_p', '23'), ('pbi', '80'))
    """
    place, colon, told = text.partition(":")
    sample, _, layer = place.partition("@")
    pairs = [part.split() for part in told.split(",")]
    if not (sample.strip() and colon and all(len(pair) == 2 for pair in pairs)):
        raise MissingInputError(
            f"cannot read the typed row {text!r}",
            mend="Write it as 'SAMPLE@LAYER: ANALYTE VALUE, ANALYTE VALUE', for instance "
            "'A1@0-10: colwell_p 23, pbi 80'",
            file=FORM,
        )
    results = tuple((key.casefold(), value) for key, value in pairs)
    return TypedRow(sample.strip(), "", layer.strip(), results)


def typed_results(rows: Sequence[TypedRow]) -> ResultsTable:
    """Check typed results as those of a file are checked.

    Parameters
    ----------
    rows : sequence of TypedRow
        Rows of the form, counted from 1; a row with nothing in it is skipped.

    Returns
    -------
    ResultsTable
        The results, in the order of the form.

    Raises
    ------
    MissingInputError
        If nothing was typed.
    InputFileError
        If an id is missing or a cell cannot be right; the message names row and column.
    UnknownChoiceError
        If no analyte has such a key.
    """
    found = tuple(analyte(key) for key in dict.fromkeys(k for row in rows for k, _ in row.results))
    lines = tuple(_cells(number, row, found) for number, row in enumerate(rows, start=1))
    if not found or not any(any(line[len(PLACE_NAMES) :]) for line in lines):
        raise MissingInputError(
            "nothing was typed", mend="Type a sample id and at least one result", file=FORM
        )
    blank = (None,) * len(PLACE_NAMES)
    names = (*PLACE_NAMES, *(f"{one.name} ({one.unit})" for one in found))
    headings = tuple(Heading(one, one.unit, "") for one in found)
    # the form's first row is row 1, so the header is row 0: it is not among the rows
    header = Header(0, names, (*_PLACE_ROLES, *[None] * len(found)), (*blank, *headings))
    _refuse_nameless(lines, header)
    typed = lines_under(Sheet(FORM, "\t", 0, lines, ()), header, skipped=0)
    results, notes = wide_results(typed, (), units_row=0)
    return results_table(typed, results, notes=notes)


def _refuse_nameless(lines: Sequence[tuple[str, ...]], header: Header) -> None:
    """Refuse a row without a sample: a form has no remarks to leave out."""
    for number, line in enumerate(lines, start=1):
        if any(line) and not line[0]:
            raise InputFileError(
                "the sample id is missing",
                mend="Type the id of the sample, or empty the whole row",
                file=FORM,
                row=number,
                column=header.names[0],
            )


def _cells(number: int, row: TypedRow, found: Sequence[Analyte]) -> tuple[str, ...]:
    """One row of the form as cells, one for each analyte of the whole form."""
    typed = dict(row.results)
    if len(typed) != len(row.results):
        raise InputFileError(
            "one analyte is typed twice in the row",
            mend="Take one of them out",
            file=FORM,
            row=number,
            column=next(key for key in typed if [k for k, _ in row.results].count(key) > 1),
        )
    places = (row.sample, row.zone, row.depth_cm)
    return tuple(cell.strip() for cell in (*places, *(typed.get(one.key, "") for one in found)))
