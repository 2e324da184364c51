"""Needs of the samples of a lab sheet alone, with no map: each sample is a place."""

import numpy as np

from vrxapp.prescription.lime_by_zone import lime_analytes, lime_by_zone
from vrxapp.prescription.phosphorus_by_zone import phosphorus_by_zone
from vrxapp.prescription.pipeline import LIME_DEPTH_CM
from vrxapp.prescription.zone_need import ZoneNeed
from vrxapp.season import CropPlan, LimePlan, PhosphorusPlan
from vrxapp.soil.by_place import PlaceResults, results_by_place
from vrxapp.soil.results_table import ResultsTable


def samples_of(tests: ResultsTable) -> tuple[str, ...]:
    """The samples of a sheet, each once, in the order in which they stand there."""
    return tuple(dict.fromkeys(tests.sample_ids))


def sheet_phosphorus(tests: ResultsTable, plan: PhosphorusPlan, crop: CropPlan) -> ZoneNeed:
    """Phosphorus needs of each sample, by the same rule as on a map. [kg P/ha]"""
    critical = plan.critical
    return phosphorus_by_zone(
        _results(tests, critical.analyte, critical.depth_cm),
        _results(tests, "pbi", critical.depth_cm),
        plan,
        crop,
    )


def sheet_lime(tests: ResultsTable, plan: LimePlan) -> ZoneNeed:
    """Lime needs of each sample, by the same rule as on a map. [t CaCO3/ha]"""
    results = tuple(_results(tests, key, LIME_DEPTH_CM) for key in lime_analytes(plan))
    return lime_by_zone(results, plan, count=len(samples_of(tests)))


def _results(tests: ResultsTable, analyte_key: str, depth_cm: str) -> PlaceResults:
    """Results of one analyte, one place a sample."""
    index = {sample: place for place, sample in enumerate(samples_of(tests))}
    places = np.array([index[sample] for sample in tests.sample_ids], dtype=np.intp)
    return results_by_place(
        tests, analyte_key, place_of_row=places, place_count=len(index), depth_cm=depth_cm
    )
