"""The icons: our own SVGs in the theme's colour. The only module that knows where they lie."""

from functools import lru_cache

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

from vrxapp.shipped_files import shipped_folder

_SIDES = (16, 24, 32, 48)
_PALE = 0.35


def icon(name: str, color: str) -> QIcon:
    """An icon in a colour; disabled it is paler.

    Parameters
    ----------
    name : str
        Name of the SVG without its ending.
    color : str
        Colour of its strokes, for instance ``"#202020"``.
    """
    made = QIcon()
    for side in _SIDES:
        made.addPixmap(_pixmap(name, color, side, 1.0), QIcon.Mode.Normal)
        made.addPixmap(_pixmap(name, color, side, _PALE), QIcon.Mode.Disabled)
    return made


@lru_cache(maxsize=256)
def _pixmap(name: str, color: str, side: int, opacity: float) -> QPixmap:
    """One size of an icon."""
    svg = (shipped_folder("icons") / f"{name}.svg").read_text("utf-8")
    renderer = QSvgRenderer(QByteArray(svg.replace("currentColor", color).encode()))
    pixmap = QPixmap(side, side)
    pixmap.fill(Qt.GlobalColor.transparent)
    with QPainter(pixmap) as painter:
        painter.setOpacity(opacity)
        renderer.render(painter, QRectF(0, 0, side, side))
    return pixmap
