"""Guidance lines: what a machine steers along, and how far apart its passes and wheels are."""

import math
from dataclasses import dataclass

import numpy as np
import pyproj
import shapely

from vrxapp.errors import GroundError

WIDEST_M = 100.0
_ELLIPSOID = pyproj.Geod(ellps="GRS80")


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class GuidanceLine:
    """One line of one machine.

    Parameters
    ----------
    name : str
        What people call it.
    machine : str
        Whose it is, in the user's words; empty for any.
    line : shapely LineString
        Straight from A to B, or a curve, in the paddock's coordinates. [m]
    swath_m : float
        From one pass to the next; NaN where it is not known. [m]
    wheel_track_m : float
        From the middle of one wheel track to the next across the machine; NaN where it is not
        known. [m]
    """

    name: str
    machine: str
    line: shapely.LineString
    swath_m: float = math.nan
    wheel_track_m: float = math.nan

    def __post_init__(self) -> None:
        """Refuse a line of no length, and spacings that cannot be."""
        if self.line.geom_type != "LineString" or not self.line.length > 0.0:
            raise GroundError(
                f"the guidance line {self.name!r} leads nowhere", mend="Give it two points or more"
            )
        for what, value in (("swath", self.swath_m), ("wheel track", self.wheel_track_m)):
            if not (math.isnan(value) or 0.0 < value <= WIDEST_M):
                raise GroundError(
                    f"a {what} of {value:g} m of {self.name!r} is not possible",
                    mend=f"Give it in metres, above 0 up to {WIDEST_M:g}, or leave it out",
                )


def is_straight(guidance: GuidanceLine) -> bool:
    """Whether it is a straight line from A to B."""
    return len(guidance.line.coords) == 2


def bearing_degree(guidance: GuidanceLine) -> float:
    """Bearing from the first point to the last, clockwise from grid north, 0 to below 360. [°]

    Examples
    --------
    >>> bearing_degree(GuidanceLine("A", "", shapely.LineString([(0, 0), (10, 10)])))
    45.0
    """
    first, last = np.array(guidance.line.coords[0]), np.array(guidance.line.coords[-1])
    east, north = (last - first)[:2]
    return float(np.degrees(np.arctan2(east, north)) % 360.0)


def line_along_heading(
    longitude_degree: float, latitude_degree: float, heading_degree: float, *, length_m: float
) -> shapely.LineString:
    """A straight line from a place along a true heading, in longitude and latitude. [degrees]"""
    there = _ELLIPSOID.fwd(longitude_degree, latitude_degree, heading_degree, length_m)
    return shapely.LineString([(longitude_degree, latitude_degree), there[:2]])
