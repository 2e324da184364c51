"""Moving the map: by mouse, by wheel and by keyboard."""

import math

from PySide6.QtCore import QEvent, QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from vrxapp.desktop.map.map_surface import MapSurface

DRAG_FROM_PX = 4
ARROW_STEP_PX = 80
KEY_RUNGS = 4
#: Three rungs for a notch of a common wheel, which turns by 120 units.
WHEEL_UNITS_A_RUNG = 40
PAN_OF_KEY = {
    Qt.Key.Key_Left: (ARROW_STEP_PX, 0),
    Qt.Key.Key_Right: (-ARROW_STEP_PX, 0),
    Qt.Key.Key_Up: (0, ARROW_STEP_PX),
    Qt.Key.Key_Down: (0, -ARROW_STEP_PX),
}
RUNGS_OF_KEY = {
    Qt.Key.Key_Plus: KEY_RUNGS,
    Qt.Key.Key_Equal: KEY_RUNGS,
    Qt.Key.Key_Minus: -KEY_RUNGS,
}


class MovableMap(MapSurface):
    """A map surface that the user pushes about and zooms."""

    position_changed = Signal(float, float)  # easting and northing under the pointer [m]
    ground_clicked = Signal(float, float)  # easting and northing [m]
    pointer_left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pressed_at: QPointF | None = None
        self._is_dragging = False
        self._wheel_units = 0
        self.setMouseTracking(True)

    def is_dragging(self) -> bool:
        """Whether the ground is being pushed by the mouse."""
        return self._is_dragging

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a click or a drag."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._pressed_at = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Push the ground while the button is down; tell where the pointer is."""
        position = event.position()
        if self._pressed_at is not None:
            moved = position - self._pressed_at
            if not self._is_dragging and moved.manhattanLength() >= DRAG_FROM_PX:
                self._is_dragging = True
                self.set_hurried(is_hurried=True)
                self.setCursor(Qt.CursorShape.ClosedHandCursor)
            if self._is_dragging:
                self._pressed_at = position
                self.pan_by(moved.x(), moved.y())
        self.position_changed.emit(*self.ground_at(position))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End a drag, or tell where the click was."""
        if event.button() != Qt.MouseButton.LeftButton or self._pressed_at is None:
            return
        was_dragging = self._is_dragging
        self._pressed_at, self._is_dragging = None, False
        self.unsetCursor()
        self.set_hurried(is_hurried=False)
        if not was_dragging:
            self.ground_clicked.emit(*self.ground_at(event.position()))

    def leaveEvent(self, event: QEvent) -> None:
        """Tell that the pointer is elsewhere."""
        super().leaveEvent(event)
        self.pointer_left.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom at the pointer; small turns add up."""
        self._wheel_units += event.angleDelta().y()
        rungs = math.trunc(self._wheel_units / WHEEL_UNITS_A_RUNG)
        self._wheel_units -= rungs * WHEEL_UNITS_A_RUNG
        if rungs:
            self.zoom_by(rungs, event.position())
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows pan, plus and minus zoom, Home shows all."""
        self.show_focus()
        key = event.key()
        if key in PAN_OF_KEY:
            self.pan_by(*PAN_OF_KEY[key])
        elif key in RUNGS_OF_KEY:
            self.zoom_by(RUNGS_OF_KEY[key])
        elif key == Qt.Key.Key_Home:
            self.fit()
        else:
            super().keyPressEvent(event)
