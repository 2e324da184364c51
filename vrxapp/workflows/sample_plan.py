"""A sample plan of a season: where, how many cores, in which order."""

import math
from dataclasses import dataclass

import numpy as np
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import MissingInputError
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind
from vrxapp.ground.sample_plan import BagRules, SamplePlan, sample_plan
from vrxapp.ground.sampling_design import (
    SamplePositions,
    SamplingDesign,
    positions_by_zone,
    positions_on_transects,
    positions_spread,
    sampling_ground,
)
from vrxapp.season import Season
from vrxapp.soil.sampling_size import cores_needed_few

USUAL_CV_PERCENT = 50.0
USUAL_ERROR_PERCENT = 20.0
"""Together 27 cores, within the 20 to 30 that are published for such ground [oliver-grdc]."""


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
    return sample_plan(
        positions,
        season.zones,
        paddock=(season.paddock.name, season.paddock.crs),
        bags=BagRules(_cores(settings), settings.is_bulked_by_zone, settings.depth_cm),
        points=points,
        start=start,
    )


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
