"""The legend as a picture: title, and one swatch and label for each step."""

import math

from PySide6.QtCore import QPointF, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPixmap, QTransform

from vrxapp.desktop.map.hatching import hatch_brush
from vrxapp.desktop.map.marker_layer import marker_stamp
from vrxapp.desktop.map.text_art import TEXT_PX, clear_picture, map_font
from vrxapp.legend import Hatch, Legend, Scheme, Step

PADDING_PX = 14
HEAD_PX = 34
ROW_PX = 26
SWATCH_WIDTH_PX, SWATCH_HEIGHT_PX = 40, 19
GAP_PX = 10
CORNER_PX = 5
PLATE_ALPHA = 0.95
TITLE_LINE_PX = 18
WIDEST_TITLE_PX = 240
"""A longer title is broken between words, so that the plate hides little of the map. [px]"""


def legend_picture(legend: Legend, scheme: Scheme, pixel_ratio: float, family: str) -> QPixmap:
    """The whole legend on a plate."""
    title_font, font = map_font(family, is_bold=True), map_font(family)
    text_left = PADDING_PX + SWATCH_WIDTH_PX + GAP_PX
    widest = max(QFontMetricsF(font).horizontalAdvance(step.label) for step in legend.steps)
    metrics = QFontMetricsF(title_font)
    title = _title_lines(legend.title, metrics)
    title_width = max(metrics.horizontalAdvance(line) for line in title)
    width = math.ceil(max(text_left + widest, PADDING_PX + title_width) + PADDING_PX)
    head = HEAD_PX + TITLE_LINE_PX * (len(title) - 1)
    height = head + ROW_PX * len(legend.steps) + PADDING_PX - (ROW_PX - SWATCH_HEIGHT_PX)
    picture = clear_picture(QSize(round(width * pixel_ratio), round(height * pixel_ratio)))
    with QPainter(picture) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.scale(pixel_ratio, pixel_ratio)
        _draw_plate(painter, QRectF(0.5, 0.5, width - 1, height - 1), scheme)
        painter.setPen(QColor(scheme.text))
        painter.setFont(title_font)
        for i, line in enumerate(title):
            top = PADDING_PX - 3 + TITLE_LINE_PX * i
            painter.drawText(QPointF(PADDING_PX, top + TEXT_PX), line)
        painter.setFont(font)
        for i, step in enumerate(legend.steps):
            top = head + i * ROW_PX
            swatch = QRectF(PADDING_PX, top, SWATCH_WIDTH_PX, SWATCH_HEIGHT_PX)
            if step.is_marker:
                stamp = marker_stamp(step, pixel_ratio)
                side = stamp.width() / pixel_ratio
                corner = swatch.center() - QPointF(side / 2, side / 2)
                painter.drawPixmap(QRectF(corner, QSizeF(side, side)), stamp, QRectF(stamp.rect()))
            else:
                _draw_swatch(painter, swatch, step, scheme, pixel_ratio)
            painter.setPen(QColor(scheme.text))
            painter.drawText(QPointF(text_left, top + SWATCH_HEIGHT_PX - 4), step.label)
    return picture


def _title_lines(title: str, metrics: QFontMetricsF) -> list[str]:
    """A title in lines of whole words, each no wider than a title may be."""
    lines = [""]
    for word in title.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and metrics.horizontalAdvance(longer) > WIDEST_TITLE_PX:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def _draw_plate(painter: QPainter, box: QRectF, scheme: Scheme) -> None:
    """Draw the ground that the legend is read on."""
    plate = QColor(scheme.plate)
    plate.setAlphaF(PLATE_ALPHA)
    painter.setPen(QPen(QColor(scheme.ink), 1))
    painter.setBrush(plate)
    painter.drawRoundedRect(box, CORNER_PX, CORNER_PX)


def _draw_swatch(
    painter: QPainter, box: QRectF, step: Step, scheme: Scheme, pixel_ratio: float
) -> None:
    """Draw what a step looks like on the map."""
    painter.fillRect(box, QColor(step.fill))
    if step.hatch is not Hatch.NONE:
        hatch = hatch_brush(step.hatch, step.hatch_ink, pixel_ratio)
        # In pixels of the screen, and begun so that two lines of the widest hatch show.
        corner = painter.transform().map(box.topLeft() - QPointF(box.width() / 4, 0))
        to_screen = QTransform.fromTranslate(round(corner.x()), round(corner.y()))
        hatch.setTransform(to_screen * painter.transform().inverted()[0])
        painter.fillRect(box, hatch)
    painter.setPen(QPen(QColor(scheme.ink), 1.2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box)
