"""Edits of what earlier years left on a paddock."""

from dataclasses import replace

from vrxapp.agronomy.paddock_history import PaddockHistory, legume_offer
from vrxapp.errors import MissingInputError
from vrxapp.season import Season


def set_history(season: Season, history: PaddockHistory | None) -> Season:
    """Note what earlier years left, or nothing."""
    if repr(season.history) == repr(history):  # NaN is never equal to itself
        return season
    return replace(season, history=history)


def use_legume_nitrogen(season: Season) -> Season:
    """Take up the nitrogen that the legume before is offered with.

    Raises
    ------
    MissingInputError
        If nothing is offered, or no plan says how nitrogen is worked out.
    """
    offer = legume_offer(season.history) if season.history is not None else None
    if offer is None:
        raise MissingInputError(
            "no legume nitrogen is offered",
            mend="Tell the legume of the year before, and its grain or the shoots it left",
        )
    if season.nitrogen is None:
        raise MissingInputError(
            "nobody has said yet how nitrogen is worked out",
            mend="Choose that first (on the command line: vrxapp plan nitrogen)",
        )
    if season.nitrogen.legume_n_kg_ha == offer.n_kg_ha:
        return season
    return replace(season, nitrogen=replace(season.nitrogen, legume_n_kg_ha=offer.n_kg_ha))
