"""What is said of one class line on screen and in the terminal, and the bar that shows it."""

import math
from dataclasses import dataclass

from vrxapp.agronomy.salt_tolerance import GYPSUM_NOTE, SEEDLING_NOTE
from vrxapp.agronomy.trail import printed_value
from vrxapp.soil.interpretation import class_name, placed
from vrxapp.sources import Grade
from vrxapp.units import PERCENT
from vrxapp.workflows.class_lines import ClassLine
from vrxapp.workflows.standing import (
    UNITLESS,
    standing_sentence,
    standing_source,
    standing_text,
)

SALT_NOTE = f"{GYPSUM_NOTE} {SEEDLING_NOTE}"
"""To be told beside what a crop loses to salt."""

ESTIMATE_MARK = "~"
"""Stands before a value that rests on more than was measured."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar of classes, all equally wide.

    Parameters
    ----------
    count : int
        Number of classes; 0 for no bar.
    position : float
        Where the result lies, from 0 to 1; NaN for no bar. [-]
    aims : tuple of float
        Where the value or the ends of the range lie that a rate aims at. [-]
    """

    count: int
    position: float
    aims: tuple[float, ...]


def result_text(line: ClassLine) -> str:
    """A result as people read it, without its unit; an estimate is marked."""
    if math.isnan(line.value):
        return "none"
    number = _number(line.value)
    if not math.isnan(line.low):
        number = " to ".join(dict.fromkeys((_number(line.low), _number(line.high))))
    return f"{ESTIMATE_MARK if line.is_estimate else ''}{line.limit}{number}"


def _number(value: float) -> str:
    """A result to two figures where it is small, else to two decimals."""
    return f"{value:.2g}" if 0 < value < 0.1 else printed_value(value)


def result_with_unit(line: ClassLine) -> str:
    """A result with its unit, where it has one that tells anything."""
    has_unit = line.analyte.unit not in UNITLESS and not math.isnan(line.value)
    return f"{result_text(line)} {line.analyte.unit}" if has_unit else result_text(line)


def class_text(line: ClassLine) -> str:
    """The name of a class, or how it stands against what a rate aims at, or that there is none.

    An unverified scale, or an unverified value, is marked.
    """
    if not line.words and line.standing is not None:
        return standing_text(line.standing)
    if not line.words:
        return line.span or "no class"
    mark = " (unverified)" if is_unverified(line) else ""
    return f"{class_name(line.words)}{mark}"


def is_unverified(line: ClassLine) -> bool:
    """Whether the class is by a scale that nobody verified."""
    return line.scale is not None and line.scale.grade is Grade.UNVERIFIED


def source_text(line: ClassLine) -> str:
    """The source of a class or of a critical value, where in it, and its grade; else empty."""
    if line.scale is None:
        return standing_source(line.standing) if line.standing is not None else ""
    return f"{line.scale.source}, {line.where} ({line.scale.grade})"


def told_line(line: ClassLine) -> tuple[str, ...]:
    """Everything that is to be known of one class, one sentence each."""
    name = line.analyte.name
    said = [f"{name} {result_with_unit(line)}: {line.words}"]
    if not line.words:
        said = [f"{name}: no class: {line.reason}{f' ({line.span})' if line.span else ''}"]
    if line.basis:
        by = f" ({line.worked_out_by})" if line.worked_out_by else ""
        said.append(f"{'Estimate' if line.is_estimate else 'Worked out'}: {line.basis}{by}")
    if line.standing is not None:
        stands = standing_sentence(line.standing)
        said.append(f"Rate: {stands[0].upper()}{stands[1:]}; {standing_source(line.standing)}")
    if line.scale is not None:
        said.append(f"Class {line.class_number} of {line.class_count}: {line.range_text}")
        said.append(f"Scale: {line.scale.name}; {source_text(line)}")
        said += [f"Mind: {line.scale.caution}"] if line.scale.caution else []
    else:
        said.append(f"Method: {line.analyte.method}")
    said += [f"Chances: {chances_text(line)}"] if line.chances else []
    said += [f"Salt: {line.salt_loss} {SALT_NOTE}"] if line.salt_loss else []
    said += [f"Mind: {line.doubt}"] if line.doubt else []
    return tuple(said)


def chances_text(line: ClassLine) -> str:
    """The chances of all classes, the least ones left out; empty without repeats."""
    told = ", ".join(f"{known.words} {_percent(known.chance)}" for known in line.chances)
    return f"{told} ({line.chances_from})" if told else ""


def chance_of_class(line: ClassLine) -> str:
    """The chance of the class, or of the side of a critical value, that is shown."""
    if not line.chances:
        return ""
    shown = class_name(line.words) if line.words else line.standing.side if line.standing else ""
    return next((_percent(c.chance) for c in line.chances if c.words == shown), "")


def _percent(chance: float) -> str:
    """A chance as people read it; never surer than the numbers are."""
    return f"{min(max(round(chance * PERCENT), 1), 99)} %"


def bar_of(line: ClassLine) -> Bar:
    """Where the mark stands on a line's bar, and where what a rate aims at.

    A test without a scale has the value that its rate aims at for a scale.
    """
    standing = line.standing
    if line.words:
        return Bar(line.class_count, line.position, _aims_on_scale(line))
    if standing is None or math.isnan(line.value):
        return Bar(0, math.nan, ())
    ends = tuple(dict.fromkeys((line.analyte.lowest, standing.low, standing.high)))
    _, position = placed([line.value], ends)
    share = 1.0 / len(ends)
    return Bar(len(ends), float(position[0]), tuple(share * at for at in range(1, len(ends))))


def _aims_on_scale(line: ClassLine) -> tuple[float, ...]:
    """Where on its scale the value lies that a rate aims at."""
    if line.standing is None or not line.from_values:
        return ()
    ends = dict.fromkeys((line.standing.low, line.standing.high))
    _, positions = placed(list(ends), line.from_values)
    return tuple(positions.tolist())
