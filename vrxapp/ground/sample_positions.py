"""Positions to sample, and how they can be chosen."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray


class SamplingDesign(StrEnum):
    """How positions are chosen."""

    BY_ZONE = "by zone"
    SPREAD = "spread"
    TRANSECTS = "transects"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class SamplePositions:
    """Positions to sample, in no order yet.

    Parameters
    ----------
    easting_m, northing_m : ndarray of float
        Where, in the paddock's coordinates. [m]
    zone_row : ndarray of int
        Zone of each, -1 for none.
    design : SamplingDesign
        How they were chosen.
    seed : int
        Of the random starts; the same gives the same positions.
    """

    easting_m: NDArray[np.float64]
    northing_m: NDArray[np.float64]
    zone_row: NDArray[np.intp]
    design: SamplingDesign
    seed: int
