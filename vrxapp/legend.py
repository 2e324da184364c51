"""What a map looks like, decided once and without Qt: screen and paper show the same.

Fills are the same in light and in dark, so that a colour always means the same
amount; only what lies around them (background, outlines, text) changes. Each fill
stands out from the dark background and from the dark edge drawn around it, and
whatever colour alone would have to tell is hatched as well.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.color_scheme import DARK as DARK
from vrxapp.color_scheme import LIGHT as LIGHT
from vrxapp.color_scheme import Scheme as Scheme

#: Plum to straw by way of blue and green; lightness only rises, so it survives
#: colour blindness and a grey printer.
AMOUNT_RAMP = ("#8e5091", "#6166d9", "#308bb2", "#5cc489", "#a9c76a", "#f4d94c", "#f2f5a6")
#: Blue for less, orange for more, and a warm grey where nothing differs.
LESS_RAMP = ("#e9e6dc", "#86b0d8", "#3a78b8")
MORE_RAMP = ("#e9e6dc", "#e9ac6c", "#c8661a")
MOST_DISTINCT_RATES = 8
MOST_CLASSES = 7
MOST_MEASURED_CLASSES = 5
_ODD_PERCENT = (2.0, 98.0)
MINUS = "\N{MINUS SIGN}"


class Hatch(StrEnum):
    """Pattern drawn over a fill, so that its meaning survives without colour."""

    NONE = "none"
    RISING = "rising"
    FALLING = "falling"
    CROSSED = "crossed"
    DOTTED = "dotted"


class Symbol(StrEnum):
    """Sign drawn in a marker, so that it says what stands there without colour."""

    NONE = ""
    GATE = "gate"
    HEAP = "heap"
    BOLT = "bolt"
    WAVES = "waves"
    TUFTS = "tufts"
    DROPS = "drops"
    PERSON = "person"


@dataclass(frozen=True, slots=True)
class Step:
    """One entry of a legend: how an area (or a sample's marker) is filled."""

    label: str
    fill: str
    hatch: Hatch = Hatch.NONE
    hatch_ink: str = "#121a1c"
    is_marker: bool = False
    """Whether it stands for single places, drawn as a round marker."""
    symbol: Symbol = Symbol.NONE
    """Sign in the marker, which is then larger and square."""


@dataclass(frozen=True, slots=True)
class LineStyle:
    """How a line is drawn; an empty color is the scheme's ink, dashes are in pixels."""

    label: str
    color: str = ""
    width_px: float = 1.6
    dashes_px: tuple[float, ...] = ()


NO_RATE = Step("no rate", "#c6cdd0", Hatch.DOTTED, "#2c363b")
CHECK_STRIP = Step("check strip", "#f6f3e8", Hatch.RISING)
EXCLUSION = Step("exclusion", "#a4adb1", Hatch.CROSSED, "#414a4e")


@dataclass(frozen=True, slots=True)
class Legend:
    """Title, unit and ordered steps of a map; each label already carries the unit."""

    title: str
    unit: str
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class ClassedColumn:
    """A column over places, with the step of the legend that each place falls into."""

    legend: Legend
    step_of_row: NDArray[np.intp]


def amount_classes(values: ArrayLike, *, title: str, unit: str) -> ClassedColumn:
    """Sort amounts into a few readable classes, lowest first.

    Parameters
    ----------
    values : array_like
        One amount for each place; NaN where there is none.
    title : str
        What the amounts are, for the head of the legend.
    unit : str
        Unit of the amounts.

    Returns
    -------
    ClassedColumn
        One class for each distinct amount while there are at most eight, else
        classes between round breaks, each with its lower but not its upper end.
        Places without an amount get the step "no rate".

    Examples
    --------
    >>> classed = amount_classes([80.0, 120.0, 80.0], title="Urea", unit="kg/ha")
    >>> [step.label for step in classed.legend.steps], classed.step_of_row.tolist()
    (['80 kg/ha', '120 kg/ha'], [0, 1, 0])
    """
    column = np.asarray(values, dtype=float).ravel()
    known = np.isfinite(column)
    distinct = np.unique(_to_six_digits(column[known]))
    step_of_row = np.zeros(column.size, dtype=np.intp)
    if distinct.size <= MOST_DISTINCT_RATES:
        step_of_row[known] = np.searchsorted(distinct, _to_six_digits(column[known]))
        fills = ramp_colors(AMOUNT_RAMP, distinct.size)
        steps = [
            Step(_with_unit(_number(amount), unit), fill)
            for amount, fill in zip(distinct, fills, strict=True)
        ]
    else:
        width, first, count = _round_classes(float(distinct[0]), float(distinct[-1]))
        place = np.floor(np.round(column[known] / width, 9)).astype(np.intp) - first
        step_of_row[known] = np.clip(place, 0, count - 1)
        ends = [_number((first + i) * width) for i in range(count + 1)]
        steps = _steps_between(ends, ramp_colors(AMOUNT_RAMP, count), unit)
    classed = ClassedColumn(Legend(title, unit, tuple(steps)), step_of_row)
    return marked(classed, ~known, NO_RATE)


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class MeasuredClasses:
    """Classes of a measured surface: a legend, and the breaks between its steps."""

    legend: Legend
    breaks: NDArray[np.float64]

    def step_of(self, values: NDArray[np.float64]) -> NDArray[np.intp]:
        """The step of each value, of any shape; -1 where there is no value."""
        steps = np.searchsorted(self.breaks, values, side="right")
        return np.where(np.isfinite(values), steps, -1).astype(np.intp)


def measured_classes(values: ArrayLike, *, title: str, unit: str) -> MeasuredClasses:
    """Round classes for a measured surface; the lowest and the highest are open.

    Parameters
    ----------
    values : array_like
        The measured values; NaN where there is none. A few odd ones at either end do not
        stretch the classes.
    title, unit : str
        What was measured, and in which unit.

    Examples
    --------
    >>> classes = measured_classes([10.0, 20.0, 30.0, 40.0], title="Conductivity", unit="mS/m")
    >>> [step.label for step in classes.legend.steps][:2], classes.step_of(np.array([12.0]))
    (['under 20 mS/m', '20 to 30 mS/m'], array([0]))
    """
    column = np.asarray(values, dtype=float).ravel()
    known = column[np.isfinite(column)]
    low, high = np.percentile(known, _ODD_PERCENT) if known.size else (0.0, 0.0)
    if not high > low:
        label = _with_unit(_number(float(low)), unit) if known.size else "no values"
        step = Step(label, ramp_colors(AMOUNT_RAMP, 1)[0])
        return MeasuredClasses(Legend(title, unit, (step,)), np.array([], dtype=float))
    width, first, count = _round_classes(float(low), float(high), most=MOST_MEASURED_CLASSES)
    breaks = np.asarray((first + np.arange(1, count)) * width, dtype=np.float64)
    ends = [_number(float(number)) for number in breaks]
    fills = ramp_colors(AMOUNT_RAMP, count)
    steps = (
        Step(_with_unit(f"under {ends[0]}", unit), fills[0]),
        *_steps_between(ends, fills[1:-1], unit),
        Step(_with_unit(f"{ends[-1]} or more", unit), fills[-1]),
    )
    return MeasuredClasses(Legend(title, unit, steps), breaks)


def marked(classed: ClassedColumn, rows: ArrayLike, step: Step) -> ClassedColumn:
    """Give some places a step of their own, at the end of the legend."""
    chosen = np.asarray(rows, dtype=bool)
    if not chosen.any():
        return classed
    steps = classed.legend.steps
    if step not in steps:
        steps = (*steps, step)
    step_of_row = np.where(chosen, steps.index(step), classed.step_of_row)
    return ClassedColumn(replace(classed.legend, steps=steps), step_of_row)


def capped(classed: ClassedColumn, rows: ArrayLike) -> ClassedColumn:
    """Hatch the places whose rate was cut back to a cap; their colour still tells the rate.

    The hatched step stands behind the plain one, or instead of it where all its
    places are capped.
    """
    chosen = np.asarray(rows, dtype=bool)
    steps: list[Step] = []
    step_of_row = classed.step_of_row.copy()
    for index, step in enumerate(classed.legend.steps):
        in_step = classed.step_of_row == index
        if (in_step & ~chosen).any() or not in_step.any():
            step_of_row[in_step & ~chosen] = len(steps)
            steps.append(step)
        if (in_step & chosen).any():
            step_of_row[in_step & chosen] = len(steps)
            steps.append(replace(step, label=f"{step.label}, capped", hatch=Hatch.FALLING))
    return ClassedColumn(replace(classed.legend, steps=tuple(steps)), step_of_row)


def ramp_colors(ramp: Sequence[str], count: int) -> list[str]:
    """`count` colours spread evenly over a ramp; a single one is taken from its middle."""
    channels = np.array([[int(color[i : i + 2], 16) for i in (1, 3, 5)] for color in ramp])
    along = np.linspace(0.0, len(ramp) - 1.0, count) if count > 1 else [(len(ramp) - 1.0) / 2.0]
    mixed = np.array([np.interp(along, np.arange(len(ramp)), channel) for channel in channels.T])
    return [f"#{r:02x}{g:02x}{b:02x}" for r, g, b in np.rint(mixed.T).astype(int)[:count]]


def _steps_between(ends: Sequence[str], fills: Sequence[str], unit: str) -> list[Step]:
    """One step between each two neighbouring ends."""
    return [
        Step(_with_unit(f"{low} to {high}", unit), fill)
        for (low, high), fill in zip(pairwise(ends), fills, strict=True)
    ]


def _with_unit(amount: str, unit: str) -> str:
    """Put the unit behind an amount, where there is one."""
    return f"{amount} {unit}" if unit else amount


def _to_six_digits(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Round to six significant digits, so that arithmetic dust makes no class of its own."""
    size = np.abs(values)
    exponent = np.floor(np.log10(np.where(size > 0.0, size, 1.0)))
    unit = 10.0 ** (exponent - 5.0)
    return np.asarray(np.round(values / unit) * unit)


def _round_width(at_least: float) -> float:
    """Find the smallest of 1, 2, 2.5 and 5 times a power of ten that is large enough."""
    power = 10.0 ** math.floor(math.log10(at_least))
    factors = (1.0, 2.0, 2.5, 5.0, 10.0)
    return next(factor * power for factor in factors if factor * power >= at_least * (1 - 1e-9))


def _round_classes(low: float, high: float, *, most: int = MOST_CLASSES) -> tuple[float, int, int]:
    """Width, number of the first class counted from zero, and how many classes there are."""
    width = _round_width((high - low) / most)
    first = math.floor(round(low / width, 9))
    count = math.ceil(round(high / width, 9)) - first
    return width, first, count


def _number(amount: float) -> str:
    """Print a number without needless digits and with a true minus sign."""
    return f"{amount:.6g}".replace("-", MINUS)
