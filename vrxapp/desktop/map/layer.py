"""What every layer of the map has, and the columns that most of them share."""

from collections.abc import Iterator, Sequence
from typing import Protocol

import numpy as np
import shapely
from numpy.typing import NDArray
from PySide6.QtGui import QPainter

from vrxapp.desktop.map.frame import Frame
from vrxapp.desktop.map.view_transform import Bounds

#: A row that no style belongs to.
NO_STYLE = -1


class Layer(Protocol):
    """Something the map can show: a plain value that never changes once it is made.

    A layer that looks different is a new object; what is expensive about the old
    one (paths, search trees, sorted points) is found again by its geometry.
    """

    @property
    def name(self) -> str:
        """The name under which the map's signals speak of it."""

    @property
    def rows(self) -> int:
        """How many features there are."""

    @property
    def bounds(self) -> Bounds | None:
        """The ground it covers [m], or None where it is empty."""

    @property
    def margin_px(self) -> float:
        """How far its drawing reaches beyond its bounds. [pixel of the widget]"""

    @property
    def opacity(self) -> float:
        """From 0, invisible, to 1."""

    @property
    def has_drafts(self) -> bool:
        """Whether it can be painted faster and coarser while the mouse is down."""

    def paint(self, painter: QPainter, frame: Frame) -> Iterator[None]:
        """Paint the part in the frame; each yield is a chance to let the window breathe."""


def touches(bounds: Bounds | None, other: Bounds) -> bool:
    """Whether some ground lies at least partly in other ground."""
    if bounds is None:
        return False
    west, south, east, north = bounds
    return west <= other[2] and east >= other[0] and south <= other[3] and north >= other[1]


def union_of(all_bounds: Sequence[Bounds | None]) -> Bounds | None:
    """The smallest upright rectangle around several, or None where all are empty."""
    known = np.array([bounds for bounds in all_bounds if bounds is not None])
    if not len(known):
        return None
    west, south = known[:, :2].min(axis=0).tolist()
    east, north = known[:, 2:].max(axis=0).tolist()
    return west, south, east, north


def common_of(one: Bounds, other: Bounds) -> Bounds | None:
    """The ground that two upright rectangles share, or None where they share none."""
    west, south = max(one[0], other[0]), max(one[1], other[1])
    east, north = min(one[2], other[2]), min(one[3], other[3])
    return (west, south, east, north) if west < east and south < north else None


def geometry_column(geometries: Sequence[object] | NDArray[np.object_]) -> NDArray[np.object_]:
    """Geometries as a read-only column; a column that is read-only already stays the same."""
    if isinstance(geometries, np.ndarray) and not geometries.flags.writeable:
        return geometries
    column = np.empty(len(geometries), dtype=object)
    column[:] = geometries
    column.flags.writeable = False
    return column


def style_column(
    style_of_row: Sequence[int] | NDArray[np.intp] | None,
    *,
    rows: int,
    styles: int,
    lowest: int = 0,
) -> NDArray[np.intp]:
    """Style numbers as a read-only column; None gives every row the first style."""
    column = np.zeros(rows, np.intp) if style_of_row is None else np.array(style_of_row, np.intp)
    if column.shape != (rows,):
        raise ValueError(f"{column.size} styles for {rows} rows: give one for each row")
    if rows and not lowest <= column.min() <= column.max() < styles:
        raise ValueError(f"styles are numbered from {lowest} to {styles - 1}")
    column.flags.writeable = False
    return column


def label_column(labels: Sequence[str] | None, rows: int) -> tuple[str, ...] | None:
    """Labels as a column that cannot change, or None where there are none."""
    if labels is not None and len(labels) != rows:
        raise ValueError(f"{len(labels)} labels for {rows} rows: give one for each row")
    return None if labels is None else tuple(labels)


def boxes_of(geometries: NDArray[np.object_]) -> NDArray[np.float64]:
    """West, south, east and north of each geometry, one row each; NaN where it is empty."""
    return shapely.bounds(geometries).reshape(-1, 4)


def bounds_of_boxes(boxes: NDArray[np.float64]) -> Bounds | None:
    """The ground around all boxes, or None where there is none."""
    known = boxes[np.isfinite(boxes[:, 0])]
    return union_of([tuple(box) for box in known.tolist()]) if len(known) else None


def rows_in(boxes: NDArray[np.float64], bounds: Bounds) -> NDArray[np.intp]:
    """Rows whose box lies at least partly in some ground."""
    west, south, east, north = bounds
    return np.flatnonzero(
        (boxes[:, 0] <= east)
        & (boxes[:, 2] >= west)
        & (boxes[:, 1] <= north)
        & (boxes[:, 3] >= south)
    )
