"""Needs of the samples of a lab sheet alone, with no map: each sample is a place."""

from dataclasses import dataclass

import numpy as np

from vrxapp.need_plans import (
    CropPlan,
    GypsumPlan,
    LimePlan,
    NitrogenPlan,
    NutrientPlan,
    OwnRulePlan,
    PhosphorusPlan,
    Purpose,
    TracePlan,
)
from vrxapp.prescription.need_rules import LayerRead, NeedPlans, need_rule
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.soil.by_layer import results_in_layer
from vrxapp.soil.by_place import PlaceResults
from vrxapp.soil.results_table import ResultsTable


@dataclass(frozen=True, slots=True)
class SheetPlans:
    """How needs are worked out where there is no season."""

    crop: CropPlan
    phosphorus: PhosphorusPlan
    lime: LimePlan | None = None
    gypsum: GypsumPlan | None = None
    nitrogen: NitrogenPlan | None = None
    nutrients: tuple[NutrientPlan, ...] = ()
    traces: tuple[TracePlan, ...] = ()
    own_rules: tuple[OwnRulePlan, ...] = ()


def samples_of(tests: ResultsTable) -> tuple[str, ...]:
    """The samples of a sheet, each once, in the order in which they stand there."""
    return tuple(dict.fromkeys(tests.sample_ids))


def sheet_need(tests: ResultsTable, plans: NeedPlans, purpose: Purpose) -> ZoneNeed:
    """Needs of each sample, by the same rule as on a map.

    Raises
    ------
    MissingInputError
        If the plans leave something out that the rule must be told.
    """
    index = {sample: place for place, sample in enumerate(samples_of(tests))}
    places = np.array([index[sample] for sample in tests.sample_ids], dtype=np.intp)

    def results(read: LayerRead) -> PlaceResults:
        return results_in_layer(
            tests,
            read.analyte,
            place_of_row=places,
            place_count=len(index),
            depth_cm=read.depth_cm,
        )

    return need_rule(purpose).need(results, plans, len(index))
