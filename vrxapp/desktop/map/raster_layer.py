"""Rasters and grids of cells: an image laid on the ground, halved as often as the scale allows."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QTransform

from vrxapp.desktop.map.frame import Frame
from vrxapp.desktop.map.layer import common_of
from vrxapp.desktop.map.pixels import image_of
from vrxapp.desktop.map.view_transform import Bounds

Affine = tuple[float, float, float, float, float, float]
#: No need of smaller copies than this.
SMALLEST_SIDE = 64
ROWS_AT_ONCE = 256


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class RasterLayer:
    """Packed pixels on the ground.

    Parameters
    ----------
    name : str
        The name under which the map speaks of the layer.
    pixels : ndarray of uint32, two-dimensional
        Premultiplied pixels, as `pixels.packed_steps` gives them.
    affine : tuple of six floats
        a, b, c, d, e and f, where easting is a*column + b*row + c and northing is
        d*column + e*row + f, both for the upper left corner of a pixel. [m]
    opacity : float, default 1
        From 0, invisible, to 1.
    within : ndarray of one shapely Polygon or MultiPolygon, optional
        The ground that the raster is cut to; left out, all of it is drawn.
    """

    name: str
    pixels: NDArray[np.uint32]
    affine: Affine
    opacity: float = 1.0
    within: NDArray[np.object_] | None = None
    bounds: Bounds | None = field(init=False)
    copies: list[NDArray[np.uint32]] = field(init=False, repr=False)
    margin_px: ClassVar[float] = 0.0
    has_drafts: ClassVar[bool] = False
    is_pickable: ClassVar[bool] = False

    def __post_init__(self) -> None:
        """Check the pixels and measure the ground they cover."""
        pixels = np.ascontiguousarray(self.pixels, dtype=np.uint32)
        if pixels.ndim != 2:
            raise ValueError("pixels must have rows and columns")
        object.__setattr__(self, "pixels", pixels)
        object.__setattr__(self, "copies", [pixels])
        bounds = _bounds(pixels.shape, self.affine)
        if bounds is not None and self.within is not None:
            bounds = common_of(bounds, self.within[0].bounds)
        object.__setattr__(self, "bounds", bounds)

    @property
    def rows(self) -> int:
        """None: the cells of a raster are no features."""
        return 0

    def paint(self, painter: QPainter, frame: Frame) -> Iterator[None]:
        """Draw the part of the raster that lies in the frame, from the copy that suits."""
        a, b, c, d, e, f = self.affine
        on_screen = math.sqrt(abs(a * e - b * d)) * frame.pixels_per_metre
        halvings = max(0, math.floor(-math.log2(max(on_screen, 1e-9))))
        halvings = min(halvings, self._most_halvings())
        while len(self.copies) <= halvings:
            yield from self._halve()
        cell = 2.0**halvings
        to_frame = QTransform(a, d, b, e, 0.0, 0.0) * frame.from_ground((c, f))
        to_frame = QTransform.fromScale(cell, cell) * to_frame
        copy = self.copies[halvings]
        frame_in_cells = to_frame.inverted()[0].mapRect(
            QRectF(0, 0, frame.width_px, frame.height_px)
        )
        whole = QRectF(0, 0, copy.shape[1], copy.shape[0])
        part = QRectF(frame_in_cells.toAlignedRect()).intersected(whole)
        if not part.isEmpty():
            self._clip(painter, frame)
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, on=False)
            painter.setTransform(to_frame)
            painter.drawImage(QPointF(part.topLeft()), image_of(copy), part)

    def _clip(self, painter: QPainter, frame: Frame) -> None:
        """Keep the drawing inside the ground that the raster is cut to."""
        if self.within is not None:
            (path,) = frame.paths.paths(self.within, np.array([0]), frame.doubling)
            painter.setTransform(frame.from_ground(frame.paths.origin_m))
            painter.setClipPath(path)

    def _halve(self) -> Iterator[None]:
        """Add a copy with every other row and column, some rows at a time."""
        every_other = self.copies[-1][::2, ::2]
        copy = np.empty(every_other.shape, dtype=np.uint32)
        for start in range(0, len(copy), ROWS_AT_ONCE):
            copy[start : start + ROWS_AT_ONCE] = every_other[start : start + ROWS_AT_ONCE]
            yield
        self.copies.append(copy)

    def _most_halvings(self) -> int:
        """How often the raster can be halved before it is too small to matter."""
        return max(0, math.floor(math.log2(max(min(self.pixels.shape), 1) / SMALLEST_SIDE)))


def _bounds(shape: tuple[int, int], affine: Affine) -> Bounds | None:
    """The ground around the four corners. [m]"""
    rows, columns = shape
    if not rows or not columns:
        return None
    a, b, c, d, e, f = affine
    corners = [(0, 0), (columns, 0), (0, rows), (columns, rows)]
    eastings = [a * column + b * row + c for column, row in corners]
    northings = [d * column + e * row + f for column, row in corners]
    return min(eastings), min(northings), max(eastings), max(northings)
