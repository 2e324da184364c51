"""Our own signs for gates, dump sites and the like, drawn in a square of one by one."""

from collections.abc import Callable
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath, QPolygonF

from vrxapp.legend import Symbol

Paths = tuple[QPainterPath, QPainterPath]
"""Lines to stroke, and areas to fill."""


@lru_cache(maxsize=len(Symbol))
def symbol_path(symbol: Symbol) -> Paths:
    """The lines and areas of a sign; the square has its origin at the upper left."""
    lines, areas = QPainterPath(), QPainterPath()
    _SIGNS[symbol](lines, areas)
    return lines, areas


def _line(path: QPainterPath, *places: tuple[float, float]) -> None:
    path.addPolygon(QPolygonF([QPointF(*place) for place in places]))


def _gate(lines: QPainterPath, _areas: QPainterPath) -> None:
    """Two posts, three rails and a brace."""
    _line(lines, (0.17, 0.2), (0.17, 0.84))
    _line(lines, (0.83, 0.2), (0.83, 0.84))
    for height in (0.32, 0.52, 0.72):
        _line(lines, (0.17, height), (0.83, height))
    _line(lines, (0.17, 0.72), (0.83, 0.32))


def _heap(lines: QPainterPath, areas: QPainterPath) -> None:
    """A heap on the ground."""
    _line(lines, (0.12, 0.78), (0.88, 0.78))
    areas.moveTo(0.2, 0.74)
    areas.cubicTo(0.36, 0.62, 0.42, 0.26, 0.5, 0.26)
    areas.cubicTo(0.58, 0.26, 0.64, 0.62, 0.8, 0.74)
    areas.closeSubpath()


def _bolt(_lines: QPainterPath, areas: QPainterPath) -> None:
    """A flash."""
    _line(areas, (0.58, 0.12), (0.24, 0.56), (0.46, 0.56), (0.4, 0.9), (0.76, 0.42), (0.53, 0.42),
          (0.58, 0.12))  # fmt: skip


def _waves(lines: QPainterPath, _areas: QPainterPath) -> None:
    """Water with a way through."""
    for height in (0.34, 0.54, 0.74):
        lines.moveTo(0.14, height)
        lines.cubicTo(0.26, height - 0.14, 0.38, height - 0.14, 0.5, height)
        lines.cubicTo(0.62, height + 0.14, 0.74, height + 0.14, 0.86, height)


def _tufts(lines: QPainterPath, _areas: QPainterPath) -> None:
    """Rushes over water."""
    _line(lines, (0.16, 0.8), (0.84, 0.8))
    _line(lines, (0.5, 0.66), (0.5, 0.18))
    _line(lines, (0.42, 0.66), (0.3, 0.3))
    _line(lines, (0.58, 0.66), (0.7, 0.3))
    _line(lines, (0.34, 0.66), (0.16, 0.46))
    _line(lines, (0.66, 0.66), (0.84, 0.46))


def _drops(_lines: QPainterPath, areas: QPainterPath) -> None:
    """Three drops."""
    for x, y in ((0.5, 0.14), (0.28, 0.48), (0.72, 0.48)):
        areas.moveTo(x, y)
        areas.cubicTo(x + 0.07, y + 0.13, x + 0.15, y + 0.2, x + 0.13, y + 0.27)
        areas.cubicTo(x + 0.1, y + 0.39, x - 0.1, y + 0.39, x - 0.13, y + 0.27)
        areas.cubicTo(x - 0.15, y + 0.2, x - 0.07, y + 0.13, x, y)


def _person(_lines: QPainterPath, areas: QPainterPath) -> None:
    """Head and shoulders."""
    areas.addEllipse(QRectF(0.34, 0.16, 0.32, 0.32))
    areas.moveTo(0.2, 0.84)
    areas.cubicTo(0.2, 0.62, 0.32, 0.56, 0.5, 0.56)
    areas.cubicTo(0.68, 0.56, 0.8, 0.62, 0.8, 0.84)
    areas.closeSubpath()


_SIGNS: dict[Symbol, Callable[[QPainterPath, QPainterPath], None]] = {
    Symbol.NONE: lambda _lines, _areas: None,
    Symbol.GATE: _gate,
    Symbol.HEAP: _heap,
    Symbol.BOLT: _bolt,
    Symbol.WAVES: _waves,
    Symbol.TUFTS: _tufts,
    Symbol.DROPS: _drops,
    Symbol.PERSON: _person,
}
