"""How crisp 2, 3... groups are, as bars; a click on one asks for that number."""

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QSizePolicy, QWidget

_BAR_PX, _GAP_PX, _TEXT_PX = 34, 14, 18


class CrispnessBars(QWidget):
    """One bar a number of groups, from 0 to 1; the one that was used is filled."""

    number_chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("crispnessBars")
        self.setToolTip("How crisp so many groups are: 1 wholly apart, 0 not at all. "
                        "Click a bar, or press its digit, to ask for that number")  # fmt: skip
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self._bars: tuple[tuple[int, float], ...] = ()
        self._used = 0
        self.show_bars((), 0)

    def show_bars(self, bars: tuple[tuple[int, float], ...], used: int) -> None:
        """Show how crisp each number is, and which was used; nothing without any."""
        self._bars, self._used = bars, used
        told = ", ".join(f"{number} groups {crisp:.2f}" for number, crisp in bars)
        self.setAccessibleName("Crispness by number of groups")
        self.setAccessibleDescription(told)
        self.setVisible(bool(bars))
        self.updateGeometry()
        self.update()

    def bars(self) -> tuple[tuple[int, float], ...]:
        """Numbers of groups and how crisp each is."""
        return self._bars

    def sizeHint(self) -> QSize:
        """Room for all bars."""
        return QSize(len(self._bars) * (_BAR_PX + _GAP_PX), 86)

    def rect_of(self, row: int) -> QRectF:
        """Where the column of a bar lies, its texts included."""
        return QRectF(row * (_BAR_PX + _GAP_PX), 0, _BAR_PX, self.height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the bars with their figures."""
        painter = QPainter(self)
        roles, palette = QPalette.ColorRole, self.palette()
        tallest = self.height() - 2 * _TEXT_PX
        for row, (number, crisp) in enumerate(self._bars):
            column = self.rect_of(row)
            high = max(1.0, tallest * max(0.0, min(crisp, 1.0)))
            bar = QRectF(column.left(), _TEXT_PX + tallest - high, _BAR_PX, high)
            role = roles.Highlight if number == self._used else roles.Mid
            painter.fillRect(bar, palette.color(role))
            painter.setPen(palette.color(roles.WindowText))
            over = QRectF(column.left() - 6, bar.top() - _TEXT_PX, _BAR_PX + 12, _TEXT_PX)
            under = QRectF(column.left(), self.height() - _TEXT_PX, _BAR_PX, _TEXT_PX)
            painter.drawText(over, Qt.AlignmentFlag.AlignCenter, f"{crisp:.2f}")
            painter.drawText(under, Qt.AlignmentFlag.AlignCenter, str(number))
        if self.hasFocus():
            painter.setPen(palette.color(roles.Highlight))
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Ask for the number under the pointer."""
        for row, (number, _) in enumerate(self._bars):
            if self.rect_of(row).contains(event.position()):
                self.number_chosen.emit(number)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Ask for the number of the digit that was pressed."""
        if event.text() in {str(number) for number, _ in self._bars}:
            self.number_chosen.emit(int(event.text()))
        else:
            super().keyPressEvent(event)
