"""The order in which the results of a sample are told: what may need something done comes first.

The order says where to look first, and nothing else: no rate rests on it.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.workflows.class_lines import ClassLine
from vrxapp.workflows.standing import distance_from_trouble

_UNTOLD = 2.0


class TroubleEnd(Enum):
    """The end of a scale at which a crop or a soil is in trouble."""

    LOW = "low"
    HIGH = "high"
    BOTH = "both"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Trouble:
    """Where on the scales of one analyte trouble lies."""

    key: str
    end: TroubleEnd
    source: str
    where: str
    grade: Grade


def problems_first(lines: Iterable[ClassLine]) -> tuple[ClassLine, ...]:
    """The same lines, the nearest to the troubled end of its scale first.

    Parameters
    ----------
    lines : iterable of ClassLine
        Tests of one place.

    Returns
    -------
    tuple of ClassLine
        A test below the value that its rate aims at, or above the most that is borne, stands
        with the problems, whether it has a scale or not. Where two are as near, and among
        tests with neither class nor such a value, which stand last, the order stays.
    """
    return tuple(sorted(lines, key=_distance))


def _distance(line: ClassLine) -> float:
    """How far a result lies from trouble, from 0 to 1; 2 where nothing tells it."""
    by_scale = _distance_on_scale(line) if line.words else _UNTOLD
    if line.standing is None or math.isnan(line.value):
        return by_scale
    return min(by_scale, distance_from_trouble(line.value, line.standing))


def _distance_on_scale(line: ClassLine) -> float:
    """How far a class lies from the troubled end of its scale."""
    place = (line.class_number - 1) / max(line.class_count - 1, 1)
    ends = {row.key: row.end for row in read_table("trouble_ends.csv", Trouble)}
    by_end = {
        TroubleEnd.LOW: place,
        TroubleEnd.HIGH: 1.0 - place,
        TroubleEnd.BOTH: 1.0 - abs(2.0 * place - 1.0),
        TroubleEnd.NONE: 1.0,
    }
    return by_end[ends[line.analyte.key]]
