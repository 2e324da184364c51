"""The rate map: shapes and rates, what every prescription file reads back to."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from vrxapp.ground.geodesic_area import lon_lat_area_ha


class GroundUse(StrEnum):
    """What happens on a part of the map."""

    SPREAD = "spread"
    NO_RATE = "no rate"
    CHECK_STRIP = "check strip"
    EXCLUDED = "excluded"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class RateMap:
    """Parts of a paddock with the rate that each gets, in longitude and latitude.

    Parameters
    ----------
    product : str
        What is spread.
    unit : str
        Unit of the rates, ``"kg/ha"``.
    shapes : ndarray of shapely Polygon
        Parts without overlap, WGS 84, longitude first. [degrees]
    labels : tuple of str
        Zone (or what else) each part belongs to.
    uses : ndarray of str
        What happens there, see `GroundUse`.
    rates : ndarray of float
        Rate of each part, zero or more. [unit]
    """

    product: str
    unit: str
    shapes: NDArray[np.object_]
    labels: tuple[str, ...]
    uses: NDArray[np.str_]
    rates: NDArray[np.float64]


def total_kg(rate_map: RateMap) -> float:
    """Product that the map asks for: the sum of rate times geodesic area. [kg]"""
    return float(np.sum(rate_map.rates * lon_lat_area_ha(rate_map.shapes)))
