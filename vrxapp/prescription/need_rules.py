"""Which rule serves which purpose: what it reads from the laboratory's results, and its need.

A rule never knows whether its places are zones of a map or samples of a sheet.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from vrxapp.errors import MissingInputError
from vrxapp.need_plans import CropPlan, LimePlan, PhosphorusPlan, Purpose
from vrxapp.prescription.lime_by_zone import lime_analytes, lime_by_zone
from vrxapp.prescription.phosphorus_by_zone import phosphorus_by_zone
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.soil.by_place import PlaceResults

LIME_DEPTH_CM = "0-10"
"""The layer that lime is worked out for; deeper layers are limed in their own right."""


class NeedPlans(Protocol):
    """How needs are worked out: a season has it, and so has a lab sheet without a map."""

    @property
    def crop(self) -> CropPlan:
        """What is grown."""

    @property
    def phosphorus(self) -> PhosphorusPlan:
        """How phosphorus is worked out."""

    @property
    def lime(self) -> LimePlan | None:
        """How lime is worked out; None until a method has been chosen."""


@dataclass(frozen=True, slots=True)
class LayerRead:
    """A soil test and the layer that a rule reads it from. [cm]"""

    analyte: str
    depth_cm: str


ResultsOf = Callable[[LayerRead], PlaceResults]
"""Results of a soil test over the places, from one layer."""


@dataclass(frozen=True, slots=True)
class NeedRule:
    """One purpose: what it reads, and how the need comes of it.

    Parameters
    ----------
    reads : callable
        From the plans to the soil tests and layers, those that decide first.
    need : callable
        From the results, the plans and the number of places to the need.
    """

    reads: Callable[[NeedPlans], tuple[LayerRead, ...]]
    need: Callable[[ResultsOf, NeedPlans, int], ZoneNeed]


def need_rule(purpose: Purpose) -> NeedRule:
    """The rule that serves a purpose."""
    return _RULES[purpose]


def _phosphorus_reads(plans: NeedPlans) -> tuple[LayerRead, ...]:
    critical = plans.phosphorus.critical
    return (LayerRead(critical.analyte, critical.depth_cm),)


def _phosphorus_need(results: ResultsOf, plans: NeedPlans, _count: int) -> ZoneNeed:
    (test,) = _phosphorus_reads(plans)
    pbi = results(LayerRead("pbi", test.depth_cm))
    return phosphorus_by_zone(results(test), pbi, plans.phosphorus, plans.crop)


def _lime_reads(plans: NeedPlans) -> tuple[LayerRead, ...]:
    keys = lime_analytes(plans.lime) if plans.lime is not None else ()
    return tuple(LayerRead(key, LIME_DEPTH_CM) for key in keys)


def _lime_need(results: ResultsOf, plans: NeedPlans, count: int) -> ZoneNeed:
    if plans.lime is None:
        raise MissingInputError(
            "no method for lime has been chosen; there is no default",
            mend="Choose one in the Rates stage (on the command line: --lime-method)",
        )
    return lime_by_zone(tuple(map(results, _lime_reads(plans))), plans.lime, count=count)


_RULES = {
    Purpose.PHOSPHORUS: NeedRule(_phosphorus_reads, _phosphorus_need),
    Purpose.LIME: NeedRule(_lime_reads, _lime_need),
}
