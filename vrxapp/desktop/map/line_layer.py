"""Lines: boundaries, passes, tracks and headings."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPen

from vrxapp.desktop.map.frame import Frame
from vrxapp.desktop.map.layer import (
    bounds_of_boxes,
    boxes_of,
    geometry_column,
    label_column,
    rows_in,
    style_column,
)
from vrxapp.desktop.map.view_transform import Bounds
from vrxapp.desktop.map.zone_layer import ROWS_AT_ONCE, outlines_in_frame
from vrxapp.legend import LineStyle, Scheme


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class LineLayer:
    """Lines with a style for each row.

    Parameters
    ----------
    name : str
        The name under which the map's signals speak of the layer.
    geometries : sequence of shapely LineString, MultiLineString or Polygon
        One for each row, in projected metres; of a polygon the outline is drawn.
    styles : sequence of LineStyle
        The looks there are.
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
    geometries: NDArray[np.object_]
    styles: Sequence[LineStyle]
    style_of_row: NDArray[np.intp] | None = None
    labels: Sequence[str] | None = None
    opacity: float = 1.0
    is_pickable: bool = True
    boxes: NDArray[np.float64] = field(init=False, repr=False)
    bounds: Bounds | None = field(init=False)
    margin_px: float = field(init=False)
    has_drafts: ClassVar[bool] = False

    def __post_init__(self) -> None:
        """Make the columns read-only and measure the rows."""
        geometries = geometry_column(self.geometries)
        rows, styles = len(geometries), tuple(self.styles)
        boxes = boxes_of(geometries)
        for name, value in (
            ("geometries", geometries),
            ("style_of_row", style_column(self.style_of_row, rows=rows, styles=len(styles))),
            ("styles", styles),
            ("labels", label_column(self.labels, rows)),
            ("boxes", boxes),
            ("bounds", bounds_of_boxes(boxes)),
            ("margin_px", max((style.width_px for style in self.styles), default=0.0) + 1.0),
        ):
            object.__setattr__(self, name, value)

    @property
    def rows(self) -> int:
        """How many features there are."""
        return len(self.geometries)

    def paint(self, painter: QPainter, frame: Frame) -> Iterator[None]:
        """Paint the lines in the frame, row after row."""
        rows = rows_in(self.boxes, frame.bounds(self.margin_px * frame.pixel_ratio))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        pens = [_pen_of(style, frame.scheme, frame.pixel_ratio) for style in self.styles]
        for start in range(0, len(rows), ROWS_AT_ONCE):
            batch = rows[start : start + ROWS_AT_ONCE]
            paths = outlines_in_frame(self.geometries, self.boxes, batch, frame)
            painter.setTransform(frame.from_ground(frame.paths.origin_m))
            for style, path in zip(self.style_of_row[batch].tolist(), paths, strict=True):
                painter.setPen(pens[style])
                painter.drawPath(path)
            yield


def _pen_of(style: LineStyle, scheme: Scheme, pixel_ratio: float) -> QPen:
    """Pen in device pixels for a line of the legend."""
    pen = QPen(QColor(style.color or scheme.ink), style.width_px * pixel_ratio)
    pen.setCosmetic(True)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    if style.dashes_px:
        # Qt counts dashes in widths of the pen.
        pen.setDashPattern([dash / style.width_px for dash in style.dashes_px])
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    return pen
