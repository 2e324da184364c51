"""Hatching of the legend as Qt brushes."""

from functools import lru_cache

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPixmap

from vrxapp.legend import Hatch

#: Repeat of each pattern; it divides a tile, so that hatching runs on from tile to tile.
#: What may cover much ground is wider apart.
REPEAT_PX = {Hatch.RISING: 16, Hatch.FALLING: 32, Hatch.CROSSED: 16, Hatch.DOTTED: 16}
LINE_PX = 1.5
DOT_PX = 3.2
#: From this pixel ratio on, a pattern is drawn at twice the size.
DOUBLED_FROM_RATIO = 1.5


def hatch_brush(hatch: Hatch, ink: str, pixel_ratio: float) -> QBrush:
    """Brush that draws a hatch over whatever fill lies below."""
    if hatch is Hatch.NONE:
        return QBrush(Qt.BrushStyle.NoBrush)
    return QBrush(_pattern(hatch, ink, 2 if pixel_ratio >= DOUBLED_FROM_RATIO else 1))


@lru_cache(maxsize=64)
def _pattern(hatch: Hatch, ink: str, scale: int) -> QPixmap:
    """One repeat of a hatch on a clear ground."""
    side = REPEAT_PX[hatch]
    pattern = QPixmap(side * scale, side * scale)
    pattern.fill(Qt.GlobalColor.transparent)
    with QPainter(pattern) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.scale(scale, scale)
        painter.setPen(QPen(QColor(ink), LINE_PX))
        if hatch in {Hatch.RISING, Hatch.CROSSED}:
            _draw_diagonals(painter, side, from_y=side, to_y=0)
        if hatch in {Hatch.FALLING, Hatch.CROSSED}:
            _draw_diagonals(painter, side, from_y=0, to_y=side)
        if hatch is Hatch.DOTTED:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(ink))
            for middle in (side / 4, 3 * side / 4):
                painter.drawEllipse(QPointF(middle, middle), DOT_PX / 2, DOT_PX / 2)
    return pattern


def _draw_diagonals(painter: QPainter, side: int, *, from_y: int, to_y: int) -> None:
    """Draw the diagonal and its two neighbours, whose ends show in the corners."""
    for start in (-side, 0, side):
        painter.drawLine(QPointF(start, from_y), QPointF(start + side, to_y))
