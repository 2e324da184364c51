"""Zones, strips and exclusions: filled polygons, hatched and outlined row by row."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import ClassVar

import numpy as np
import shapely
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QTransform

from vrxapp.desktop.map.frame import Frame
from vrxapp.desktop.map.hatching import hatch_brush
from vrxapp.desktop.map.layer import (
    NO_STYLE,
    bounds_of_boxes,
    boxes_of,
    geometry_column,
    label_column,
    rows_in,
    style_column,
)
from vrxapp.desktop.map.path_store import paths_of
from vrxapp.desktop.map.view_transform import Bounds
from vrxapp.legend import Hatch, Step

#: Rows painted between two chances to stop.
ROWS_AT_ONCE = 24
#: Below this size on screen a zone gets a hairline: ten times faster, and it leaves the
#: fill to be seen.
HAIRLINE_BELOW_PX = 40.0
OUTLINE_PX = 1.6
#: A shape larger than this on screen is cut to the ground around the frame: of a detailed
#: outline seen from near, only the part at hand is drawn, which is many times faster.
CUT_ABOVE_PX = 3_000.0


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class ZoneLayer:
    """Polygons with a fill, a hatch and an outline for each row.

    Parameters
    ----------
    name : str
        The name under which the map's signals speak of the layer.
    geometries : sequence of shapely Polygon or MultiPolygon
        One for each row, in projected metres.
    styles : sequence of Step
        The looks there are; usually the steps of a legend.
    style_of_row : sequence of int, optional
        Which of the styles each row has, -1 for an outline without a fill.
        Left out, every row has the first.
    labels : sequence of str, optional
        Text for each row; a line break parts a heading from what follows.
    opacity : float, default 1
        From 0, invisible, to 1.
    is_pickable : bool, default True
        Whether the mouse and the Tab key find its rows.
    """

    name: str
    geometries: NDArray[np.object_]
    styles: Sequence[Step]
    style_of_row: NDArray[np.intp] | None = None
    labels: Sequence[str] | None = None
    opacity: float = 1.0
    is_pickable: bool = True
    boxes: NDArray[np.float64] = field(init=False, repr=False)
    bounds: Bounds | None = field(init=False)
    margin_px: ClassVar[float] = 2.0
    has_drafts: ClassVar[bool] = False

    def __post_init__(self) -> None:
        """Make the columns read-only and measure the rows."""
        geometries = geometry_column(self.geometries)
        rows, styles = len(geometries), tuple(self.styles)
        boxes = boxes_of(geometries)
        for name, value in (
            ("geometries", geometries),
            (
                "style_of_row",
                style_column(self.style_of_row, rows=rows, styles=len(styles), lowest=NO_STYLE),
            ),
            ("styles", styles),
            ("labels", label_column(self.labels, rows)),
            ("boxes", boxes),
            ("bounds", bounds_of_boxes(boxes)),
        ):
            object.__setattr__(self, name, value)

    @property
    def rows(self) -> int:
        """How many features there are."""
        return len(self.geometries)

    def restyled(
        self, styles: Sequence[Step], style_of_row: Sequence[int] | NDArray[np.intp]
    ) -> "ZoneLayer":
        """The same ground in other colours; paths and search trees are found again."""
        return replace(self, styles=tuple(styles), style_of_row=style_of_row)

    def paint(self, painter: QPainter, frame: Frame) -> Iterator[None]:
        """Paint all fills in the frame, then all outlines over them."""
        rows = rows_in(self.boxes, frame.bounds(self.margin_px * frame.pixel_ratio))
        batches = [rows[i : i + ROWS_AT_ONCE] for i in range(0, len(rows), ROWS_AT_ONCE)]
        kept: list[list[QPainterPath]] = []
        brushes: list[tuple[QBrush, QBrush | None]] = []
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        for batch in batches:
            kept.append(outlines_in_frame(self.geometries, self.boxes, batch, frame))
            # The first paths of all settle the origin that they are counted from.
            painter.setTransform(frame.from_ground(frame.paths.origin_m))
            brushes = brushes or brushes_of(self.styles, painter.transform(), frame.pixel_ratio)
            _paint_fills(painter, self.style_of_row[batch].tolist(), kept[-1], brushes)
            yield
        painter.setBrush(Qt.BrushStyle.NoBrush)
        on_fill = outline_pens(frame.scheme.edge, OUTLINE_PX * frame.pixel_ratio)
        on_ground = outline_pens(frame.scheme.ink, OUTLINE_PX * frame.pixel_ratio)
        for batch, paths in zip(batches, kept, strict=True):
            small = is_small(self.boxes[batch], frame).tolist()
            styles = self.style_of_row[batch].tolist()
            for style, hairline, path in zip(styles, small, paths, strict=True):
                painter.setPen((on_ground if style == NO_STYLE else on_fill)[hairline])
                painter.drawPath(path)
            yield


def brushes_of(
    styles: Sequence[Step], to_frame: QTransform, pixel_ratio: float
) -> list[tuple[QBrush, QBrush | None]]:
    """Fill and hatch of each style; hatching stays in pixels, whatever the scale."""
    to_pixels = to_frame.inverted()[0]
    brushes: list[tuple[QBrush, QBrush | None]] = []
    for step in styles:
        hatch = None
        if step.hatch is not Hatch.NONE:
            hatch = hatch_brush(step.hatch, step.hatch_ink, pixel_ratio)
            hatch.setTransform(to_pixels)
        brushes.append((QBrush(QColor(step.fill)), hatch))
    return brushes


def _paint_fills(
    painter: QPainter,
    styles: list[int],
    paths: list[QPainterPath],
    brushes: list[tuple[QBrush, QBrush | None]],
) -> None:
    """Fill some rows, and hatch them where their style asks for it."""
    for style, path in zip(styles, paths, strict=True):
        if style == NO_STYLE:
            continue
        fill, hatch = brushes[style]
        painter.setBrush(fill)
        painter.drawPath(path)
        if hatch is not None:
            painter.setBrush(hatch)
            painter.drawPath(path)


def outline_pens(color: str, width_px: float) -> tuple[QPen, QPen]:
    """A pen for outlines and a hairline of the same colour, both in pixels."""
    pen = QPen(QColor(color), width_px)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    pen.setCosmetic(True)
    hairline = QPen(QColor(color), 1.0)
    hairline.setCosmetic(True)
    return pen, hairline


def is_small(boxes: NDArray[np.float64], frame: Frame) -> NDArray[np.bool_]:
    """Which boxes are so small on screen that a hairline must do."""
    largest_m = np.maximum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
    return largest_m * frame.pixels_per_metre < HAIRLINE_BELOW_PX * frame.pixel_ratio


def outlines_in_frame(
    geometries: NDArray[np.object_],
    boxes: NDArray[np.float64],
    rows: NDArray[np.intp],
    frame: Frame,
) -> list[QPainterPath]:
    """Paths of some rows, counted from the store's origin; huge ones are cut down."""
    paths = frame.paths.paths(geometries, rows, frame.doubling)
    extent_m = np.maximum(boxes[rows, 2] - boxes[rows, 0], boxes[rows, 3] - boxes[rows, 1])
    huge = np.flatnonzero(extent_m * frame.pixels_per_metre > CUT_ABOVE_PX)
    if len(huge):
        cut = shapely.clip_by_rect(geometries[rows[huge]], *frame.bounds_of_blocks())
        for i, path in zip(huge.tolist(), paths_of(cut, frame.paths.origin_m), strict=True):
            paths[i] = path
    return paths
