"""Ground that gets nothing: dams, creeks, dwellings, each with the setback around it.

The distance is the user's: local codes, labels and licences decide it, not this program.
"""

from dataclasses import dataclass
from enum import StrEnum

from shapely.geometry.base import BaseGeometry

from vrxapp.errors import GroundError

SETBACK_CAUTION = (
    "Setbacks from water, dwellings and trees are the ones you entered: the product's label, "
    "local codes and licences decide the distance, and may ask for more."
)


class ExclusionKind(StrEnum):
    """What an exclusion is."""

    WATERCOURSE = "watercourse"
    DAM = "dam"
    DWELLING = "dwelling"
    TREES = "trees"
    OTHER = "other"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Exclusion:
    """A shape that is left out, widened by its setback.

    Parameters
    ----------
    name : str
        What people call it.
    kind : ExclusionKind
        What it is.
    shape : shapely geometry
        Polygon, line or point in the paddock's projected coordinates. [m]
    setback_m : float
        Distance kept from the shape's edge, zero or more. [m]
    """

    name: str
    kind: ExclusionKind
    shape: BaseGeometry
    setback_m: float

    def __post_init__(self) -> None:
        """Refuse a setback that is no distance, and a line or point without one."""
        if not 0.0 <= self.setback_m < 10_000.0:
            raise GroundError(
                f"the setback of {self.name!r} is {self.setback_m:g} m",
                mend="Give a distance from 0 to 10,000 m",
            )
        if self.setback_m == 0.0 and self.shape.area == 0.0:
            raise GroundError(
                f"{self.name!r} is a line or a point without a setback, so it excludes nothing",
                mend="Give it a setback in metres (setback_m)",
            )


def excluded_shape(exclusion: Exclusion) -> BaseGeometry:
    """The ground that an exclusion takes out: its shape and the setback around it. [m]"""
    return exclusion.shape.buffer(exclusion.setback_m) if exclusion.setback_m else exclusion.shape
