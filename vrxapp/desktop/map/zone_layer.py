"""Zones, strips and exclusions: filled polygons, hatched and outlined row by row."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import ClassVar

import numpy as np
import shapely
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen

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
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setTransform(frame.from_ground(frame.paths.origin_m))
        batches = [rows[i : i + ROWS_AT_ONCE] for i in range(0, len(rows), ROWS_AT_ONCE)]
        kept: list[list[QPainterPath]] = []
        for batch in batches:
            kept.append(outlines_in_frame(self.geometries, self.boxes, batch, frame))
            painter.setTransform(frame.from_ground(frame.paths.origin_m))
            self._paint_fills(painter, frame, batch, kept[-1])
            yield
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for batch, paths in zip(batches, kept, strict=True):
            self._paint_outlines(painter, frame, batch, paths)
            yield

    def _paint_fills(
        self,
        painter: QPainter,
        frame: Frame,
        rows: NDArray[np.intp],
        paths: list[QPainterPath],
    ) -> None:
        """Fill and hatch some rows."""
        painter.setPen(Qt.PenStyle.NoPen)
        to_frame = painter.transform()
        current = NO_STYLE
        hatch = QBrush()
        for style, path in zip(self.style_of_row[rows].tolist(), paths, strict=True):
            if style == NO_STYLE:
                continue
            step = self.styles[style]
            if style != current:
                current, fill = style, QBrush(QColor(step.fill))
                hatch = hatch_brush(step.hatch, step.hatch_ink, frame.pixel_ratio)
                # Hatching is drawn in pixels, whatever the scale of the ground.
                hatch.setTransform(to_frame.inverted()[0])
            painter.setBrush(fill)
            painter.drawPath(path)
            if step.hatch is not Hatch.NONE:
                painter.setBrush(hatch)
                painter.drawPath(path)

    def _paint_outlines(
        self,
        painter: QPainter,
        frame: Frame,
        rows: NDArray[np.intp],
        paths: list[QPainterPath],
    ) -> None:
        """Outline some rows: against their fill, or against the bare background."""
        scheme = frame.scheme
        on_fill = outline_pens(scheme.edge, OUTLINE_PX * frame.pixel_ratio)
        on_ground = outline_pens(scheme.ink, OUTLINE_PX * frame.pixel_ratio)
        small = is_small(self.boxes[rows], frame)
        for style, hairline, path in zip(
            self.style_of_row[rows].tolist(), small.tolist(), paths, strict=True
        ):
            painter.setPen((on_ground if style == NO_STYLE else on_fill)[hairline])
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
