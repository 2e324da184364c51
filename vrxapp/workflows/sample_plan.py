"""A sample plan of a season: where, how many cores, in which order."""

import math
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import InputFileError, MissingInputError
from vrxapp.files.sample_plan_files import SUFFIXES, write_sample_plan
from vrxapp.files.sample_sheet import write_sample_sheet
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind
from vrxapp.ground.sample_plan import BagRules, SamplePlan, bags_of, sample_plan
from vrxapp.ground.sampling_design import (
    SamplePositions,
    SamplingDesign,
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

USUAL_CV_PERCENT = 50.0
USUAL_ERROR_PERCENT = 20.0
"""Together 27 cores, within the 20 to 30 that are published for such ground [oliver-grdc]."""
PAGE_SUFFIX = ".html"
PLAN_SUFFIXES = (PAGE_SUFFIX, *SUFFIXES)


@dataclass(frozen=True, slots=True)
class SampleSettings:
    """What the user decides.

    Parameters
    ----------
    design : SamplingDesign
        How positions are chosen.
    stops : int
        By zone: in each zone; spread: in all; on transects: on each line.
    lines : int
        Transects.
    bearing_degree : float
        Of transects, clockwise from grid north. [degrees]
    is_bulked_by_zone : bool
        Whether the stops of a zone go into one bag.
    cores : int or None
        Cores of a sample; None works them out from the next two.
    cv_percent, error_percent : float
        Spread of single cores, and the error of the mean that is borne, at 95 %. [%]
    depth_cm : str
        Layer, such as ``0-10``. [cm]
    edge_m : float
        Distance kept from the boundary. [m]
    seed : int
        For random starts.
    points : tuple of GroundPoint
        Gate and others beside those of the season; the walk begins at the first gate.
    band_spacing_m : float
        Distance between bands of earlier fertiliser; NaN where it was spread. [m]
    """

    design: SamplingDesign = SamplingDesign.BY_ZONE
    stops: int = 8
    lines: int = 3
    bearing_degree: float = 0.0
    is_bulked_by_zone: bool = True
    cores: int | None = None
    cv_percent: float = USUAL_CV_PERCENT
    error_percent: float = USUAL_ERROR_PERCENT
    depth_cm: str = ""
    edge_m: float = 20.0
    seed: int = 0
    points: tuple[GroundPoint, ...] = ()
    band_spacing_m: float = math.nan


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
