"""Tools that draw a line or an outline on the map, or point at a place."""

import shapely
from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from vrxapp.color_scheme import Scheme
from vrxapp.desktop.map.map_tool import MapTool, Place, pixels_of
from vrxapp.desktop.map.view_transform import ViewTransform

LINE_PX, RIM_PX, DOT_PX = 2.4, 5.0, 4.0
FILL_ALPHA = 50


class SketchTool(MapTool):
    """Corner by corner: a click adds one, Backspace takes one back, Enter finishes."""

    sketched = Signal(object)  # shapely LineString or Polygon [m]

    def __init__(self, *, is_area: bool, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._is_area = is_area
        self._places: list[Place] = []
        self._pointer: Place | None = None

    def click(self, place: Place, _reach_m: float) -> None:
        """Add a corner."""
        self._places.append(place)
        self._pointer = None
        self.changed.emit()

    def hover(self, place: Place, _reach_m: float) -> None:
        """Stretch the line to the pointer."""
        if self._places:
            self._pointer = place
            self.changed.emit()

    def finish(self, _place: Place | None, _reach_m: float) -> None:
        """Tell what was drawn, if it is enough."""
        if len(self._places) < (3 if self._is_area else 2):
            return
        places, self._places, self._pointer = self._places, [], None
        self.changed.emit()
        make = shapely.Polygon if self._is_area else shapely.LineString
        self.sketched.emit(make(places))

    def step_back(self) -> None:
        """Take the last corner back."""
        if self._places:
            self._places.pop()
            self.changed.emit()

    def cancel(self) -> bool:
        """Forget what was drawn."""
        had_some = bool(self._places)
        self._places, self._pointer = [], None
        self.changed.emit()
        return had_some

    def draw(self, painter: QPainter, view: ViewTransform, scheme: Scheme) -> None:
        """Draw the line so far, its corners, and the way to the pointer."""
        if not self._places:
            return
        ratio = view.pixel_ratio
        trail = [*self._places, *([self._pointer] if self._pointer else [])]
        line = QPolygonF(pixels_of(trail, view))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._is_area and len(trail) > 2:
            fill = QColor(scheme.accent)
            fill.setAlpha(FILL_ALPHA)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(fill)
            painter.drawPolygon(line)
        painter.setBrush(QColor(scheme.halo))
        for color, width in ((scheme.halo, RIM_PX), (scheme.accent, LINE_PX)):
            painter.setPen(QPen(QColor(color), width * ratio))
            painter.drawPolyline(line)
        for corner in pixels_of(self._places, view):
            painter.drawEllipse(corner, DOT_PX * ratio, DOT_PX * ratio)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)


class PointTool(MapTool):
    """A click that tells where it was."""

    pointed = Signal(float, float)  # easting and northing [m]

    def click(self, place: Place, _reach_m: float) -> None:
        """Tell the place."""
        self.pointed.emit(*place)
