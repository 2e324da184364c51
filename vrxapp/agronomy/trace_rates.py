"""Rates of trace elements that somebody tried, the caps on them, and rates of one's own."""

import math
from dataclasses import dataclass
from enum import StrEnum

from vrxapp.agronomy.input_checks import require_above_zero
from vrxapp.errors import MissingInputError, RefusedMixError, SoilInputError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


class TraceElement(StrEnum):
    """The trace elements, by symbol."""

    ZINC = "Zn"
    COPPER = "Cu"
    MANGANESE = "Mn"
    IRON = "Fe"
    BORON = "B"
    MOLYBDENUM = "Mo"


class Placement(StrEnum):
    """How a trace element reaches the crop."""

    BROADCAST = "broadcast"
    WORKED_IN = "worked-in"
    IN_FURROW = "in-furrow"
    ON_LEAVES = "on-leaves"


@dataclass(frozen=True, slots=True)
class TraceRate:
    """A rate that was tried, or one of the agronomist's own. [kg/ha of the element]"""

    key: str
    element: TraceElement
    rate_kg_ha: float
    placement: Placement
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class TraceCap:
    """The most of an element that this program gives in one season. [kg/ha]"""

    element: TraceElement
    most_kg_ha: float
    source: str
    where: str
    grade: Grade


def trace_rates(element: TraceElement | None = None) -> tuple[TraceRate, ...]:
    """Every rate with a source, or those of one element; for most there is none."""
    rows = read_table("trace_rates.csv", TraceRate)
    return tuple(row for row in rows if element in (None, row.element))


def trace_caps() -> tuple[TraceCap, ...]:
    """The caps, on boron and copper."""
    return read_table("trace_caps.csv", TraceCap)


def own_trace_rate(
    element: TraceElement, rate_kg_ha: float, *, placement: Placement, reason: str
) -> TraceRate:
    """A rate of the agronomist's own, marked as theirs.

    Raises
    ------
    MissingInputError
        If the rate is no positive number or no reason is given.
    SoilInputError
        If it is above the cap of the element.
    RefusedMixError
        If boron was to go into the furrow with the seed.
    """
    if not (math.isfinite(rate_kg_ha) and rate_kg_ha > 0):
        raise MissingInputError(
            f"a rate of {rate_kg_ha:g} kg/ha is not possible", mend="Give a number above zero"
        )
    if not reason.strip():
        raise MissingInputError(
            "a rate of your own needs a reason", mend="Say in a few words where it comes from"
        )
    rate = TraceRate("own", element, rate_kg_ha, placement, "", reason.strip(), Grade.YOURS)
    require_safe_rate(rate)
    return rate


def require_safe_rate(rate: TraceRate) -> None:
    """Refuse a rate above its cap, and boron with the seed.

    Raises
    ------
    SoilInputError
        If the rate is not above zero, or above the cap of its element.
    RefusedMixError
        If boron was to go into the furrow with the seed.
    """
    require_above_zero(rate_kg_ha=rate.rate_kg_ha)
    for cap in trace_caps():
        if cap.element is rate.element and rate.rate_kg_ha > cap.most_kg_ha:
            raise SoilInputError(
                f"more than {cap.most_kg_ha:g} kg {cap.element}/ha is not given in one season",
                value=f"{rate.rate_kg_ha:g}",
                mend="Lower the rate: the element stays in the soil and turns toxic",
            )
    if rate.element is TraceElement.BORON and rate.placement is Placement.IN_FURROW:
        raise RefusedMixError(
            "boron is never placed with the seed", mend="Spread it evenly, or spray leaves"
        )
