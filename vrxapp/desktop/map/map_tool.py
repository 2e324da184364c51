"""What clicks, drags and keys on the map do while a tool is in hand; the base does nothing."""

from PySide6.QtCore import QObject, QPointF, Signal
from PySide6.QtGui import QPainter

from vrxapp.color_scheme import Scheme
from vrxapp.desktop.map.view_transform import ViewTransform

Place = tuple[float, float]
"""Easting and northing. [m]"""


class MapTool(QObject):
    """A tool for the map; it only tells what was drawn, and changes nothing itself."""

    changed = Signal()  # what it shows is new
    ended = Signal()  # the user has put it away

    def press(self, _place: Place, _reach_m: float) -> bool:
        """Whether it takes hold of something here; else a drag pushes the map."""
        return False

    def drag(self, place: Place) -> None:
        """Carry what it holds."""

    def release(self, place: Place, reach_m: float) -> None:
        """Let go of what it holds."""

    def hover(self, place: Place, reach_m: float) -> None:
        """Follow the pointer."""

    def click(self, place: Place, reach_m: float) -> None:
        """Take a click that was no drag."""

    def finish(self, place: Place | None, reach_m: float) -> None:
        """Take a double click at a place, or Enter at none."""

    def step_back(self) -> None:
        """Take Backspace or Delete."""

    def at_cross(self, place: Place, reach_m: float) -> None:
        """Take the space bar, which stands for a click in the middle of the map."""
        self.click(place, reach_m)

    def cancel(self) -> bool:
        """Give up what was begun; False if there was nothing."""
        return False

    def draw(self, painter: QPainter, view: ViewTransform, scheme: Scheme) -> None:
        """Draw over the map, in device pixels."""


def pixels_of(places: list[Place], view: ViewTransform) -> list[QPointF]:
    """Device pixels of places."""
    return [QPointF(*view.to_pixels(*place)) for place in places]
