"""Return against budget, drawn: the net return of each budget that was tried."""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

_LEFT, _RIGHT, _TOP, _BOTTOM = 64.0, 16.0, 12.0, 40.0
_DOT_PX = 4.0
_HEIGHT_PX = 190


class ReturnPlot(QWidget):
    """A line over the budgets, a dot at each, and a mark at the money there is."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("returnPlot")
        self.setMinimumHeight(_HEIGHT_PX)
        self._points: tuple[tuple[float, float], ...] = ()
        self._spent, self._net, self._currency = 0.0, 0.0, ""

    def show_returns(
        self, points: tuple[tuple[float, float], ...], *, spent: float, net: float, currency: str
    ) -> None:
        """Draw budgets with their net return, and what the money there is earns."""
        self._points, self._spent, self._net = points, spent, net
        self._currency = currency
        told = "; ".join(f"{budget:,.0f} brings {back:,.0f}" for budget, back in points)
        self.setAccessibleName(f"Net return against budget, {currency}")
        self.setAccessibleDescription(told)
        self.setToolTip(f"Net return by budget: {told}")
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw axes, line, dots and the mark."""
        if not self._points:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw_axes(painter)
        ink = self.palette().color(QPalette.ColorRole.Link)
        painter.setPen(QPen(ink, 2.0))
        dots = [self._at(*point) for point in self._points]
        painter.drawPolyline(QPolygonF(dots))
        painter.setBrush(ink)
        for dot in dots:
            painter.drawEllipse(dot, _DOT_PX, _DOT_PX)
        mark = self.palette().color(QPalette.ColorRole.BrightText)
        painter.setPen(QPen(mark, 2.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(self._at(self._spent, self._net), 2 * _DOT_PX, 2 * _DOT_PX)
        painter.end()

    def _draw_axes(self, painter: QPainter) -> None:
        """Two axes with their ends and what they are."""
        painter.setPen(self.palette().color(QPalette.ColorRole.PlaceholderText))
        most_x, most_y = self._most()
        origin, right, top = self._at(0.0, 0.0), self._at(most_x, 0.0), self._at(0.0, most_y)
        painter.drawLine(origin, right)
        painter.drawLine(origin, top)
        beside, under = Qt.AlignmentFlag.AlignRight, Qt.AlignmentFlag.AlignTop
        middle = beside | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRectF(0, top.y() - 10, _LEFT - 8, 20), middle, f"{most_y:,.0f}")
        painter.drawText(QRectF(0, origin.y() - 10, _LEFT - 8, 20), middle, "0")
        line = QRectF(_LEFT, origin.y() + 6, right.x() - _LEFT, 20)
        painter.drawText(line, beside | under, f"{most_x:,.0f}")
        told = f"budget, {self._currency}" if self._currency else "budget"
        painter.drawText(line, Qt.AlignmentFlag.AlignHCenter | under, told)
        head = QRectF(_LEFT + 8, top.y() - 10, right.x() - _LEFT, 20)
        painter.drawText(head, Qt.AlignmentFlag.AlignLeft, "net return; the ring is your budget")

    def _most(self) -> tuple[float, float]:
        """The far ends of both axes."""
        return (
            max(*(budget for budget, _ in self._points), self._spent, 1.0),
            max(*(back for _, back in self._points), self._net, 1.0),
        )

    def _at(self, budget: float, back: float) -> QPointF:
        """A budget and its return as a place in the widget."""
        most_x, most_y = self._most()
        width, height = self.width() - _LEFT - _RIGHT, self.height() - _TOP - _BOTTOM
        across = _LEFT + width * budget / most_x
        return QPointF(across, _TOP + height * (1.0 - max(back, 0.0) / most_y))
