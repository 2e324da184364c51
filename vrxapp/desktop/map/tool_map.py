"""A movable map that can be given a tool, which gets the mouse and some keys first."""

from PySide6.QtCore import QEvent, QPointF, Qt, Signal, Slot
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPen
from PySide6.QtWidgets import QWidget

from vrxapp.desktop.map.map_tool import MapTool, Place
from vrxapp.desktop.map.movable_map import MovableMap

TOOL_REACH_PX = 10.0
CROSS_PX = 12.0


class ToolMap(MovableMap):
    """The map with a tool in hand, or with none."""

    tool_changed = Signal()  # another tool is in hand, or none

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tool: MapTool | None = None
        self._is_holding = False
        self._shows_cross = False
        self.ground_clicked.connect(self._on_clicked)

    def tool(self) -> MapTool | None:
        """The tool in hand."""
        return self._tool

    def set_tool(self, tool: MapTool | None) -> None:
        """Take a tool in hand, or put away the one that is."""
        if tool is self._tool:
            return
        if self._tool is not None:
            self._tool.cancel()
            self._tool.changed.disconnect(self.update)
            self._tool.ended.disconnect(self._on_ended)
        self._tool, self._is_holding, self._shows_cross = tool, False, False
        if tool is None:
            self.unsetCursor()
        else:
            tool.changed.connect(self.update)
            tool.ended.connect(self._on_ended)
            self.setCursor(Qt.CursorShape.CrossCursor)
        self.update()
        self.tool_changed.emit()

    def reach_m(self) -> float:
        """How far from the pointer a corner or an edge may lie. [m]"""
        return TOOL_REACH_PX * self.view().metres_per_pixel

    def draw_tool(self, painter: QPainter) -> None:
        """Draw what the tool shows, and the cross in the middle that the keys aim with."""
        if self._tool is None:
            return
        view, scheme = self.view(), self.scheme()
        self._tool.draw(painter, view, scheme)
        if self._shows_cross:
            middle, arm = (
                QPointF(view.width_px / 2, view.height_px / 2),
                CROSS_PX * view.pixel_ratio,
            )
            for color, width in ((scheme.halo, 4.0), (scheme.accent, 2.0)):
                painter.setPen(QPen(QColor(color), width * view.pixel_ratio))
                painter.drawLine(middle - QPointF(arm, 0), middle + QPointF(arm, 0))
                painter.drawLine(middle - QPointF(0, arm), middle + QPointF(0, arm))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Let the tool take hold, or begin a click or a push of the map."""
        self._shows_cross = False
        if self._tool is not None and event.button() == Qt.MouseButton.LeftButton:
            place = self.ground_at(event.position())
            self._is_holding = self._tool.press(place, self.reach_m())
            if self._is_holding:
                return
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Carry what the tool holds, or push the map."""
        place = self.ground_at(event.position())
        if self._tool is not None and self._is_holding:
            self._tool.drag(place)
            self.position_changed.emit(*place)
            return
        super().mouseMoveEvent(event)
        if self._tool is not None and not self.is_dragging():
            self._tool.hover(place, self.reach_m())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go of what the tool holds, or end a click or a push."""
        if self._tool is not None and self._is_holding:
            self._is_holding = False
            self._tool.release(self.ground_at(event.position()), self.reach_m())
            return
        super().mouseReleaseEvent(event)
        if self._tool is not None:
            self.setCursor(Qt.CursorShape.CrossCursor)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Finish what the tool draws."""
        if self._tool is None:
            super().mouseDoubleClickEvent(event)
        else:
            self._tool.finish(self.ground_at(event.position()), self.reach_m())

    def event(self, event: QEvent) -> bool:
        """Let a tool in hand have Escape, before any shortcut of the window."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and self._tool is not None
            and event.key() == Qt.Key.Key_Escape
        ):
            event.accept()
            return True
        return super().event(event)

    def took_key(self, event: QKeyEvent) -> bool:
        """Whether the tool has used a key: Enter, Escape, Backspace, Delete or the space bar."""
        if self._tool is None:
            return False
        key = event.key()
        if key in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self._tool.finish(None, self.reach_m())
        elif key == Qt.Key.Key_Escape:
            if not self._tool.cancel():
                self._tool.ended.emit()
        elif key in {Qt.Key.Key_Backspace, Qt.Key.Key_Delete}:
            self._tool.step_back()
        elif key == Qt.Key.Key_Space:
            self._shows_cross = True
            self._tool.at_cross(self._middle(), self.reach_m())
            self.update()
        else:
            return False
        return True

    def _middle(self) -> Place:
        return self.ground_at(QPointF(self.width() / 2, self.height() / 2))

    @Slot(float, float)
    def _on_clicked(self, easting_m: float, northing_m: float) -> None:
        if self._tool is not None:
            self._tool.click((easting_m, northing_m), self.reach_m())

    @Slot()
    def _on_ended(self) -> None:
        self.set_tool(None)
