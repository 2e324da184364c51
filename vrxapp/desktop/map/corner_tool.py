"""The tool that moves corners of zones, puts new ones in and takes some out."""

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPen

from vrxapp.color_scheme import Scheme
from vrxapp.desktop.map.map_tool import MapTool, Place, pixels_of
from vrxapp.desktop.map.view_transform import ViewTransform
from vrxapp.ground.zone_linework import OUTSIDE, ZoneLinework, edges_of, linework, nodes_of

MOST_CORNERS = 3_000
"""More corners than this in view are not drawn: zoom in to see them."""

CORNER_PX, NODE_PX, LINE_PX = 3.0, 4.5, 2.4


class CornerTool(MapTool):
    """Corners that can be dragged; all zones that have one follow it."""

    moved = Signal(object, object)  # places: where the corner was, and where it goes
    inserted = Signal(object)  # a place on an edge
    removed = Signal(object)  # the place of a corner

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._shapes: NDArray[np.object_] | None = None
        self._lines: ZoneLinework | None = None
        self._is_node = np.array([], dtype=bool)
        self._can_move = np.array([], dtype=bool)
        self._ends = np.empty((0, 2), dtype=np.intp)
        self._near: int | None = None
        self._held: int | None = None
        self._goal: Place | None = None

    def set_shapes(self, shapes: NDArray[np.object_]) -> None:
        """Work on other zones; their linework is made when it is first needed."""
        if shapes is not self._shapes:
            self._shapes, self._lines = shapes, None
            self._near = self._held = self._goal = None
            self.changed.emit()

    def corner_at(self, place: Place, reach_m: float) -> int | None:
        """The corner nearest to a place, if it is within reach.

        Those that shape the paddock's own boundary are none: no edit of zones moves them.
        """
        points = self._known().points
        if not np.any(self._can_move):
            return None
        apart_m = np.where(self._can_move, np.hypot(*(points - place).T), np.inf)
        nearest = int(np.argmin(apart_m))
        return nearest if apart_m[nearest] <= reach_m else None

    def press(self, place: Place, reach_m: float) -> bool:
        """Take hold of a corner."""
        self._held, self._goal = self.corner_at(place, reach_m), None
        return self._held is not None

    def drag(self, place: Place) -> None:
        """Carry the corner; nothing is changed before it is let go."""
        self._goal = place
        self.changed.emit()

    def release(self, place: Place, reach_m: float) -> None:
        """Tell where the corner goes, unless it was hardly moved."""
        held, self._held, self._goal = self._held, None, None
        if held is not None:
            at = self._place_of(held)
            if np.hypot(place[0] - at[0], place[1] - at[1]) > reach_m / 3.0:
                self.moved.emit(at, place)
        self.changed.emit()

    def hover(self, place: Place, reach_m: float) -> None:
        """Mark the corner that a press would take."""
        near = self.corner_at(place, reach_m)
        if self._held is not None:
            self.drag(place)
        elif near != self._near:
            self._near = near
            self.changed.emit()

    def finish(self, place: Place | None, reach_m: float) -> None:
        """Put a corner into the edge that was double-clicked."""
        if place is not None and self.corner_at(place, reach_m / 2.0) is None:
            self.inserted.emit(place)

    def step_back(self) -> None:
        """Take the marked corner out."""
        if self._near is not None and self._held is None:
            self.removed.emit(self._place_of(self._near))

    def at_cross(self, place: Place, reach_m: float) -> None:
        """Take the corner at the cross, or put down there the one that is held."""
        if self._held is None:
            self._near = self.corner_at(place, 2.0 * reach_m)
            self.press(place, 2.0 * reach_m)
            self.changed.emit()
        else:
            self.release(place, reach_m)

    def cancel(self) -> bool:
        """Leave the corner where it was."""
        was_held = self._held is not None
        self._held = self._goal = None
        self.changed.emit()
        return was_held

    def draw(self, painter: QPainter, view: ViewTransform, scheme: Scheme) -> None:
        """Draw the corners in view, the marked one in colour, and the way of a held one."""
        points = self._known().points
        west, south, east, north = view.bounds
        inside = (points[:, 0] > west) & (points[:, 0] < east)
        inside &= (points[:, 1] > south) & (points[:, 1] < north)
        rows = np.flatnonzero(inside & self._can_move)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        marked = self._near if self._held is None else self._held
        for row in rows.tolist() if len(rows) <= MOST_CORNERS else []:
            self._draw_corner(painter, view, scheme, row, is_marked=row == marked)
        if self._held is not None and self._goal is not None:
            self._draw_way(painter, view, scheme)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)

    def _draw_corner(
        self, painter: QPainter, view: ViewTransform, scheme: Scheme, row: int, *, is_marked: bool
    ) -> None:
        size = (NODE_PX if self._is_node[row] or is_marked else CORNER_PX) * view.pixel_ratio
        center = QPointF(*view.to_pixels(*self._place_of(row)))
        painter.setPen(QPen(QColor(scheme.edge), view.pixel_ratio))
        painter.setBrush(QColor(scheme.accent if is_marked else scheme.halo))
        box = QRectF(center.x() - size, center.y() - size, 2.0 * size, 2.0 * size)
        if self._is_node[row]:
            painter.drawEllipse(box)
        else:
            painter.drawRect(box)

    def _draw_way(self, painter: QPainter, view: ViewTransform, scheme: Scheme) -> None:
        """Draw the edges as they would run."""
        assert self._goal is not None
        meeting = self._ends[np.any(self._ends == self._held, axis=1)]
        others = [self._place_of(int(row)) for row in meeting[meeting != self._held]]
        goal, *far = pixels_of([self._goal, *others], view)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for color, width in ((scheme.halo, 2.0 * LINE_PX), (scheme.accent, LINE_PX)):
            painter.setPen(QPen(QColor(color), width * view.pixel_ratio))
            for end in far:
                painter.drawLine(goal, end)

    def _known(self) -> ZoneLinework:
        """The linework of the zones."""
        if self._lines is None:
            shapes = self._shapes if self._shapes is not None else np.array([], dtype=object)
            self._lines = linework(shapes)
            edges = edges_of(self._lines)
            self._ends = edges.ends
            self._is_node, self._can_move = np.zeros((2, len(self._lines.points)), dtype=bool)
            self._is_node[nodes_of(self._lines)] = True
            self._can_move[edges.ends[np.all(edges.sides != OUTSIDE, axis=1)]] = True
        return self._lines

    def _place_of(self, row: int) -> Place:
        easting_m, northing_m = self._known().points[row].tolist()
        return easting_m, northing_m
