"""A small picture of a variogram: what pairs of samples show, and the model laid through it."""

import math

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from vrxapp.ground.result_scale import Scale
from vrxapp.ground.variogram import Model, Variogram, practical_range_m, semivariance, total_sill
from vrxapp.ground.variogram_fit import EmpiricalVariogram
from vrxapp.workflows.interpolation_study import MapStudy
from vrxapp.workflows.interpolation_words import variogram_in_words

NOTHING = "No variogram: kriging is not offered for these samples."
_LEFT, _RIGHT, _TOP, _BOTTOM = 62, 12, 12, 42
_CURVE_POINTS = 160
_TICKS = 4
_LEAST_DOT_PX, _MOST_DOT_PX = 2.5, 5.5
_HEADROOM = 1.08


class VariogramPlot(QWidget):
    """Dots for classes of distance, larger for more pairs; a line for the model.

    A dashed line stands at the practical range. Dots and lines differ in shape, so that no
    colour has to be told apart.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("variogramPlot")
        self.setAccessibleName("Variogram")
        self.setToolTip(
            "Half the mean squared difference of two samples by their distance.\n"
            "Dots: classes of pairs, larger for more pairs. Line: the model that kriging takes.\n"
            "Dashed: its practical range."
        )
        self.setMinimumSize(280, 196)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self._study: MapStudy | None = None
        self.show_study(None)

    def sizeHint(self) -> QSize:
        """Room for axes and a dozen dots."""
        return QSize(340, 220)

    def show_study(self, study: MapStudy | None) -> None:
        """Paint the variogram of a study, or say that there is none."""
        self._study = study
        self.setAccessibleDescription(
            (variogram_in_words(study) or NOTHING) if study is not None else ""
        )
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint axes, model, range and dots."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        palette = self.palette()
        painter.fillRect(self.rect(), palette.color(QPalette.ColorRole.Base))
        study = self._study
        if study is None:
            return
        if study.fitted is None:
            painter.setPen(palette.color(QPalette.ColorRole.PlaceholderText))
            inside = self.rect().adjusted(12, 12, -12, -12)
            centred = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(inside, int(centred), NOTHING)
            return
        frame = _Frame(self.rect().toRectF(), study.fitted.empirical, study.fitted.variogram)
        _draw_axes(painter, frame, palette, _axis_titles(study))
        _draw_model(painter, frame, palette, study.fitted.variogram)
        _draw_dots(painter, frame, palette, study.fitted.empirical)


class _Frame:
    """Where a distance and a semivariance lie in the picture."""

    def __init__(self, whole: QRectF, empirical: EmpiricalVariogram, variogram: Variogram) -> None:
        self.box = whole.adjusted(_LEFT, _TOP, -_RIGHT, -_BOTTOM)
        self.longest_m = empirical.cutoff_m
        highest = max(float(empirical.semivariance.max()), total_sill(variogram))
        self.highest = highest * _HEADROOM

    def at(self, distance_m: float, half_square: float) -> QPointF:
        """A point of the picture."""
        return QPointF(
            self.box.left() + self.box.width() * distance_m / self.longest_m,
            self.box.bottom() - self.box.height() * half_square / self.highest,
        )


def _axis_titles(study: MapStudy) -> tuple[str, str]:
    """What runs across and what runs up."""
    if study.scale is Scale.LOGARITHM:
        unit = ", logarithms²"
    else:
        unit = f", ({study.analyte.unit})²" if study.analyte.unit else ""
    return "distance of two samples, m", f"semivariance{unit}"


def _draw_axes(
    painter: QPainter, frame: _Frame, palette: QPalette, titles: tuple[str, str]
) -> None:
    """The two axes with round ticks, and their titles."""
    rule = QPen(palette.color(QPalette.ColorRole.Mid), 1.0)
    text = palette.color(QPalette.ColorRole.Text)
    box, line = frame.box, painter.fontMetrics().height()
    center, right = Qt.AlignmentFlag.AlignHCenter, Qt.AlignmentFlag.AlignRight
    for distance in round_ticks(frame.longest_m):
        spot = frame.at(distance, 0.0)
        painter.setPen(rule)
        painter.drawLine(QPointF(spot.x(), box.top()), QPointF(spot.x(), box.bottom() + 4))
        painter.setPen(text)
        place = QRectF(spot.x() - 40, box.bottom() + 4, 80, line)
        painter.drawText(place, int(center), f"{distance:,g}")
    for height in round_ticks(frame.highest):
        spot = frame.at(0.0, height)
        painter.setPen(rule)
        painter.drawLine(QPointF(box.left() - 4, spot.y()), QPointF(box.right(), spot.y()))
        painter.setPen(text)
        place = QRectF(box.left() - 50, spot.y() - line / 2, 44, line)
        painter.drawText(place, int(right), f"{height:,g}")
    across, up = titles
    painter.drawText(QRectF(box.left(), box.bottom() + line + 6, box.width(), line), center, across)
    painter.save()
    # over the whole height, for the title may be longer than its axis
    whole = box.height() + _TOP + _BOTTOM
    painter.translate(line * 0.2, whole)
    painter.rotate(-90)
    shift = (_BOTTOM - _TOP) / 2  # to the middle of the axis, as far as there is room
    room = whole - painter.fontMetrics().horizontalAdvance(up)
    painter.drawText(QRectF(min(shift, max(room / 2, 0.0)), 0, whole, line), center, up)
    painter.restore()


def _draw_model(painter: QPainter, frame: _Frame, palette: QPalette, variogram: Variogram) -> None:
    """The model as a line, and its practical range as a dashed one."""
    color = palette.color(QPalette.ColorRole.Link)
    distances = np.linspace(frame.longest_m / 1e6, frame.longest_m, _CURVE_POINTS)
    heights = semivariance(variogram, distances)
    line = QPolygonF(
        [frame.at(*spot) for spot in zip(distances.tolist(), heights.tolist(), strict=True)]
    )
    painter.setPen(QPen(color, 2.2))
    painter.drawPolyline(line)
    range_m = practical_range_m(variogram)
    if variogram.model is not Model.NUGGET and range_m <= frame.longest_m:
        painter.setPen(QPen(color, 1.2, Qt.PenStyle.DashLine))
        top, bottom = frame.at(range_m, frame.highest), frame.at(range_m, 0.0)
        painter.drawLine(top, bottom)


def _draw_dots(
    painter: QPainter, frame: _Frame, palette: QPalette, empirical: EmpiricalVariogram
) -> None:
    """A dot for each class of distance, its size by its pairs."""
    share = np.sqrt(empirical.pairs / empirical.pairs.max())
    sizes = _LEAST_DOT_PX + (_MOST_DOT_PX - _LEAST_DOT_PX) * share
    painter.setPen(QPen(QColor(palette.color(QPalette.ColorRole.Base)), 1.0))
    painter.setBrush(palette.color(QPalette.ColorRole.Text))
    columns = (empirical.distance_m.tolist(), empirical.semivariance.tolist(), sizes.tolist())
    for distance, height, size in zip(*columns, strict=True):
        painter.drawEllipse(frame.at(distance, height), size, size)


def round_ticks(highest: float) -> list[float]:
    """Round numbers from 0 up to a highest one, some four of them."""
    if not (math.isfinite(highest) and highest > 0.0):
        return [0.0]
    power = 10.0 ** math.floor(math.log10(highest / _TICKS))
    step = next(step for step in (1, 2, 2.5, 5, 10) if step * power * _TICKS >= highest * 0.8)
    count = int(highest / (step * power) + 1e-9)
    return [float(f"{number * step * power:.6g}") for number in range(count + 1)]
