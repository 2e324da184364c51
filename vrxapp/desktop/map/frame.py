"""The canvas of one painting: which pixels of the ground, in which surroundings."""

from dataclasses import dataclass, replace

from PySide6.QtGui import QTransform

from vrxapp.desktop.map.path_store import PathStore
from vrxapp.desktop.map.view_transform import (
    RUNGS_PER_DOUBLING,
    TILE_PX,
    Bounds,
    TileKey,
    ViewTransform,
    pixels_per_metre,
)
from vrxapp.legend import Scheme

BLOCK_PX = 8 * TILE_PX
#: Wider than any outline, so that the cut itself is never seen.
BLOCK_MARGIN_PX = 64.0


@dataclass(frozen=True, slots=True)
class Frame:
    """What a layer needs to know to paint its part of the ground.

    Parameters
    ----------
    rung : int
        Step on the ladder of scales.
    left_px, top_px : int
        Upper left corner, in device pixels from the projection's zero at this rung.
    width_px, height_px : int
        Size in device pixels.
    pixel_ratio : float
        Device pixels in one pixel of the widget; widths of lines grow with it.
    scheme : Scheme
        Colours of the surroundings.
    paths : PathStore
        Where outlines are kept from one painting to the next.
    is_draft : bool
        Whether speed matters more than completeness, as while the mouse is down.
    """

    rung: int
    left_px: int
    top_px: int
    width_px: int
    height_px: int
    pixel_ratio: float
    scheme: Scheme
    paths: PathStore
    is_draft: bool = False

    @property
    def pixels_per_metre(self) -> float:
        """Device pixels for each metre of ground."""
        return pixels_per_metre(self.rung)

    @property
    def doubling(self) -> int:
        """The power of two at or above this scale; simplified copies are kept for each."""
        return -(-self.rung // RUNGS_PER_DOUBLING)

    def bounds(self, margin_px: float = 0.0) -> Bounds:
        """Ground in the frame, and a margin of device pixels around it. [m]"""
        metre = self.pixels_per_metre
        return (
            (self.left_px - margin_px) / metre,
            -(self.top_px + self.height_px + margin_px) / metre,
            (self.left_px + self.width_px + margin_px) / metre,
            -(self.top_px - margin_px) / metre,
        )

    def bounds_of_blocks(self) -> Bounds:
        """Ground in the coarse blocks that the frame touches, and a margin around it. [m]

        Neighbouring tiles mostly share their blocks, so what is cut to them (a dashed
        line, for instance) looks the same from both.
        """
        left, top = self.left_px // BLOCK_PX, self.top_px // BLOCK_PX
        right = -(-(self.left_px + self.width_px) // BLOCK_PX)
        bottom = -(-(self.top_px + self.height_px) // BLOCK_PX)
        size = BLOCK_PX * (right - left), BLOCK_PX * (bottom - top)
        blocks = replace(
            self,
            left_px=left * BLOCK_PX,
            top_px=top * BLOCK_PX,
            width_px=size[0],
            height_px=size[1],
        )
        return blocks.bounds(BLOCK_MARGIN_PX)

    def from_ground(self, origin_m: tuple[float, float]) -> QTransform:
        """The transform from metres east and north of an origin to pixels of the frame."""
        metre = self.pixels_per_metre
        across = origin_m[0] * metre - self.left_px
        down = -origin_m[1] * metre - self.top_px
        return QTransform(metre, 0.0, 0.0, -metre, across, down)


def frame_of_tile(
    key: TileKey, view: ViewTransform, scheme: Scheme, paths: PathStore, *, is_draft: bool = False
) -> Frame:
    """Frame that covers one tile."""
    left_px, top_px = key.column * TILE_PX, key.row * TILE_PX
    ratio = view.pixel_ratio
    return Frame(
        key.rung, left_px, top_px, TILE_PX, TILE_PX, ratio, scheme, paths, is_draft=is_draft
    )


def frame_of_view(view: ViewTransform, scheme: Scheme, paths: PathStore) -> Frame:
    """Frame that covers all that the widget shows."""
    return Frame(
        view.rung,
        view.left_px,
        view.top_px,
        view.width_px,
        view.height_px,
        view.pixel_ratio,
        scheme,
        paths,
    )
