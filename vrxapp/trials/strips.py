"""Check strips: a line and a width of ground that is left untreated, to compare with."""

from dataclasses import dataclass

from shapely import LineString
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import GroundError


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class CheckStrip:
    """An untreated strip.

    Parameters
    ----------
    name : str
        What people call it.
    line : shapely LineString
        Its middle line in the paddock's projected coordinates. [m]
    width_m : float
        Its width across, above zero; best a whole number of swaths. [m]
    """

    name: str
    line: LineString
    width_m: float

    def __post_init__(self) -> None:
        """Refuse a strip that covers no ground."""
        if not 0.0 < self.width_m < 1_000.0 or self.line.length <= 0.0:
            raise GroundError(
                f"the strip {self.name!r} covers no ground: {self.width_m:g} m wide, "
                f"{self.line.length:.0f} m long",
                mend="Give it a line with two different ends and a width from 0 to 1000 m",
            )


def strip_shape(strip: CheckStrip) -> BaseGeometry:
    """The ground of a strip: its line widened to both sides, with square ends. [m]"""
    return strip.line.buffer(strip.width_m / 2.0, cap_style="flat", join_style="mitre")
