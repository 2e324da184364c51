"""From what a rule hands back to the need of the zones, with its results, doubts and reasons."""

import numpy as np

from vrxapp.agronomy.rule_need import RuleNeed
from vrxapp.agronomy.trail import Trail, TrailStep
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.soil.by_place import PlaceResults


def zone_need(
    found: RuleNeed,
    results: tuple[PlaceResults, ...] = (),
    confidence: tuple[TrailStep, ...] = (),
) -> ZoneNeed:
    """The need of each zone, with everything that is to be told of it.

    Parameters
    ----------
    found : RuleNeed
        What the rule worked out, one value a zone.
    results : tuple of PlaceResults, optional
        The laboratory's results that it read, to be told first.
    confidence : tuple of TrailStep, optional
        How sure the class is, to be told after the rule's own steps.
    """
    told = ~np.isnan(found.amount)
    *steps, last = found.steps
    return ZoneNeed(
        found.amount,
        found.unit,
        np.where(told, "", found.reason).astype(str),
        Trail((*map(_result_step, results), *steps, *confidence, *_word_steps(found), last)),
        found.cautions,
    )


def _result_step(result: PlaceResults) -> TrailStep:
    """What the laboratory found, in one sentence."""
    key, unit = result.analyte.key, result.analyte.unit
    return TrailStep(
        f"{key}_result",
        f"{result.analyte.name}, mean",
        unit,
        result.mean,
        f"{result.analyte.name} is {{{key}_result}} {unit} ({result.analyte.method}).",
        told=result.count > 0,
    )


def _word_steps(found: RuleNeed) -> tuple[TrailStep, ...]:
    """Why there is no need, and why one is less sure than it looks."""
    none = (found.amount == 0) & (found.reason != "")
    doubtful = (found.doubt != "") & ~np.isnan(found.amount)
    return (
        TrailStep(
            "none_needed",
            "no need",
            "",
            np.where(none, found.reason, "").astype(str),
            "None: {none_needed}.",
            told=none,
        ),
        TrailStep(
            "doubt",
            "doubt",
            "",
            # a doubt that is whole sentences brings its own full stop
            np.char.rstrip(np.where(doubtful, found.doubt, "").astype(str), "."),
            "Mind: {doubt}.",
            told=doubtful,
        ),
    )
