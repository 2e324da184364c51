"""Classes told for one place, as screen and terminal show them: word, range, source, caution."""

import math
from dataclasses import dataclass

import numpy as np

from vrxapp.agronomy.trail import printed_value
from vrxapp.prescription.classes_by_zone import ClassTable, TestClasses
from vrxapp.soil.analytes import Analyte
from vrxapp.soil.interpretation import class_name
from vrxapp.soil.interpretation_scales import Scale, Steps, scales
from vrxapp.sources import Grade

ESTIMATE_MARK = "~"
"""Stands before a value that rests on more than was measured."""

UNITLESS = ("index", "pH")
"""Units that go without saying."""


@dataclass(frozen=True, slots=True)
class ClassLine:
    """One test of one place with its class.

    Parameters
    ----------
    place, depth_cm : str
        Sample or zone, and its layer; empty where not told. [cm]
    analyte : Analyte
        What was measured or worked out.
    value : float
        The result; NaN where there is none. [analyte.unit]
    limit : str
        ``"<"``, ``">"`` or empty.
    basis : str
        What it was worked out from; empty where it was measured.
    is_estimate : bool
        Whether the value rests on more than was measured.
    words : str
        Name of the class; empty where there is none.
    class_number, class_count : int
        Class counted from 1, of how many; 0 where there is none.
    position : float
        Place on the scale from 0 to 1; NaN where there is none. [-]
    range_text : str
        Values that make the class, with the unit.
    scale : Scale or None
        The scale.
    where : str
        Place in its source.
    reason : str
        Why there is no class; empty where there is one.
    doubt : str
        What to mind; empty for nothing.
    """

    place: str
    depth_cm: str
    analyte: Analyte
    value: float
    limit: str
    basis: str
    is_estimate: bool
    words: str
    class_number: int
    class_count: int
    position: float
    range_text: str
    scale: Scale | None
    where: str
    reason: str
    doubt: str


def class_lines(table: ClassTable, place: int) -> tuple[ClassLine, ...]:
    """The tests of one place: those with a result, and figures that lack a part.

    Parameters
    ----------
    table : ClassTable
        Classes of several places.
    place : int
        Which of them.
    """
    lines = (_line(table, of, place) for of in table.tests)
    return tuple(line for line in lines if line.reason != "no result")


def _line(table: ClassTable, of: TestClasses, place: int) -> ClassLine:
    """One test of one place."""
    has_class = of.words[place] != ""
    known = scales()[of.scale_number[place]] if has_class else None
    steps = _steps_here(known, table, place) if known is not None else None
    number = int(of.class_number[place])
    return ClassLine(
        table.names[place],
        table.depths_cm[place],
        of.test.analyte,
        float(of.test.values[place]),
        str(of.test.limits[place]),
        of.test.basis,
        of.test.is_estimate,
        str(of.words[place]),
        number + 1,
        len(steps.words) if steps else 0,
        float(of.position[place]),
        _range(steps, number, of.test.analyte) if steps else "",
        known,
        steps.where if steps else "",
        str(of.lacking[place]),
        str(of.doubts[place]),
    )


def _steps_here(known: Scale, table: ClassTable, place: int) -> Steps:
    """The classes of a scale for the clay or texture of one place."""
    clay = float(table.clay_percent[place])
    for steps in known.steps:
        by_clay = steps.clay_from_percent <= clay < steps.clay_below_percent
        fits_clay = math.isnan(steps.clay_from_percent) or by_clay
        if fits_clay and steps.texture in ("", table.texture.lower()):
            return steps
    return known.steps[0]


def _range(steps: Steps, number: int, analyte: Analyte) -> str:
    """The values that make a class, as people say them."""
    unit = "" if analyte.unit in UNITLESS else f" {analyte.unit}"
    ends = steps.from_values
    top = f"{ends[number + 1]:.4g}{unit}" if number + 1 < len(ends) else ""
    if number == 0:
        return f"up to {top}"
    bottom = f"{ends[number]:.4g}"
    return f"{bottom} to {top}" if top else f"from {bottom}{unit}"


def result_text(line: ClassLine) -> str:
    """A result as people read it, without its unit; an estimate is marked."""
    if math.isnan(line.value):
        return "none"
    number = f"{line.value:.2g}" if 0 < line.value < 0.1 else printed_value(line.value)
    return f"{ESTIMATE_MARK if line.is_estimate else ''}{line.limit}{number}"


def result_with_unit(line: ClassLine) -> str:
    """A result with its unit, where it has one that tells anything."""
    has_unit = line.analyte.unit not in UNITLESS and not math.isnan(line.value)
    return f"{result_text(line)} {line.analyte.unit}" if has_unit else result_text(line)


def class_text(line: ClassLine) -> str:
    """The name of a class alone, or that there is none; an unverified scale is marked."""
    if not line.words:
        return "no class"
    mark = " (unverified)" if is_unverified(line) else ""
    return f"{class_name(line.words)}{mark}"


def is_unverified(line: ClassLine) -> bool:
    """Whether the class is by a scale that nobody verified."""
    return line.scale is not None and line.scale.grade is Grade.UNVERIFIED


def source_text(line: ClassLine) -> str:
    """The source of a class, where in it, and its grade; empty where there is no class."""
    if line.scale is None:
        return ""
    return f"{line.scale.source}, {line.where} ({line.scale.grade})"


def told_line(line: ClassLine) -> tuple[str, ...]:
    """Everything that is to be known of one class, one sentence each."""
    said = [f"{line.analyte.name} {result_with_unit(line)}: {line.words}"]
    if not line.words:
        said = [f"{line.analyte.name}: no class: {line.reason}"]
    if line.basis:
        said.append(f"{'Estimate' if line.is_estimate else 'Worked out'}: {line.basis}")
    if line.scale is not None:
        said.append(f"Class {line.class_number} of {line.class_count}: {line.range_text}")
        said.append(f"Scale: {line.scale.name}; {source_text(line)}")
        said += [f"Mind: {line.scale.caution}"] if line.scale.caution else []
    else:
        said.append(f"Method: {line.analyte.method}")
    said += [f"Mind: {line.doubt}"] if line.doubt else []
    return tuple(said)


def places_with_results(table: ClassTable) -> tuple[int, ...]:
    """The places that have at least one result."""
    has = np.zeros(len(table.names), dtype=bool)
    for of in table.tests:
        has |= np.isfinite(of.test.values)
    return tuple(np.flatnonzero(has).tolist())
