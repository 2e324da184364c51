"""What the user decides of a sample plan, apart from how it is worked out."""

import math
from dataclasses import dataclass

from vrxapp.ground.ground_points import GroundPoint
from vrxapp.ground.sample_positions import SamplingDesign

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
