"""Cells of a lab sheet as numbers, in the program's units; what cannot be is refused."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, Note, SoilInputError
from vrxapp.files.lab_sheets.decimals import Cells, number_cells, refused
from vrxapp.files.lab_sheets.mass_basis import SampledLines, estimate_note, result_factors
from vrxapp.files.lab_sheets.names import Heading
from vrxapp.files.lab_sheets.units import UnitCell, assumed_unit_note, is_unit_certain, told_unit
from vrxapp.soil.analytes import Analyte
from vrxapp.soil.detection_limits import is_untold_limit, parsed_result
from vrxapp.soil.results_table import Limit
from vrxapp.units import known_unit


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """Results of one analyte in its own unit, with the line of the sheet each stands in.

    `basis` says what they were worked out from where they are an estimate.
    """

    analyte: Analyte
    column: str
    lines: NDArray[np.intp]
    values: NDArray[np.float64]
    limits: NDArray[np.str_]
    basis: str = ""


def parsed_cells(
    cells: Cells, *, decimal_comma: bool
) -> tuple[NDArray[np.float64], NDArray[np.str_]]:
    """Results and limits of a column; NaN where there is no result.

    Raises
    ------
    InputFileError
        If a cell is no result; the message names it.
    """
    limits = np.full(len(cells.texts), "", dtype="<U1")
    plain = _all_plain(cells.texts)
    if plain is not None:
        return plain, limits
    values = np.full(len(cells.texts), math.nan)
    known: dict[str, tuple[float, Limit]] = {}
    for index, text in enumerate(cells.texts):
        if text not in known:
            try:
                known[text] = parsed_result(text, decimal_comma=decimal_comma)
            except SoilInputError as error:
                note = error.note
                raise refused(cells, index, message=note.message, mend=note.mend) from None
        values[index], limits[index] = known[text]
    return values, limits


def _all_plain(texts: tuple[str, ...]) -> NDArray[np.float64] | None:
    """A column of nothing but plain numbers, read in one go; None where it is not one."""
    try:
        values = np.fromiter(map(float, texts), dtype=float, count=len(texts))
    except ValueError:
        return None
    # Python's own numbers may be written 1_000, inf or nan; a laboratory's may not
    if not np.all(np.isfinite(values)) or "_" in "".join(texts):
        return None
    return values


def plain_numbers(
    cells: Cells, delimiter: str, *, decimal_comma: bool | None = None
) -> NDArray[np.float64]:
    """A column of numbers without limits; NaN where a cell is empty.

    Raises
    ------
    InputFileError
        If a cell is no plain number; the message names it.
    """
    cells, comma = number_cells(cells, delimiter, decimal_comma=decimal_comma)
    values, limits = parsed_cells(cells, decimal_comma=comma)
    if np.any(limits != Limit.NONE):
        index = int(np.flatnonzero(limits != Limit.NONE)[0])
        raise refused(
            cells,
            index,
            message=f"{cells.texts[index]!r} is not a number",
            mend="Write a plain number",
        )
    return values


def measured(
    cells: Cells,
    known: Heading,
    *,
    beside: UnitCell,
    decimal_comma: bool,
    sampled: SampledLines,
) -> tuple[Measured, tuple[Note, ...]]:
    """Results of one analyte in the program's unit, and a note where that was not told.

    Raises
    ------
    InputFileError
        If a cell is no result, a value is not possible, the unit is wrong, or it is one by
        area or volume and the mass is not known.
    """
    analyte = known.analyte
    assert analyte is not None
    unit = told_unit(known, beside)
    values, limits = parsed_cells(cells, decimal_comma=decimal_comma)
    factor, basis = result_factors(
        known_unit(unit or analyte.default_unit) or "",
        analyte,
        sampled,
        told=np.isfinite(values),
        beside=beside,
    )
    _refuse_impossible(cells, values, analyte=analyte, factor=factor)
    notes = () if unit else assumed_unit_note(analyte, beside)
    notes = (*notes, *estimate_note(analyte, basis, beside=beside))
    found = Measured(analyte, cells.column, sampled.lines, values * factor, limits, basis)
    return found, notes


def _refuse_impossible(
    cells: Cells, values: NDArray[np.float64], *, analyte: Analyte, factor: NDArray[np.float64]
) -> None:
    """Refuse the first value that is negative or outside what the analyte can be."""
    converted = values * factor
    wrong = (converted < analyte.lowest) | (converted > analyte.highest)
    if not np.any(wrong):
        return
    index = int(np.flatnonzero(wrong)[0])
    if values[index] < 0:
        raise refused(
            cells,
            index,
            message=f"{cells.texts[index]} is negative, and no result can be",
            mend="Write < and the detection limit, or leave the cell empty",
        )
    raise _impossible(
        cells, index, analyte=analyte, factor=float(factor[index]), value=float(values[index])
    )


def _impossible(
    cells: Cells, index: int, *, analyte: Analyte, factor: float, value: float
) -> InputFileError:
    """The error for a value outside the analyte's possible range, in the sheet's unit."""
    slipped = analyte.lowest <= value / 10 * factor <= analyte.highest
    unit = "" if is_unit_certain(analyte) else f" {analyte.unit}"
    given = "" if factor == 1.0 else f" ({value * factor:g}{unit})"
    return refused(
        cells,
        index,
        message=f"{cells.texts[index]}{given} is not possible for {analyte.name} "
        f"({analyte.lowest:g} to {analyte.highest:g}{unit})",
        mend=f"Was it {value / 10:g}?" if slipped else "Check the value and its unit",
    )


def untold_limit_note(cells: Cells) -> tuple[Note, ...]:
    """A note on cells such as ND, which tell neither a result nor a limit."""
    words = {text for text in set(cells.texts) if is_untold_limit(text)}
    if not words:
        return ()
    untold = [index for index, text in enumerate(cells.texts) if text in words]
    return (
        Note(
            f"{cells.texts[untold[0]]!r} tells no detection limit and counts as no result "
            f"({len(untold)} such in the column)",
            mend="Write < and the laboratory's detection limit, if it is known",
            file=cells.file,
            row=int(cells.rows[untold[0]]),
            column=cells.column,
            value=cells.texts[untold[0]],
        ),
    )
