"""A class in a table cell: its word, and under it a bar with ticks, a mark, and the aim."""

import math
from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import QApplication, QStyle, QStyledItemDelegate, QStyleOptionViewItem

COUNT_ROLE = Qt.ItemDataRole.UserRole + 1
POSITION_ROLE = Qt.ItemDataRole.UserRole + 2
AIMS_ROLE = Qt.ItemDataRole.UserRole + 3

_SIDE_PX = 8
_BAR_PX = 13  # ticks and the mark above the line
_GAP_PX = 3
_TICK_PX = 3.5
_MARK_PX = 4.5
_SEGMENT_ALPHA = 70
_AIM_PX = 9.0  # taller than a tick, so that what a rate aims at stands out
_AIM_WIDTH_PX = 2.0


class ScaleBarDelegate(QStyledItemDelegate):
    """Draws the word and the bar; a cell without a position has the word alone.

    The mark, the ticks and the thicker line of the class tell it by shape, so colour
    adds nothing that has to be seen.
    """

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Draw one cell."""
        told = QStyleOptionViewItem(option)
        self.initStyleOption(told, index)
        text = told.text
        color = draw_ground(painter, told)
        inside = told.rect.adjusted(_SIDE_PX, _GAP_PX, -_SIDE_PX, -_GAP_PX)
        position = index.data(POSITION_ROLE)
        has_bar = isinstance(position, float) and not math.isnan(position)
        painter.save()
        painter.setFont(told.font)
        faint = told.palette.color(QPalette.ColorRole.PlaceholderText)
        is_chosen = bool(told.state & QStyle.StateFlag.State_Selected)
        painter.setPen(color if has_bar or is_chosen else faint)
        line_height = told.fontMetrics.height()
        place = QRect(inside.left(), inside.top(), inside.width(), line_height)
        elided = told.fontMetrics.elidedText(text, Qt.TextElideMode.ElideRight, inside.width())
        painter.drawText(place if has_bar else inside, int(told.displayAlignment), elided)
        if has_bar:
            bar = QRectF(inside.adjusted(0, line_height, 0, 0))
            _draw_bar(painter, bar, int(index.data(COUNT_ROLE)), position, color)
            _draw_aims(painter, bar, index.data(AIMS_ROLE) or (), color)
        painter.restore()

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """Room for the word, and for the bar where there is one."""
        size = super().sizeHint(option, index)
        position = index.data(POSITION_ROLE)
        if not isinstance(position, float) or math.isnan(position):
            return size
        return QSize(size.width(), option.fontMetrics.height() + _BAR_PX + 2 * _GAP_PX)


class TwoLineDelegate(QStyledItemDelegate):
    """Draws the two lines of a cell, each cut with dots where it is too long."""

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Draw one cell."""
        told = QStyleOptionViewItem(option)
        self.initStyleOption(told, index)
        lines = index.data(Qt.ItemDataRole.DisplayRole).split("\n")
        color = draw_ground(painter, told)
        inside = told.rect.adjusted(_SIDE_PX, _GAP_PX, -_SIDE_PX, -_GAP_PX)
        painter.save()
        painter.setPen(color)
        painter.setFont(told.font)
        height = told.fontMetrics.height()
        for number, text in enumerate(lines):
            place = QRect(inside.left(), inside.top() + number * height, inside.width(), height)
            elided = told.fontMetrics.elidedText(text, Qt.TextElideMode.ElideRight, place.width())
            painter.drawText(place, int(Qt.AlignmentFlag.AlignVCenter), elided)
        painter.restore()

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """Room for two lines."""
        width = super().sizeHint(option, index).width()
        return QSize(width, 2 * option.fontMetrics.height() + 2 * _GAP_PX)


def draw_ground(painter: QPainter, told: QStyleOptionViewItem) -> QColor:
    """Draw a cell without its text, and tell the colour that text has on it."""
    told.text = ""
    style = told.widget.style() if told.widget else QApplication.style()
    style.drawControl(QStyle.ControlElement.CE_ItemViewItem, told, painter, told.widget)
    is_chosen = bool(told.state & QStyle.StateFlag.State_Selected)
    role = QPalette.ColorRole.HighlightedText if is_chosen else QPalette.ColorRole.Text
    return told.palette.color(role)


def _draw_bar(painter: QPainter, place: QRectF, count: int, position: float, color: QColor) -> None:
    """A line with a tick at each end of a class, the class thicker, and a mark on it."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    left, right = place.left() + _MARK_PX, place.right() - _MARK_PX
    line = place.bottom() - _TICK_PX

    def at(share: float) -> float:
        return left + share * (right - left)

    held = min(int(position * count), count - 1)
    segment = QColor(color)
    segment.setAlpha(_SEGMENT_ALPHA)
    painter.fillRect(
        QRectF(QPointF(at(held / count), line - 2.5), QPointF(at((held + 1) / count), line + 2.5)),
        segment,
    )
    painter.setPen(QPen(color, 1.0))
    painter.drawLine(QPointF(left, line), QPointF(right, line))
    for tick in range(count + 1):
        x = at(tick / count)
        painter.drawLine(QPointF(x, line - _TICK_PX), QPointF(x, line + _TICK_PX))
    x = at(position)
    painter.setBrush(color)
    painter.drawPolygon(
        QPolygonF(
            [
                QPointF(x, line),
                QPointF(x - _MARK_PX, line - 1.8 * _MARK_PX),
                QPointF(x + _MARK_PX, line - 1.8 * _MARK_PX),
            ]
        )
    )


def _draw_aims(painter: QPainter, place: QRectF, aims: Sequence[float], color: QColor) -> None:
    """A tall line at each value that a rate aims at."""
    left, right = place.left() + _MARK_PX, place.right() - _MARK_PX
    line = place.bottom() - _TICK_PX
    painter.setPen(QPen(color, _AIM_WIDTH_PX))
    for aim in aims:
        x = left + aim * (right - left)
        painter.drawLine(QPointF(x, line + _TICK_PX), QPointF(x, line - _AIM_PX))
