"""What earlier years left, beside the need that it bears on; no number of it enters a rate."""

import math

from vrxapp.agronomy.figures import Figure, FigureTable, figure
from vrxapp.agronomy.paddock_history import (
    LimeSpread,
    PaddockHistory,
    legume_offer,
    pure_lime_t_ha,
    reacting_limes,
)
from vrxapp.agronomy.trail import TrailStep, filled, printed_value
from vrxapp.need_plans import Purpose
from vrxapp.season import Season
from vrxapp.units import PERCENT


def history_steps(season: Season, purpose: Purpose) -> tuple[TrailStep, ...]:
    """What the paddock's history says to a need, each sentence with its source.

    Lime that may still react and phosphorus of the year before are told as doubts; the
    nitrogen of a legume is offered until the nitrogen plan counts it.
    """
    if season.history is None:
        return ()
    if purpose is Purpose.LIME:
        told = _lime(season.history)
    elif purpose is Purpose.PHOSPHORUS:
        told = _phosphorus(season.history)
    elif purpose is Purpose.NITROGEN:
        told = _legume(season, season.history)
    else:
        told = []
    count = len(season.zones.ids)
    return tuple(
        TrailStep(
            f"history_{number}",
            "from earlier years",
            by.unit,
            filled(by.value, count),
            sentence,
            source=by.source,
            grade=by.grade,
        )
        for number, (sentence, by) in enumerate(told, start=1)
    )


def _lime(history: PaddockHistory) -> list[tuple[str, Figure]]:
    """Lime that the soil test may not show yet."""
    reacting = figure(FigureTable.HISTORY, "lime_reaction")
    told = [
        (
            f"Mind: {_lime_words(lime)}. Its coarser particles may react for {reacting.low:g} to "
            f"{reacting.high:g} years and longer, and if it was spread after the soil was tested "
            "the test shows none of it: the need may be too high. Nothing is taken off; test "
            "again before liming.",
            reacting,
        )
        for lime in reacting_limes(history)
    ]
    on_top = figure(FigureTable.HISTORY, "lime_on_top")
    told += [
        (
            f"Mind: the lime of {lime.year} was never worked in. Lime that had lain on top "
            f"undissolved raised the pH by {on_top.value:g} within a year when it was worked in "
            "(one site): look for it in the top few centimetres before you lime again.",
            on_top,
        )
        for lime in history.limes
        if lime.lies_on_top
    ]
    return told


def _lime_words(lime: LimeSpread) -> str:
    """Lime of an earlier year, as pure lime too where its value was told."""
    pure = pure_lime_t_ha(lime)
    text = f"{printed_value(lime.rate_t_ha)} t/ha of lime were spread in {lime.year}"
    if math.isnan(pure):
        return f"{text}, of unknown effective neutralising value"
    return f"{text}, as much as {printed_value(pure)} t/ha of pure lime"


def _phosphorus(history: PaddockHistory) -> list[tuple[str, Figure]]:
    """Phosphorus of the year before, which the soil test already holds."""
    if not history.phosphorus_before_kg_ha > 0:
        return []
    left = figure(FigureTable.HISTORY, "residual_phosphorus")
    return [
        (
            f"The year before got {printed_value(history.phosphorus_before_kg_ha)} kg P/ha. On "
            f"average about {left.value * PERCENT:g} % of what superphosphate does is left after "
            "a year, differing much between sites. A soil test taken since holds it, so nothing "
            "is taken off.",
            left,
        )
    ]


def _legume(season: Season, history: PaddockHistory) -> list[tuple[str, Figure]]:
    """Nitrogen of the legume before, unless the plan counts some already."""
    offer = legume_offer(history)
    if offer is None or (season.nitrogen is not None and season.nitrogen.legume_n_kg_ha > 0):
        return []
    return [
        (
            f"Offered, not counted: the {history.crop_before} before "
            f"({printed_value(history.legume_t_ha)} t/ha) may have left "
            f"{printed_value(offer.n_kg_ha)} kg N/ha ({printed_value(offer.low_kg_ha)} to "
            f"{printed_value(offer.high_kg_ha)}) more than a cereal. Take it up only if no soil "
            "test was taken after it, for such a test finds it.",
            offer.by,
        )
    ]
