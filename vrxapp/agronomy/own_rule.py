"""A rule of the agronomist's own: from one soil test to a need, by a few breakpoints."""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.agronomy.own_rule_values import OwnRule, OwnShape, trace_element_of
from vrxapp.agronomy.rule_need import Findings, RuleNeed, settled_need
from vrxapp.agronomy.trace_elements import trace_cautions
from vrxapp.agronomy.trail import TrailStep, printed_value
from vrxapp.soil.analytes import analyte
from vrxapp.sources import Grade

_CAUTIONS = (
    "This rule is the agronomist's own: the program has checked its arithmetic, not its advice.",
    "Labels, local codes and licensed advice come before this sheet.",
)


def own_rule_need(rule: OwnRule, values: ArrayLike, *, crop: str = "") -> RuleNeed:
    r"""What each place needs by a rule of the agronomist's own.

    Parameters
    ----------
    rule : OwnRule
        The rule.
    values : array_like
        Results of the rule's soil test and layer. [unit of the test]
    crop : str, default ""
        Key of the crop that is grown; empty where it is not told.

    Returns
    -------
    RuleNeed
        The need of the element, NaN with a reason below the first breakpoint, without a
        result, and for another crop than the rule's. [kg/ha]

    Raises
    ------
    SoilInputError
        If a result is negative or infinite.

    Notes
    -----
    Between two breakpoints :math:`x_i` and :math:`x_{i+1}` with the needs :math:`n_i` and
    :math:`n_{i+1}`, by straight lines

    .. math:: need = n_i + (n_{i+1} - n_i) \, (x - x_i) / (x_{i+1} - x_i)

    and by steps

    .. math:: need = n_i

    never more than the cap. There is no source but the agronomist's.

    Examples
    --------
    >>> from vrxapp.agronomy.crop_removal import Nutrient
    >>> rule = OwnRule(
    ...     name="My potash",
    ...     analyte="colwell_k",
    ...     depth_cm="0-10",
    ...     element=Nutrient.POTASSIUM,
    ...     shape=OwnShape.LINES,
    ...     breakpoints=(0.0, 40.0, 80.0),
    ...     needs_kg_ha=(50.0, 30.0, 0.0),
    ...     source="district trials",
    ...     cap_kg_ha=45.0,
    ... )
    >>> own_rule_need(rule, [0.0, 60.0, 90.0]).amount
    array([45., 15.,  0.])
    """
    require_at_least_zero(values=values)
    results = np.asarray(values, dtype=float)
    by_rule = _by_breakpoints(rule, results)
    amount = by_rule if math.isnan(rule.cap_kg_ha) else np.minimum(by_rule, rule.cap_kg_ha)
    return settled_need(
        amount,
        f"kg {rule.element}/ha",
        findings=Findings(
            none=(),
            untold=_untold(rule, results, crop=crop),
            doubts=(
                (by_rule > amount, f"the rule's cap of {rule.cap_kg_ha:g} kg/ha holds here"),
                (
                    results > rule.breakpoints[-1],
                    "the test lies above the rule's last breakpoint, whose need holds",
                ),
            ),
        ),
        steps=_steps(rule, results, by_rule),
        cautions=(*_element_cautions(rule), *_CAUTIONS),
    )


def _by_breakpoints(rule: OwnRule, results: NDArray[np.float64]) -> NDArray[np.float64]:
    """The need before the cap; NaN below the first breakpoint. [kg/ha]"""
    points, needs = np.array(rule.breakpoints), np.array(rule.needs_kg_ha)
    if rule.shape is OwnShape.LINES:
        return np.asarray(np.interp(results, points, needs, left=np.nan), dtype=float)
    which = np.searchsorted(points, results, side="right") - 1
    is_told = (which >= 0) & np.isfinite(results)
    return np.asarray(np.where(is_told, needs[np.maximum(which, 0)], np.nan))


def _untold(
    rule: OwnRule, results: NDArray[np.float64], *, crop: str
) -> tuple[tuple[NDArray[np.bool_], str], ...]:
    """Where the rule says nothing."""
    test, first = analyte(rule.analyte), rule.breakpoints[0]
    is_other_crop = np.array(bool(rule.crop and crop and rule.crop != crop))
    return (
        (is_other_crop, f"the rule {rule.name!r} was made for {rule.crop}, not for {crop}"),
        (
            np.isnan(results),
            f"no {test.name} result at {rule.depth_cm} cm; a result by another test is never "
            "read in its place",
        ),
        (
            results < first,
            f"the test lies below {first:g} {test.unit}, where the rule {rule.name!r} begins",
        ),
    )


def _steps(
    rule: OwnRule, results: NDArray[np.float64], by_rule: NDArray[np.float64]
) -> tuple[TrailStep, ...]:
    """What was found, and what the rule makes of it."""
    test, unit = analyte(rule.analyte), f"kg {rule.element}/ha"
    told = (_literal(part) for part in (rule.name, rule.source, _points_told(rule)))
    name, source, points = told
    return (
        TrailStep("test", f"{test.name}, mean", test.unit, results, ""),
        TrailStep(
            "by_rule",
            "by the agronomist's own rule",
            unit,
            by_rule,
            f"By the rule {name!r} (in {rule.shape}: {points}) {{test}} {test.unit} of {test.name} "
            f"needs {{by_rule}} {unit} ({source}).",
            grade=Grade.YOURS,
            told=np.isfinite(by_rule),
        ),
    )


def _points_told(rule: OwnRule) -> str:
    """The breakpoints with their needs, in words."""
    pairs = zip(rule.breakpoints, rule.needs_kg_ha, strict=True)
    return ", ".join(f"{printed_value(at)} to {printed_value(need)}" for at, need in pairs)


def _literal(text: str) -> str:
    """A user's words as a sentence prints them, braces and all."""
    return text.replace("{", "{{").replace("}", "}}")


def _element_cautions(rule: OwnRule) -> tuple[str, ...]:
    """What to mind of a trace element."""
    trace = trace_element_of(rule)
    return () if trace is None else trace_cautions(trace)
