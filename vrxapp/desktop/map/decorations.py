"""What lies over the map in fixed places: legend, scale bar, north arrow, keyboard frame."""

import math
from collections.abc import Callable

from PySide6.QtCore import QPointF, QSize
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPixmap, QPolygonF

from vrxapp.desktop.map.legend_art import legend_picture
from vrxapp.desktop.map.text_art import (
    TextLine,
    clear_picture,
    draw_lines,
    map_font,
    round_pen,
)
from vrxapp.desktop.map.view_transform import ViewTransform
from vrxapp.legend import Legend, Scheme

MARGIN_PX = 14
LONGEST_BAR_PX = 150
BAR_END_PX, BAR_TOP_PX, BAR_BOTTOM_PX = 6, 24, 31
ARROW_WIDTH_PX, ARROW_HEIGHT_PX = 40, 58
FOCUS_PX = 3
METRES_PER_KM = 1_000.0


class Decorations:
    """Pictures of legend, scale bar and north arrow, drawn again only when they change."""

    def __init__(self) -> None:
        self._legend: Legend | None = None
        self._pictures: dict[str, tuple[object, QPixmap]] = {}

    def set_legend(self, legend: Legend | None) -> None:
        """Show another legend, or none."""
        self._legend = legend

    def draw(self, painter: QPainter, view: ViewTransform, scheme: Scheme, family: str) -> None:
        """Blit everything into its corner."""
        ratio = view.pixel_ratio
        margin = round(MARGIN_PX * ratio)
        right, bottom = view.width_px - margin, view.height_px - margin
        around = (scheme, ratio, family)
        scale = view.metres_per_pixel
        bar = self._picture("bar", (scale, *around), lambda: scale_bar_picture(scale, *around))
        painter.drawPixmap(margin, bottom - bar.height(), bar)
        arrow = self._picture("arrow", around, lambda: north_arrow_picture(*around))
        box = self._legend_box(scheme, ratio, family)
        is_tall = box is not None and bottom - box.height() < margin + arrow.height()
        # a tall legend takes the arrow's corner, so that goes to the other one
        painter.drawPixmap(margin if is_tall else right - arrow.width(), margin, arrow)
        if box is not None:
            painter.drawPixmap(right - box.width(), bottom - box.height(), box)

    def legend_width(self, view: ViewTransform, scheme: Scheme, family: str) -> int:
        """How much of the right edge the legend takes, with its margin. [device pixel]"""
        box = self._legend_box(scheme, view.pixel_ratio, family)
        return 0 if box is None else box.width() + round(MARGIN_PX * view.pixel_ratio)

    def _legend_box(self, scheme: Scheme, ratio: float, family: str) -> QPixmap | None:
        """The picture of the legend, or None where there is nothing to explain."""
        legend, around = self._legend, (scheme, ratio, family)
        if legend is None or not legend.steps:
            return None
        return self._picture("legend", (legend, *around), lambda: legend_picture(legend, *around))

    def _picture(self, name: str, key: object, draw: Callable[[], QPixmap]) -> QPixmap:
        """The picture of a name, drawn anew if what it depends on has changed."""
        kept = self._pictures.get(name)
        if kept is None or kept[0] != key:
            kept = self._pictures[name] = (key, draw())
        return kept[1]


def draw_focus(painter: QPainter, view: ViewTransform, scheme: Scheme) -> None:
    """Frame the map, so that one sees where the keys go."""
    width = round(FOCUS_PX * view.pixel_ratio)
    color = QColor(scheme.accent)
    painter.fillRect(0, 0, view.width_px, width, color)
    painter.fillRect(0, view.height_px - width, view.width_px, width, color)
    painter.fillRect(0, 0, width, view.height_px, color)
    painter.fillRect(view.width_px - width, 0, width, view.height_px, color)


def round_length_m(longest_m: float) -> float:
    """The longest of 1, 2 and 5 times a power of ten that is not too long. [m]

    Examples
    --------
    >>> round_length_m(480.0), round_length_m(1999.0)
    (200.0, 1000.0)
    """
    power = 10.0 ** math.floor(math.log10(longest_m))
    return max(factor * power for factor in (1.0, 2.0, 5.0) if factor * power <= longest_m)


def length_text(length_m: float) -> str:
    """A round length with its unit: centimetres, metres or kilometres.

    Examples
    --------
    >>> length_text(2000.0), length_text(50.0), length_text(0.2)
    ('2 km', '50 m', '20 cm')
    """
    if length_m >= METRES_PER_KM:
        return f"{length_m / METRES_PER_KM:g} km"
    return f"{length_m:g} m" if length_m >= 1.0 else f"{length_m * 100.0:g} cm"


def scale_bar_picture(
    metres_per_pixel: float, scheme: Scheme, pixel_ratio: float, family: str
) -> QPixmap:
    """A bar of a round length under its text."""
    length_m = round_length_m(LONGEST_BAR_PX * metres_per_pixel)
    end = BAR_END_PX + length_m / metres_per_pixel
    size = QSize(math.ceil(max(end, 70.0)) + BAR_END_PX, BAR_BOTTOM_PX + BAR_END_PX)
    start = QPointF(BAR_END_PX, BAR_TOP_PX - 8)
    text = TextLine(start, map_font(family, is_bold=True), length_text(length_m))
    bar = QPolygonF([QPointF(BAR_END_PX, BAR_TOP_PX), QPointF(BAR_END_PX, BAR_BOTTOM_PX)])
    bar.append([QPointF(end, BAR_BOTTOM_PX), QPointF(end, BAR_TOP_PX)])
    picture = clear_picture(size * pixel_ratio)
    with QPainter(picture) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.scale(pixel_ratio, pixel_ratio)
        draw_lines(painter, [text], scheme)
        for color, width in ((scheme.halo, 6.5), (scheme.text, 2.5)):
            painter.setPen(round_pen(color, width))
            painter.drawPolyline(bar)
    return picture


def north_arrow_picture(scheme: Scheme, pixel_ratio: float, family: str) -> QPixmap:
    """A needle over the letter N."""
    middle = ARROW_WIDTH_PX / 2
    tip, notch = QPointF(middle, 4), QPointF(middle, 27)
    west, east = QPointF(middle - 11, 34), QPointF(middle + 11, 34)
    font = map_font(family, is_bold=True)
    start = QPointF(middle - QFontMetricsF(font).horizontalAdvance("N") / 2, ARROW_HEIGHT_PX - 6)
    picture = clear_picture(QSize(ARROW_WIDTH_PX, ARROW_HEIGHT_PX) * pixel_ratio)
    with QPainter(picture) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.scale(pixel_ratio, pixel_ratio)
        painter.setPen(round_pen(scheme.halo, 5.5))
        painter.setBrush(QColor(scheme.halo))
        painter.drawPolygon([tip, east, notch, west])
        painter.setPen(round_pen(scheme.text, 1.5))
        painter.drawPolygon([tip, east, notch, west])
        painter.setBrush(QColor(scheme.text))
        painter.drawPolygon([tip, notch, west])
        draw_lines(painter, [TextLine(start, font, "N")], scheme)
    return picture
