"""The critical value that a season's plans hold a soil test against."""

import math

from vrxapp.season import Season


def planned_critical(season: Season, analyte_key: str, depth_cm: str) -> float:
    """Low end of the critical range planned for a test in a layer; NaN where none is.

    A range that follows from the buffering index, and one for another layer, is none.
    """
    phosphorus = season.phosphorus.critical
    known = [(phosphorus.analyte, phosphorus.depth_cm, phosphorus.low_mg_kg)]
    known += [
        (plan.critical.analyte, plan.critical.depth_cm, plan.critical.low)
        for plan in season.nutrients
        if plan.critical is not None
    ]
    return next(
        (low for key, depth, low in known if (key, depth) == (analyte_key, depth_cm)), math.nan
    )
