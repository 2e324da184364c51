"""What a rule hands back, in one shape for every element and amendment.

The pipeline turns any of them into the need of its zones: amount, unit, reason, trail.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.claims import Claim, all_claims, any_of, first_claim
from vrxapp.agronomy.trail import TrailStep


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class RuleNeed:
    """What each place needs by one rule, with the columns of its trail.

    Parameters
    ----------
    amount : ndarray of float
        The need; zero where there is none, NaN where it cannot be told. [unit]
    unit : str
        Unit of the need, for instance ``"kg K/ha"``.
    reason : ndarray of object
        Text why there is no need or none can be told; empty elsewhere.
    doubt : ndarray of object
        Texts why the result is less sure than it looks; empty elsewhere.
    steps : tuple of TrailStep
        The columns behind the need, each with its source and grade; the last is ``need``.
    cautions : tuple of str
        What to mind when it is spread; labels and law come first.
    """

    amount: NDArray[np.float64]
    unit: str
    reason: NDArray[np.object_]
    doubt: NDArray[np.object_]
    steps: tuple[TrailStep, ...]
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Findings:
    """Where there is no need, where none can be told, and where one is doubtful."""

    none: Sequence[Claim] = ()
    untold: Sequence[Claim] = ()
    doubts: Sequence[Claim] = ()


def settled_need(
    amount: NDArray[np.float64],
    unit: str,
    *,
    findings: Findings,
    steps: Sequence[TrailStep],
    cautions: tuple[str, ...] = (),
) -> RuleNeed:
    """The need after its findings: no need wins over one that cannot be told.

    Parameters
    ----------
    amount : ndarray of float
        The rule's result; NaN where it could not be worked out. [unit]
    unit : str
        Unit of the need.
    findings : Findings
        Claims over the places; the first reason that is so is told, and every doubt.
    steps : sequence of TrailStep
        Columns of the trail before the need; they are spread over all places.
    cautions : tuple of str, default ()
        What to mind when it is spread.

    Returns
    -------
    RuleNeed
        The need, with the step ``need`` added to the trail. [unit]
    """
    known = np.isfinite(amount)
    shape = known.shape
    never = np.zeros(shape, dtype=bool)
    none = [(_over(is_so, shape), text) for is_so, text in findings.none]
    untold = [(_over(is_so, shape), text) for is_so, text in findings.untold]
    doubts = [(_over(is_so, shape), text) for is_so, text in findings.doubts]
    final = np.where(any_of([(never, ""), *untold]), np.nan, amount)
    final = np.asarray(np.where(any_of([(never, ""), *none]), 0.0, final))
    last = TrailStep(
        "need", "need", unit, final, f"Need: {{need}} {unit}.", told=np.isfinite(final)
    )
    return RuleNeed(
        amount=final,
        unit=unit,
        reason=first_claim([*none, *untold, (np.isnan(final), "an input is missing")]),
        doubt=all_claims([(never, ""), *doubts]),
        steps=(*(_spread(step, shape) for step in steps), last),
        cautions=cautions,
    )


def _over(is_so: NDArray[np.bool_], shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """A claim spread over all places."""
    return np.broadcast_to(np.asarray(is_so, dtype=bool), shape)


def _spread(step: TrailStep, shape: tuple[int, ...]) -> TrailStep:
    """A step spread over all places."""
    told = None if step.told is None else _over(step.told, shape)
    values = cast("NDArray[np.float64]", np.broadcast_to(step.values, shape))
    return replace(step, values=values, told=told)
