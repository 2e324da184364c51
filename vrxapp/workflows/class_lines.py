"""Classes of one place, a line a test: value, class, standing, chances, and what to mind."""

import math
from dataclasses import dataclass

import numpy as np

from vrxapp.agronomy.trail import printed_value
from vrxapp.prescription.classes_by_zone import ClassTable
from vrxapp.prescription.classes_of_test import TestClasses
from vrxapp.prescription.known_test import KnownTest
from vrxapp.prescription.rate_aims import ABOVE, BELOW, WITHIN
from vrxapp.prescription.repeat_chances import PLACES_AT_ONCE, repeat_chances
from vrxapp.prescription.salt_loss import salt_loss
from vrxapp.prescription.scale_choice import ClassChoices
from vrxapp.soil.analytes import Analyte
from vrxapp.soil.interpretation import class_name
from vrxapp.soil.interpretation_scales import Scale, Steps, scales
from vrxapp.workflows.standing import UNITLESS, Standing, standing_at

_ECE = "ec_e"
_SIDES = (BELOW, WITHIN, ABOVE)
_LEAST_CHANCE = 0.005


@dataclass(frozen=True, slots=True)
class ClassChance:
    """The chance that a place truly lies in one class. [-]"""

    words: str
    chance: float


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
    from_values : tuple of float
        Lower end of each class of the scale. [analyte.unit]
    scale : Scale or None
        The scale.
    where : str
        Place in its source.
    span : str
        Both classes between which a result lies that is not known closer; else empty.
    reason : str
        Why there is no class; empty where there is one.
    doubt : str
        What to mind; empty for nothing.
    low, high : float
        Ends of an estimate that is a range; NaN where it is none. [analyte.unit]
    worked_out_by : str
        Source and grade of what it was worked out by; empty where it was measured.
    standing : Standing or None
        How it stands against what a rate aims at.
    chances : tuple of ClassChance
        How likely each class is, where results repeat each other.
    chances_from : str
        What the chances were told from; empty without any.
    salt_loss : str
        What the crop would lose to that much salt; empty where it is not told.
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
    from_values: tuple[float, ...]
    scale: Scale | None
    where: str
    span: str
    reason: str
    doubt: str
    low: float
    high: float
    worked_out_by: str
    standing: Standing | None
    chances: tuple[ClassChance, ...]
    chances_from: str
    salt_loss: str


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
    test, has_class = of.test, of.words[place] != ""
    known = scales()[of.scale_number[place]] if has_class else None
    steps = _steps_here(known, table, place) if known is not None else None
    number = int(of.class_number[place])
    standing = standing_at(of.standings, place, unit=test.analyte.unit)
    chances, told_from = _chances(test, place, steps, standing)
    return ClassLine(
        place=table.names[place],
        depth_cm=table.depths_cm[place],
        analyte=test.analyte,
        value=float(test.values[place]),
        limit=str(test.limits[place]),
        basis=test.basis,
        is_estimate=test.is_estimate,
        words=str(of.words[place]),
        class_number=number + 1,
        class_count=len(steps.words) if steps else 0,
        position=float(of.position[place]),
        range_text=_range(steps, number, test.analyte) if steps else "",
        from_values=steps.from_values if steps else (),
        scale=known,
        where=steps.where if steps else "",
        span=str(of.span[place]),
        reason=str(of.lacking[place]),
        doubt=str(of.doubts[place]),
        low=float(test.low[place]) if test.low is not None else math.nan,
        high=float(test.high[place]) if test.high is not None else math.nan,
        worked_out_by=f"{test.source}; {test.grade}" if test.source else "",
        standing=standing,
        chances=chances,
        chances_from=told_from,
        salt_loss=_salt_words(test, place, table.choices) if test.analyte.key == _ECE else "",
    )


def _chances(
    test: KnownTest, place: int, steps: Steps | None, standing: Standing | None
) -> tuple[tuple[ClassChance, ...], str]:
    """How likely each class is, and what that was told from; nothing without repeats."""
    if steps is not None:
        names = tuple(class_name(word) for word in steps.words)
        found = repeat_chances(test, place, boundaries=steps.from_values[1:])
    elif standing is not None:
        names, ends = _SIDES, (standing.low, standing.high)
        # a curve gives each place ends of its own
        sharing = PLACES_AT_ONCE if standing.aim.curve is None else 1
        found = repeat_chances(test, place, boundaries=ends, sharing=sharing)
    else:
        return (), ""
    if found is None:
        return (), ""
    unit = "" if test.analyte.unit in UNITLESS else f" {test.analyte.unit}"
    pairs = zip(names, found.chances, strict=True)
    kept = tuple(ClassChance(name, chance) for name, chance in pairs if chance >= _LEAST_CHANCE)
    return kept, (
        f"{found.count} results, mean {printed_value(found.mean)}{unit}, standard error "
        f"{printed_value(found.standard_error)}{unit}; {found.blur}"
    )


def _salt_words(test: KnownTest, place: int, choices: ClassChoices) -> str:
    """What the crop would yield on ground as salty as this, where its tolerance is known."""
    value = float(test.values[place])
    ends = (value, value)
    if test.low is not None and test.high is not None:
        ends = (float(test.low[place]), float(test.high[place]))
    found = salt_loss(*ends, choices.crop, with_unverified=choices.tells_salt_loss)
    if found is None:
        return ""
    low, high = (f"{percent:.0f}" for percent in (found.low_percent, found.high_percent))
    by = found.tolerance
    return (
        f"{by.name} would yield {low if low == high else f'{low} to {high}'} % of what it yields "
        f"without salt, if all its root zone were like this: nothing is lost up to "
        f"{by.threshold_ds_m:g} dS/m, then {by.slope_percent_per_ds_m:g} % for each dS/m "
        f"({by.source}; {by.grade})."
    )


def _steps_here(known: Scale, table: ClassTable, place: int) -> Steps:
    """The classes of a scale for the clay or texture of one place."""
    clay = float(table.clay_percent[place])
    for steps in known.steps:
        by_clay = steps.clay_from_percent <= clay < steps.clay_below_percent
        fits_clay = math.isnan(steps.clay_from_percent) or by_clay
        if fits_clay and steps.texture in ("", str(table.textures[place])):
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


def places_with_results(table: ClassTable) -> tuple[int, ...]:
    """The places that have at least one result."""
    has = np.zeros(len(table.names), dtype=bool)
    for of in table.tests:
        has |= np.isfinite(of.test.values)
    return tuple(np.flatnonzero(has).tolist())
