"""A sample plan of a season: where, how many cores, in which order."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import InputFileError, MissingInputError, Note
from vrxapp.files.sample_plan_files import SUFFIXES, write_sample_plan
from vrxapp.files.sample_sheet import write_sample_sheet
from vrxapp.ground.ground_points import GroundPointKind
from vrxapp.ground.paddock import excluded_ground
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.ground.sample_plan import BagRules, SamplePlan, bags_of, sample_plan
from vrxapp.ground.sample_positions import SamplePositions, SamplingDesign
from vrxapp.ground.sampling_design import (
    positions_by_zone,
    positions_on_transects,
    positions_spread,
    sampling_ground,
)
from vrxapp.season import Season
from vrxapp.soil.sampling_size import (
    composite_cv_percent,
    cores_between_bands,
    cores_needed_few,
)
from vrxapp.workflows.sample_settings import SampleSettings

PAGE_SUFFIX = ".html"
PLAN_SUFFIXES = (PAGE_SUFFIX, *SUFFIXES)
_SURE_M = 0.1
"""A stop on an edge is on either side. [m]"""


def planned_samples(season: Season, settings: SampleSettings) -> SamplePlan:
    """The sample plan of a season.

    Raises
    ------
    VrxError
        If a figure cannot be, or a zone has no ground that may be sampled.
    """
    ground = sampling_ground(season.paddock, edge_m=settings.edge_m)
    positions = _positions(season, settings, ground)
    points = (*season.ground_points, *settings.points)
    gates = [p for p in points if p.kind is GroundPointKind.GATE]
    start = (gates[0].easting_m, gates[0].northing_m) if gates else None
    cores = _cores(settings)
    plan = sample_plan(
        positions,
        season.zones,
        paddock=(season.paddock.name, season.paddock.crs),
        bags=BagRules(cores, settings.is_bulked_by_zone, settings.depth_cm),
        points=points,
        start=start,
    )
    return replace(plan, advice=_advice(settings, cores, plan))


def write_plan_file(season: Season, plan: SamplePlan, path: Path) -> None:
    """Write a plan as a page to print, or for phone, bags or map, as the suffix says.

    Raises
    ------
    InputFileError
        If the suffix is another.
    ReadBackError
        If what was written is not the plan; then nothing is put in place.
    WriteError
        If it cannot be written.
    """
    require_plan_suffix(path)
    if plan is season.sample_plan:
        plan = replace(plan, points=season.ground_points)  # those there are now
    if path.suffix.lower() == PAGE_SUFFIX:
        write_sample_sheet(plan, path, paddock=season.paddock, zones=season.zones)
    else:
        write_sample_plan(plan, path, crs=season.paddock.crs)


def require_plan_suffix(path: Path) -> None:
    """Refuse a file name that no format of a plan has.

    Raises
    ------
    InputFileError
        If it has another suffix.
    """
    if path.suffix.lower() not in PLAN_SUFFIXES:
        raise InputFileError(
            f"a sample plan is not written as {path.suffix!r}",
            mend=f"End the name in {', '.join(PLAN_SUFFIXES)}",
            file=path.name,
        )


def plan_doubts(season: Season, plan: SamplePlan) -> tuple[Note, ...]:
    """What of a kept plan no longer fits the ground: it was drawn before an edit.

    Parameters
    ----------
    season : Season
        The ground as it is now.
    plan : SamplePlan
        The plan.

    Returns
    -------
    tuple of Note
        Stops in ground that is excluded now, and stops whose zone is another now.
    """
    lon_lat = shapely.points(plan.longitude_degree, plan.latitude_degree)
    spots = transformed(lon_lat, from_crs=LON_LAT, to_crs=season.paddock.crs)
    left = shapely.difference(season.paddock.boundary, excluded_ground(season.paddock))
    outside = int(np.sum(shapely.distance(left, spots) > _SURE_M))
    zone_of = dict(zip(season.zones.names, season.zones.shapes, strict=True))
    moved = sum(
        bool(name) and (name not in zone_of or zone_of[name].distance(spot) > _SURE_M)
        for name, spot in zip(plan.zone_names, spots, strict=True)
    )
    notes = []
    if outside:
        notes.append(
            Note(
                f"{outside} stops of the sample plan lie in ground that is excluded now",
                mend="Plan again, or leave them out",
            )
        )
    if moved:
        notes.append(
            Note(
                f"{moved} stops of the sample plan lie in another zone now, or it is called "
                "otherwise",
                mend="Results join to the zone in which the stops lie; plan again if nothing was "
                "taken yet",
            )
        )
    return tuple(notes)


def _advice(settings: SampleSettings, cores: int, plan: SamplePlan) -> tuple[str, ...]:
    """What the number of cores holds, and how to take them over bands."""
    said = []
    if math.isfinite(settings.cv_percent):
        taken = min(bag.cores for bag in bags_of(plan))
        spread = float(composite_cv_percent([settings.cv_percent], [taken])[0])
        said.append(
            f"Where single cores differ by a CV of {settings.cv_percent:g} %, a well mixed bag "
            f"of {taken} cores differs from the next by a CV of {spread:.0f} %."
        )
    if settings.cores is None:
        said.append(
            f"{cores} cores or more hold the error of the mean to {settings.error_percent:g} % "
            "at 95 % confidence."
        )
    if math.isfinite(settings.band_spacing_m):
        between = max(round(float(cores_between_bands([settings.band_spacing_m])[0])), 1)
        said.append(
            f"Fertiliser lies in bands {settings.band_spacing_m * 100:g} cm apart: for each core "
            f"in a band take {between} between the bands. Where the bands cannot be found, take "
            "two sets half a spacing apart and go by the lower result."
        )
    return tuple(said)


def _positions(season: Season, settings: SampleSettings, ground: BaseGeometry) -> SamplePositions:
    if settings.design is SamplingDesign.BY_ZONE:
        return positions_by_zone(
            season.zones, ground, stops_per_zone=settings.stops, seed=settings.seed
        )
    if settings.design is SamplingDesign.SPREAD:
        return positions_spread(season.zones, ground, stops=settings.stops, seed=settings.seed)
    return positions_on_transects(
        season.zones,
        ground,
        lines=settings.lines,
        per_line=settings.stops,
        bearing_degree=settings.bearing_degree,
    )


def _cores(settings: SampleSettings) -> int:
    """Cores of a sample: as told, or enough for the error that is borne."""
    if settings.cores is not None:
        return settings.cores
    figures = (settings.cv_percent, settings.error_percent)
    if not all(math.isfinite(figure) for figure in figures):
        raise MissingInputError(
            "the number of cores needs the spread of cores and the error that is borne",
            mend="Give --cores, or --cv and --error",
        )
    return int(cores_needed_few(np.array([figures[0]]), figures[1])[0])
