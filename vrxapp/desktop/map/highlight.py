"""Selection and hover: drawn over the finished tiles, so that nothing below is painted again."""

import numpy as np
from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from vrxapp.desktop.map.frame import Frame
from vrxapp.desktop.map.layer import Layer
from vrxapp.desktop.map.line_layer import LineLayer
from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.desktop.map.point_layer import PointLayer
from vrxapp.desktop.map.view_transform import Bounds, ViewTransform
from vrxapp.desktop.map.zone_layer import ZoneLayer, outlines_in_frame

SELECTED_RIM_PX, SELECTED_PX = 7.0, 3.5
HOVERED_RIM_PX, HOVERED_PX = 4.5, 2.0
POINT_RING_PX = 6.0
RING_AROUND_MARKER_PX = 4.5
REACH_PX = 20.0


def bounds_of_row(layer: Layer, row: int) -> Bounds | None:
    """The ground around one row of a layer [m], or None where it has no place."""
    if isinstance(layer, PointLayer):
        easting_m, northing_m = float(layer.easting_m[row]), float(layer.northing_m[row])
        box = (easting_m, northing_m, easting_m, northing_m)
    elif isinstance(layer, ZoneLayer | LineLayer | MarkerLayer):
        box = tuple(layer.boxes[row].tolist())
    else:
        return None
    return box if np.isfinite(box[0]) else None


def region_of_row(layer: Layer, row: int, view: ViewTransform) -> QRect:
    """Pixels of the widget that a highlight of a row may touch."""
    bounds = bounds_of_row(layer, row)
    if bounds is None:
        return QRect()
    left, top = view.to_pixels(bounds[0], bounds[3])
    right, bottom = view.to_pixels(bounds[2], bounds[1])
    ratio, reach = view.pixel_ratio, REACH_PX
    box = QRectF(QPointF(left / ratio, top / ratio), QPointF(right / ratio, bottom / ratio))
    widget = QRectF(0, 0, view.width_px / ratio, view.height_px / ratio)
    return box.adjusted(-reach, -reach, reach, reach).intersected(widget).toAlignedRect()


def draw_highlight(
    painter: QPainter, frame: Frame, layer: Layer, row: int, *, is_selected: bool
) -> None:
    """Draw a row's outline in a colour and a rim that show up on any fill."""
    scheme, ratio = frame.scheme, frame.pixel_ratio
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if is_selected:
        strokes = ((scheme.halo, SELECTED_RIM_PX), (scheme.accent, SELECTED_PX))
    else:
        strokes = ((scheme.halo, HOVERED_RIM_PX), (scheme.text, HOVERED_PX))
    base = painter.transform()
    for color, width in strokes:
        pen = QPen(QColor(color), width * ratio)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        pen.setCosmetic(True)
        painter.setPen(pen)
        if isinstance(layer, ZoneLayer | LineLayer):
            rows = np.array([row])
            path = outlines_in_frame(layer.geometries, layer.boxes, rows, frame)[0]
            painter.setTransform(frame.from_ground(frame.paths.origin_m) * base)
            painter.drawPath(path)
            painter.setTransform(base)
        elif isinstance(layer, MarkerLayer | PointLayer):
            place = QPointF(layer.easting_m[row], layer.northing_m[row])
            center = frame.from_ground((0.0, 0.0)).map(place)
            radius = _ring_px(layer) * ratio
            painter.drawEllipse(center, radius, radius)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)


def _ring_px(layer: MarkerLayer | PointLayer) -> float:
    """Radius of the ring around a place. [pixel of the widget]"""
    return (
        layer.radius_px + RING_AROUND_MARKER_PX if isinstance(layer, MarkerLayer) else POINT_RING_PX
    )
