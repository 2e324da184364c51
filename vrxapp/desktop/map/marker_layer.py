"""Samples, gates and other single places: markers that stay the same size on screen."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPixmap

from vrxapp.desktop.map.frame import Frame
from vrxapp.desktop.map.hatching import hatch_brush
from vrxapp.desktop.map.layer import label_column, rows_in, style_column, union_of
from vrxapp.desktop.map.symbol_art import symbol_path
from vrxapp.desktop.map.view_transform import Bounds
from vrxapp.legend import Step, Symbol

RADIUS_PX = 5.5
SYMBOL_RADIUS_PX = 10.0
"""Half the side of a square marker with a sign in it."""
SYMBOL_CORNER_PX = 3.0
EDGE_PX = 1.6
RIM_PX = 1.6
#: Light around dark, in either scheme: one of the two stands out on any fill.
RIM_COLOR, EDGE_COLOR = "#ffffff", "#0d1315"
MARKERS_AT_ONCE = 400


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class MarkerLayer:
    """Markers with a fill, or a sign, for each row; up to some thousands.

    Parameters
    ----------
    name : str
        The name under which the map's signals speak of the layer.
    easting_m, northing_m : array_like
        Positions in projected metres; NaN where there is none.
    styles : sequence of Step
        The looks there are; usually the steps of a legend.
    style_of_row : sequence of int, optional
        Which of the styles each row has; left out, every row has the first.
    labels : sequence of str, optional
        Text for each row.
    opacity : float, default 1
        From 0, invisible, to 1.
    is_pickable : bool, default True
        Whether the mouse and the Tab key find its rows.
    """

    name: str
    easting_m: NDArray[np.float64]
    northing_m: NDArray[np.float64]
    styles: Sequence[Step]
    style_of_row: NDArray[np.intp] | None = None
    labels: Sequence[str] | None = None
    opacity: float = 1.0
    is_pickable: bool = True
    boxes: NDArray[np.float64] = field(init=False, repr=False)
    bounds: Bounds | None = field(init=False)
    radius_px: float = field(init=False)
    margin_px: float = field(init=False)
    has_drafts: ClassVar[bool] = False

    def __post_init__(self) -> None:
        """Make the columns read-only and measure the rows."""
        easting_m = np.array(self.easting_m, dtype=np.float64)
        northing_m = np.array(self.northing_m, dtype=np.float64)
        if easting_m.ndim != 1 or easting_m.shape != northing_m.shape:
            raise ValueError("eastings and northings must be columns of one length")
        easting_m.flags.writeable = northing_m.flags.writeable = False
        rows, styles = len(easting_m), tuple(self.styles)
        radius_px = max(map(radius_of, styles), default=RADIUS_PX)
        boxes = np.column_stack([easting_m, northing_m, easting_m, northing_m])
        known = np.isfinite(easting_m + northing_m)
        boxes[~known] = np.nan
        for name, value in (
            ("easting_m", easting_m),
            ("northing_m", northing_m),
            ("style_of_row", style_column(self.style_of_row, rows=rows, styles=len(styles))),
            ("styles", styles),
            ("labels", label_column(self.labels, rows)),
            ("radius_px", radius_px),
            ("margin_px", radius_px + RIM_PX),
            ("boxes", boxes),
            ("bounds", union_of([tuple(box) for box in boxes[known].tolist()])),
        ):
            object.__setattr__(self, name, value)

    @property
    def rows(self) -> int:
        """How many features there are."""
        return len(self.easting_m)

    def paint(self, painter: QPainter, frame: Frame) -> Iterator[None]:
        """Stamp the markers of the frame, each with one blit."""
        rows = rows_in(self.boxes, frame.bounds(self.margin_px * frame.pixel_ratio))
        to_frame = frame.from_ground((0.0, 0.0))
        painter.resetTransform()
        for start in range(0, len(rows), MARKERS_AT_ONCE):
            for row in rows[start : start + MARKERS_AT_ONCE].tolist():
                step = self.styles[self.style_of_row[row]]
                stamp = marker_stamp(step, frame.pixel_ratio)
                center = to_frame.map(QPointF(self.easting_m[row], self.northing_m[row]))
                corner = center - QPointF(stamp.width() / 2, stamp.height() / 2)
                painter.drawPixmap(corner.toPoint(), stamp)
            yield


def radius_of(step: Step) -> float:
    """Half the width of a marker without its rim. [pixel of the widget]"""
    return RADIUS_PX if step.symbol is Symbol.NONE else SYMBOL_RADIUS_PX


@lru_cache(maxsize=256)
def marker_stamp(step: Step, pixel_ratio: float) -> QPixmap:
    """One marker on a clear ground: fill, dark edge and light rim, and a sign where it has one."""
    side = 2 * round((radius_of(step) + RIM_PX) * pixel_ratio) + 1
    stamp = QPixmap(side, side)
    stamp.fill(Qt.GlobalColor.transparent)
    if step.symbol is not Symbol.NONE:
        _stamp_symbol(stamp, step, pixel_ratio)
        return stamp
    center, radius = QPointF(side / 2, side / 2), (RADIUS_PX - EDGE_PX / 2) * pixel_ratio
    outside = (RADIUS_PX + RIM_PX) * pixel_ratio
    with QPainter(stamp) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(RIM_COLOR))
        painter.drawEllipse(center, outside, outside)
        painter.setBrush(QColor(step.fill))
        painter.drawEllipse(center, radius, radius)
        painter.setBrush(hatch_brush(step.hatch, step.hatch_ink, pixel_ratio))
        painter.setPen(QPen(QColor(EDGE_COLOR), EDGE_PX * pixel_ratio))
        painter.drawEllipse(center, radius, radius)
    return stamp


def _stamp_symbol(stamp: QPixmap, step: Step, pixel_ratio: float) -> None:
    """Draw a square marker with its sign."""
    middle, half = stamp.width() / 2, (SYMBOL_RADIUS_PX - EDGE_PX / 2) * pixel_ratio
    corner = SYMBOL_CORNER_PX * pixel_ratio
    box = QRectF(middle - half, middle - half, 2 * half, 2 * half)
    rim = (EDGE_PX / 2 + RIM_PX) * pixel_ratio
    with QPainter(stamp) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(RIM_COLOR))
        painter.drawRoundedRect(box.adjusted(-rim, -rim, rim, rim), corner + rim, corner + rim)
        painter.setPen(QPen(QColor(EDGE_COLOR), EDGE_PX * pixel_ratio))
        painter.setBrush(QColor(step.fill))
        painter.drawRoundedRect(box, corner, corner)
        painter.translate(box.topLeft())
        painter.scale(box.width(), box.height())
        pen = QPen(QColor(EDGE_COLOR), 0.1)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        lines, areas = symbol_path(step.symbol)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(lines)
        painter.setBrush(QColor(EDGE_COLOR))
        painter.drawPath(areas)
