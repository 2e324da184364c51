"""What a map of a soil result says of each zone: its mean, how well known, how likely short."""

import math
from dataclasses import dataclass

import numpy as np

from vrxapp.agronomy.confidence import chance_below, laboratory_cv_percent, mean_uncertainty
from vrxapp.ground.interpolation_choice import Interpolation
from vrxapp.ground.kriged_zones import kriged_zone_means
from vrxapp.ground.one_thread import one_matrix_thread
from vrxapp.ground.result_scale import Scale
from vrxapp.ground.zone_means import ZoneMeans, zone_means, zone_rows, zone_sample_counts
from vrxapp.season import Season
from vrxapp.units import PERCENT
from vrxapp.workflows.interpolate import SoilMap


@dataclass(frozen=True, slots=True)
class MappedZone:
    """One zone of a map.

    Parameters
    ----------
    zone : str
        Its name.
    mean, standard_error : float
        Mean of its ground and the standard error of that mean; NaN where it cannot be told.
        [the test's unit]
    chance_percent : float
        Chance of the zone's mean to lie below the critical value, laboratories' differences
        included; NaN without one or without a standard error. [%]
    samples : int
        How many lie in it.
    """

    zone: str
    mean: float
    standard_error: float
    chance_percent: float
    samples: int


def zones_of_map(season: Season, soil: SoilMap) -> tuple[MappedZone, ...]:
    """What a map says of each zone; nothing for one zone, one mean, or inverse distance.

    Of a kriged map each zone is kriged as a block. Where logarithms were kriged, the mean is
    that of its cells and its standard error cannot be told.
    """
    kriged = soil.study.way is Interpolation.KRIGING
    if len(season.zones.ids) < 2 or not (kriged or soil.study.way is Interpolation.ZONE_MEANS):
        return ()
    found = _kriged(season, soil) if kriged else _of_samples(season, soil)
    counts = soil.study.samples.values.size if kriged else found.samples
    known = mean_uncertainty(
        np.maximum(found.mean, 0.0),
        found.standard_error,
        counts,
        laboratory_cv_percent=laboratory_cv_percent(soil.study.analyte.key),
    )
    chance = PERCENT * chance_below(found.mean, known, critical=soil.grain.critical)
    chance = np.where(np.isnan(found.standard_error), np.nan, chance)
    columns = (found.mean, found.standard_error, chance, found.samples)
    rows = zip(season.zones.names, *(column.tolist() for column in columns), strict=True)
    return tuple(MappedZone(*row) for row in rows)


def zone_in_words(zone: MappedZone, soil: SoilMap) -> str:
    """One zone of a map in a line."""
    unit = soil.study.analyte.unit
    if math.isnan(zone.mean):
        return f"{zone.zone}: nothing is known."
    error = "" if math.isnan(zone.standard_error) else f", standard error {zone.standard_error:.2g}"
    chance = ""
    if not math.isnan(zone.chance_percent):
        chance = f", {zone.chance_percent:.0f} % chance below {soil.grain.critical:g}"
    return f"{zone.zone}: mean {zone.mean:.3g} {unit}".rstrip() + f"{error}{chance}."


def _of_samples(season: Season, soil: SoilMap) -> ZoneMeans:
    """Mean and standard error of each zone's own samples."""
    samples, zones = soil.study.samples, season.zones
    rows = zone_rows(zones, samples.easting_m, samples.northing_m)
    return zone_means(samples.values, rows, len(zones.ids))


def _kriged(season: Season, soil: SoilMap) -> ZoneMeans:
    """Mean and standard error of each zone out of the kriged map."""
    study, zones, grid = soil.study, season.zones, soil.cells.grid
    assert study.fitted is not None
    if study.scale is Scale.PLAIN:
        with one_matrix_thread():
            return kriged_zone_means(study.samples, study.fitted.variogram, zones, grid)
    cells = zone_means(
        soil.cells.mean[grid.inside], zone_rows(zones, *grid.middles()), len(zones.ids)
    )
    samples = study.samples
    counts = zone_sample_counts(zones, samples.easting_m, samples.northing_m)
    return ZoneMeans(cells.mean, np.full(len(zones.ids), np.nan), counts)
