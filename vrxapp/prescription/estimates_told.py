"""A need that reads an estimate says so in its trail, whichever rule it is of."""

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from vrxapp.agronomy.trail import Trail, TrailStep
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.soil.by_place import PlaceResults

Read = TypeVar("Read")
Plans = TypeVar("Plans")


def estimates_told(
    need: Callable[[Callable[[Read], PlaceResults], Plans, int], ZoneNeed],
) -> Callable[[Callable[[Read], PlaceResults], Plans, int], ZoneNeed]:
    """The same rule, with a first step in its trail for each result that is an estimate.

    Parameters
    ----------
    need : callable
        From results, plans and the number of places to the need.
    """

    def told(results: Callable[[Read], PlaceResults], plans: Plans, count: int) -> ZoneNeed:
        read: dict[str, PlaceResults] = {}

        def noted(wanted: Read) -> PlaceResults:
            found = results(wanted)
            if found.basis:
                read[found.analyte.key] = found
            return found

        found = need(noted, plans, count)
        if not read:
            return found
        return replace(found, trail=Trail((*map(_step, read.values()), *found.trail.steps)))

    return told


def _step(result: PlaceResults) -> TrailStep:
    """That a result is an estimate, at the places that have one."""
    name = f"{result.analyte.key}_estimate"
    return TrailStep(
        name,
        f"{result.analyte.name}, an estimate",
        result.analyte.unit,
        result.mean,
        f"Mind: {result.analyte.name} of {{{name}}} {result.analyte.unit} is an estimate, "
        f"{result.basis}.",
        told=result.count > 0,
    )
