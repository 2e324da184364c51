"""The paddock: its boundary and what lies inside it that must not be spread."""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import GroundError
from vrxapp.ground.exclusions import Exclusion, excluded_shape


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Paddock:
    """One paddock in projected metres.

    Parameters
    ----------
    name : str
        What people call it.
    crs : str
        Projected coordinate system of all its shapes, for instance ``"EPSG:7855"``.
    boundary : shapely geometry
        Polygon or MultiPolygon; a hole is ground that is not part of the paddock. [m]
    exclusions : tuple of Exclusion
        Ground that gets nothing.
    """

    name: str
    crs: str
    boundary: BaseGeometry
    exclusions: tuple[Exclusion, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a boundary that encloses no ground."""
        if self.boundary.is_empty or self.boundary.area <= 0.0 or not self.boundary.is_valid:
            raise GroundError(
                f"the boundary of {self.name!r} encloses no ground or crosses itself: "
                f"{shapely.is_valid_reason(self.boundary)}",
                mend="Draw it again, or mend it in a GIS",
            )


def excluded_ground(paddock: Paddock) -> BaseGeometry:
    """Everything that the exclusions and their setbacks take out, as one shape. [m]"""
    shapes = np.array([excluded_shape(e) for e in paddock.exclusions], dtype=object)
    return shapely.union_all(shapes)
