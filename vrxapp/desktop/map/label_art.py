"""Labels as small pictures: drawn once, then only blitted."""

from PySide6.QtCore import QPointF, QSize
from PySide6.QtGui import QFontMetricsF, QPainter, QPixmap

from vrxapp.desktop.map.text_art import (
    HALO_PX,
    TextLine,
    clear_picture,
    draw_lines,
    map_font,
)
from vrxapp.legend import Scheme


class LabelArt:
    """Pictures of labels in one font, one scheme and one density of the screen."""

    def __init__(self, family: str, scheme: Scheme, pixel_ratio: float) -> None:
        self.key = (family, scheme, pixel_ratio)
        self.pixel_ratio = pixel_ratio
        self._scheme = scheme
        self._halo_px = HALO_PX * pixel_ratio
        self._fonts = [map_font(family, pixel_ratio, is_bold=bold) for bold in (True, False)]
        self._metrics = [QFontMetricsF(font) for font in self._fonts]
        self._sizes: dict[str, QSize] = {}
        self._pictures: dict[str, QPixmap] = {}

    def size(self, text: str) -> QSize:
        """Size of a label, halo included. [device pixel]"""
        if text not in self._sizes:
            widths = self._widths(text)
            rim = 2 * self._halo_px
            height = len(widths) * self._metrics[0].height()
            self._sizes[text] = QSize(round(max(widths) + rim), round(height + rim))
        return self._sizes[text]

    def has_picture(self, text: str) -> bool:
        """Whether a label needs no more drawing."""
        return text in self._pictures

    def picture(self, text: str) -> QPixmap:
        """The label: first line in bold, all lines centred, a halo around every letter."""
        if text not in self._pictures:
            self._pictures[text] = self._drawn(text)
        return self._pictures[text]

    def _widths(self, text: str) -> list[float]:
        """Width of each line of a label. [device pixel]"""
        return [
            self._metrics[min(i, 1)].horizontalAdvance(line)
            for i, line in enumerate(text.split("\n"))
        ]

    def _drawn(self, text: str) -> QPixmap:
        """Draw a label on a clear ground."""
        size, baseline = self.size(text), self._halo_px + self._metrics[0].ascent()
        lines = []
        for i, (line, width) in enumerate(zip(text.split("\n"), self._widths(text), strict=True)):
            start = QPointF((size.width() - width) / 2, baseline + i * self._metrics[0].height())
            lines.append(TextLine(start, self._fonts[min(i, 1)], line))
        picture = clear_picture(size)
        with QPainter(picture) as painter:
            draw_lines(painter, lines, self._scheme, self._halo_px)
        return picture
