"""Many points, each a few pixels: yield, elevation, what the machine applied.

NumPy scatters colours into an image, the last one on a pixel wins; nothing here
costs a call of Qt for each point.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QPainter

from vrxapp.desktop.map.frame import Frame
from vrxapp.desktop.map.pixels import image_of
from vrxapp.desktop.map.point_index import PointIndex, joined, point_index
from vrxapp.desktop.map.view_transform import Bounds

#: Up to this many points are always painted, whatever the hurry.
NO_DRAFT_UP_TO = 200_000
DRAFT_SHARE = 0.2
#: Side of a point's square as a share of the mean distance between points.
SIDE_OF_SPACING = 0.6
LARGEST_SIDE_PX = 5.0


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class PointLayer:
    """Coloured points, from some thousands to millions.

    Parameters
    ----------
    name : str
        The name under which the map's signals speak of the layer.
    easting_m, northing_m : array_like
        Positions in projected metres.
    colors : ndarray of uint32
        Premultiplied pixel of each point, as `pixels.packed_steps` gives them.
    opacity : float, default 1
        From 0, invisible, to 1.
    is_pickable : bool, default True
        Whether the mouse finds single points.
    index : PointIndex, optional
        The sorted points, where they are known from an earlier layer.
    draft_index : PointIndex, optional
        A random share of them for the time while the mouse is down.
    """

    name: str
    easting_m: NDArray[np.float64]
    northing_m: NDArray[np.float64]
    colors: NDArray[np.uint32]
    opacity: float = 1.0
    is_pickable: bool = True
    index: PointIndex | None = field(default=None, repr=False)
    draft_index: PointIndex | None = field(default=None, repr=False)
    sorted_colors: NDArray[np.uint32] = field(init=False, repr=False)
    draft_colors: NDArray[np.uint32] = field(init=False, repr=False)
    margin_px: ClassVar[float] = LARGEST_SIDE_PX

    def __post_init__(self) -> None:
        """Sort the points, unless that was done before, and the colours with them."""
        easting_m = np.asarray(self.easting_m, dtype=np.float64)
        northing_m = np.asarray(self.northing_m, dtype=np.float64)
        colors = np.asarray(self.colors, dtype=np.uint32)
        if not easting_m.shape == northing_m.shape == colors.shape:
            raise ValueError("eastings, northings and colors must be columns of one length")
        index = self.index or point_index(easting_m, northing_m)
        draft_index = self.draft_index
        if draft_index is None:
            many = easting_m.size > NO_DRAFT_UP_TO
            draft_index = point_index(easting_m, northing_m, share=DRAFT_SHARE) if many else index
        for name, value in (
            ("easting_m", easting_m),
            ("northing_m", northing_m),
            ("colors", colors),
            ("index", index),
            ("draft_index", draft_index),
            ("sorted_colors", colors[index.row_of_point]),
            ("draft_colors", colors[draft_index.row_of_point]),
        ):
            object.__setattr__(self, name, value)

    @property
    def rows(self) -> int:
        """How many features there are."""
        return len(self.easting_m)

    @property
    def bounds(self) -> Bounds | None:
        """The ground around all points [m], or None where there is none."""
        return self.index.bounds if len(self.index.row_of_point) else None

    @property
    def has_drafts(self) -> bool:
        """Whether there are so many points that a drag shows only a share of them."""
        return self.draft_index is not self.index

    def recolored(self, colors: NDArray[np.uint32]) -> "PointLayer":
        """The same points in other colours, without sorting them again."""
        return replace(self, colors=colors)

    def paint(self, painter: QPainter, frame: Frame) -> Iterator[None]:
        """Scatter the points of the frame and draw the image of them."""
        pixels = self._clear_pixels(frame)
        yield from self._scatter(frame, pixels)
        rim = (pixels.shape[1] - frame.width_px) // 2
        painter.resetTransform()
        painter.drawImage(-rim, -rim, image_of(pixels))

    def pixels(self, frame: Frame) -> NDArray[np.uint32]:
        """The points of a frame as packed pixels, with an equal rim on all sides."""
        pixels = self._clear_pixels(frame)
        for _ in self._scatter(frame, pixels):
            pass
        return pixels

    def _clear_pixels(self, frame: Frame) -> NDArray[np.uint32]:
        """Room for the pixels of a frame and for a point's width around it."""
        rim = _side_px(self.index, frame)
        return np.zeros((frame.height_px + 2 * rim, frame.width_px + 2 * rim), dtype=np.uint32)

    def _scatter(self, frame: Frame, pixels: NDArray[np.uint32]) -> Iterator[None]:
        """Put each point's colour where it lies, piece by piece."""
        index, colors = self.index, self.sorted_colors
        side = rim = _side_px(index, frame)
        if frame.is_draft:
            index, colors = self.draft_index, self.draft_colors
        height, width = pixels.shape
        metre = frame.pixels_per_metre
        across = index.origin_m[0] * metre - frame.left_px + rim - side // 2
        down = -index.origin_m[1] * metre - frame.top_px + rim - side // 2
        for piece in index.pieces(frame.bounds(rim)):
            # What lies outside is pushed into the rim: cheaper than sorting it out.
            first = _pixels(joined(index.north_m, piece), -metre, down, height - side)
            first *= np.int32(width)
            first += _pixels(joined(index.east_m, piece), metre, across, width - side)
            color = joined(colors, piece)
            for offset in (y * width + x for y in range(side) for x in range(side)):
                pixels.ravel()[first + np.int32(offset)] = color
            yield


def _pixels(
    place_m: NDArray[np.float32], pixels_per_metre: float, shift_px: float, last_px: int
) -> NDArray[np.int32]:
    """Whole pixels of places along one axis, none before the first or after the last."""
    place_px = place_m * np.float32(pixels_per_metre)
    place_px += np.float32(shift_px)
    np.clip(place_px, 0, last_px, out=place_px)
    return place_px.astype(np.int32)


def _side_px(index: PointIndex, frame: Frame) -> int:
    """Side of a point's square: smaller than the distance between points, and never nothing."""
    west, south, east, north = index.bounds
    area_m2 = max((east - west) * (north - south), 1.0)
    spacing_px = np.sqrt(area_m2 / max(len(index.row_of_point), 1)) * frame.pixels_per_metre
    largest_px = LARGEST_SIDE_PX * frame.pixel_ratio
    return int(np.clip(round(SIDE_OF_SPACING * spacing_px), 1, largest_px))
