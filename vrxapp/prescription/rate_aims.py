"""What the rates of a season aim at: the value that each soil test of them is read against.

A value holds for one test and one layer; a result by another method, or of another layer,
is never held against it.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.critical_ranges import CriticalRange, default_critical_range
from vrxapp.agronomy.critical_values import CriticalValue, critical_range
from vrxapp.agronomy.crops import crop
from vrxapp.agronomy.lime_values import LimeMethod
from vrxapp.agronomy.sufficiency_values import NeedPolicy
from vrxapp.need_plans import (
    NUTRIENTS,
    SYMBOLS,
    GypsumPlan,
    LimePlan,
    OwnRulePlan,
    Purpose,
)
from vrxapp.prescription.lime_by_zone import lime_analytes
from vrxapp.prescription.need_rules import LIME_DEPTH_CM, NeedPlans
from vrxapp.prescription.nutrient_by_zone import is_made_for
from vrxapp.sources import Grade

BELOW, WITHIN, ABOVE = "below", "within", "above"
"""Where a result stands against the value that a rate aims at."""
NO_AIM = -1
"""Stands for a place where nothing is aimed at."""


@dataclass(frozen=True, slots=True)
class RateAim:
    """One value or range that a rate reads a soil test against.

    Parameters
    ----------
    purpose : Purpose
        The need that is worked out by it.
    analyte, depth_cm : str
        Key of the soil test, which is one method, and the layer. [cm]
    low, high : float
        Ends of the range; the same for a single value. [unit of the test]
    what : str
        What the value is called: a critical value, or a target.
    whose : str
        For which crop, and by whom.
    source, where : str
        Key of the bibliography, empty for the agronomist's own, and the place in it.
    grade : Grade
        How well it is known.
    curve : CriticalValue or None
        The calibration, where the ends come from the buffering index of each place.
    is_most : bool
        Whether it is the most that is borne, so that what lies above it asks for a rate.
    """

    purpose: Purpose
    analyte: str
    depth_cm: str
    low: float
    high: float
    what: str
    whose: str
    source: str
    where: str
    grade: Grade
    curve: CriticalValue | None = None
    is_most: bool = False


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Standings:
    """How the results of one test stand against what is aimed at, one row a place.

    Parameters
    ----------
    aims : tuple of RateAim
        What is aimed at by this test.
    number : ndarray of int
        Which of `aims` holds at a place; -1 for none.
    low, high : ndarray of float
        Ends of the range there; NaN for none. [unit of the test]
    side : ndarray of str
        ``"below"``, ``"within"`` or ``"above"``; empty where it cannot be told.
    """

    aims: tuple[RateAim, ...]
    number: NDArray[np.intp]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    side: NDArray[np.object_]


def aims_of(plans: NeedPlans) -> tuple[RateAim, ...]:
    """What the needs that were planned aim at; a rule of the agronomist's own goes first.

    Nitrogen has no critical value, and trace elements go by the scale of their test.

    Parameters
    ----------
    plans : NeedPlans
        A season, or the plans for a sheet alone.
    """
    own = {plan.purpose: _own_rule(plan) for plan in plans.own_rules}
    found = [_calibrated(Purpose.PHOSPHORUS, plans.phosphorus.critical)]
    found += [
        _calibrated(plan.purpose, plan.critical)
        for plan in plans.nutrients
        if plan.critical is not None
        and is_made_for(plan.critical, plans.crop.crop)
        and plan.choices.policy is not NeedPolicy.CATION_BALANCE
    ]
    found += _lime_targets(plans.lime) if plans.lime is not None else []
    found += _most_sodium(plans.gypsum) if plans.gypsum is not None else []
    kept = [aim for aim in found if aim.purpose not in own]
    return (*kept, *(aim for aim in own.values() if aim is not None))


def default_aims(crop_key: str, analytes: tuple[str, ...]) -> tuple[RateAim, ...]:
    """The published ranges that a crop starts with for the nutrients of a sheet.

    Parameters
    ----------
    crop_key : str
        The crop.
    analytes : tuple of str
        Keys of the soil tests on the sheet.
    """
    return tuple(
        _calibrated(purpose, known)
        for purpose in NUTRIENTS
        for key in analytes
        if (known := default_critical_range(SYMBOLS[purpose], crop_key, analyte=key)) is not None
    )


def standings(
    analyte_key: str,
    aims: tuple[RateAim, ...],
    *,
    ends: tuple[NDArray[np.float64], NDArray[np.float64]],
    depths_cm: tuple[str, ...],
    pbi: NDArray[np.float64],
) -> Standings:
    """How the results of one test stand against what is aimed at.

    Parameters
    ----------
    analyte_key : str
        Key of the test.
    aims : tuple of RateAim
        What the rates aim at, by whatever tests.
    ends : tuple of two ndarrays of float
        The least and the most that each result can be. [unit of the test]
    depths_cm : tuple of str
        Layer of each place; one that is not told counts as the one asked for. [cm]
    pbi : ndarray of float
        Phosphorus buffering index of each place; only a curve reads it. [index]
    """
    ours = tuple(aim for aim in aims if aim.analyte == analyte_key)
    count = len(depths_cm)
    number = np.full(count, NO_AIM, dtype=np.intp)
    low, high = np.full(count, math.nan), np.full(count, math.nan)
    layers = np.array(depths_cm, dtype=object)
    for which, aim in enumerate(ours):
        here = (number == NO_AIM) & np.isin(layers, [aim.depth_cm, ""])
        number[here] = which
        low_here, high_here = _ends_of(aim, pbi)
        low[here], high[here] = low_here[here], high_here[here]
    least, most = ends
    sides = [most < low, least > high, (least >= low) & (most <= high)]
    side = np.select(sides, [BELOW, ABOVE, WITHIN], "").astype(object)
    return Standings(ours, number, low, high, side)


def _ends_of(
    aim: RateAim, pbi: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Both ends of the range at each place."""
    if aim.curve is not None:
        return critical_range(aim.curve, pbi)
    return np.full(pbi.shape, aim.low), np.full(pbi.shape, aim.high)


def _calibrated(purpose: Purpose, known: CriticalValue | CriticalRange) -> RateAim:
    """What a calibration aims at."""
    if isinstance(known, CriticalValue):
        low, high, curve = known.low_mg_kg, known.high_mg_kg, known if known.curve else None
    else:
        low, high, curve = known.low, known.high, None
    own = f"{crop(known.crop).name.lower()}, your own" if known.crop else "your own"
    return RateAim(
        purpose,
        known.analyte,
        known.depth_cm,
        low,
        high,
        "critical value" if low == high or curve is not None else "critical range",
        own if known.grade is Grade.YOURS else known.name.replace(" (unverified)", ""),
        known.source,
        known.where,
        known.grade,
        curve,
    )


def _lime_targets(plan: LimePlan) -> list[RateAim]:
    """The pH that lime aims at, on each scale that its method reads, and aluminium borne."""
    targets = {
        "ph_cacl2": plan.choices.target_ph_cacl2,
        "ph_water": plan.choices.target_ph_water,
    }
    read = lime_analytes(plan)
    found = [
        _planned(Purpose.LIME, key, target, what="target")
        for key, target in targets.items()
        if key in read and not math.isnan(target)
    ]
    tolerated = plan.choices.tolerated_aluminium_percent
    if plan.method is LimeMethod.TOLERATED_ALUMINIUM and not math.isnan(tolerated):
        most = _planned(Purpose.LIME, "al_saturation", tolerated, what="tolerated share")
        found.append(replace(most, is_most=True))
    return found


def _most_sodium(plan: GypsumPlan) -> list[RateAim]:
    """The share of sodium that gypsum aims at."""
    target = plan.choices.target_esp_percent
    if math.isnan(target):
        return []
    return [replace(_planned(Purpose.GYPSUM, "esp", target, what="target"), is_most=True)]


def _planned(purpose: Purpose, analyte_key: str, value: float, *, what: str) -> RateAim:
    """A value that the agronomist set in a plan."""
    return RateAim(
        purpose,
        analyte_key,
        LIME_DEPTH_CM,
        value,
        value,
        what,
        f"{purpose}, your own",
        "",
        f"set in the plan for {purpose}",
        Grade.YOURS,
    )


def _own_rule(plan: OwnRulePlan) -> RateAim | None:
    """The result from which a rule of the agronomist's own gives nothing; None for none."""
    rule = plan.rule
    if rule.needs_kg_ha[-1] > 0:
        return None
    given = [at for at, need in enumerate(rule.needs_kg_ha) if need > 0]
    end = rule.breakpoints[given[-1] + 1] if given else rule.breakpoints[0]
    return RateAim(
        plan.purpose,
        rule.analyte,
        rule.depth_cm,
        end,
        end,
        "end",
        f"your own rule {rule.name!r} gives nothing from there",
        "",
        rule.source,
        Grade.YOURS,
    )
