"""Where the ground lies on the screen: projected metres to device pixels and back.

Scales sit on a ladder of eight rungs to each doubling, and the view's corner is a
whole number of device pixels from the projection's zero. So a tile painted for a
rung fits the screen exactly, and panning back finds the same tiles again.
"""

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

RUNGS_PER_DOUBLING = 8
TILE_PX = 256
#: From 8 km to a fifth of a millimetre for each device pixel.
LOWEST_RUNG, HIGHEST_RUNG = -104, 96
Bounds = tuple[float, float, float, float]


class TileKey(NamedTuple):
    """One square of the ground at one rung; rows grow to the south."""

    rung: int
    column: int
    row: int


@dataclass(frozen=True, slots=True)
class ViewTransform:
    """What part of the ground a widget shows.

    Parameters
    ----------
    rung : int
        Step on the ladder of scales; eight more double the size on screen.
    left_px, top_px : int
        Upper left corner, in device pixels from the projection's zero at this rung.
    width_px, height_px : int
        Size of the widget in device pixels.
    pixel_ratio : float
        Device pixels in one pixel of the widget's own coordinates.
    """

    rung: int = 0
    left_px: int = 0
    top_px: int = 0
    width_px: int = 1
    height_px: int = 1
    pixel_ratio: float = 1.0

    @property
    def pixels_per_metre(self) -> float:
        """Device pixels for each metre of ground."""
        return pixels_per_metre(self.rung)

    @property
    def metres_per_pixel(self) -> float:
        """Ground under one pixel of the widget's own coordinates. [m]"""
        return self.pixel_ratio / self.pixels_per_metre

    @property
    def bounds(self) -> Bounds:
        """Ground in view: least easting, least northing, greatest easting and northing. [m]"""
        west, north = self.to_ground(0.0, 0.0)
        east, south = self.to_ground(self.width_px, self.height_px)
        return west, south, east, north

    def to_ground(self, x_px: float, y_px: float) -> tuple[float, float]:
        """Easting and northing [m] at a device pixel of the view."""
        metre = self.pixels_per_metre
        return (self.left_px + x_px) / metre, -(self.top_px + y_px) / metre

    def to_pixels(self, easting_m: float, northing_m: float) -> tuple[float, float]:
        """Device pixel of the view at a place on the ground."""
        metre = self.pixels_per_metre
        return easting_m * metre - self.left_px, -northing_m * metre - self.top_px

    def panned(self, right_px: int, down_px: int) -> "ViewTransform":
        """The view after the ground was pushed right and down."""
        return replace(self, left_px=self.left_px - right_px, top_px=self.top_px - down_px)

    def zoomed(self, rungs: int, x_px: float, y_px: float) -> "ViewTransform":
        """The view some rungs nearer, with the ground under one pixel kept where it is."""
        easting_m, northing_m = self.to_ground(x_px, y_px)
        rung = min(max(self.rung + rungs, LOWEST_RUNG), HIGHEST_RUNG)
        return replace(self, rung=rung).with_ground_at(easting_m, northing_m, x_px, y_px)

    def centered_on(self, easting_m: float, northing_m: float) -> "ViewTransform":
        """The view with a place on the ground in its middle."""
        return self.with_ground_at(easting_m, northing_m, self.width_px / 2, self.height_px / 2)

    def with_ground_at(
        self, easting_m: float, northing_m: float, x_px: float, y_px: float
    ) -> "ViewTransform":
        """The view with a place on the ground at a device pixel."""
        metre = self.pixels_per_metre
        left_px, top_px = round(easting_m * metre - x_px), round(-northing_m * metre - y_px)
        return replace(self, left_px=left_px, top_px=top_px)

    def resized(self, width_px: int, height_px: int, pixel_ratio: float) -> "ViewTransform":
        """The view in a widget of another size: the middle stays, and so does the scale."""
        middle = self.to_ground(self.width_px / 2, self.height_px / 2)
        rungs = round(RUNGS_PER_DOUBLING * math.log2(pixel_ratio / self.pixel_ratio))
        rung = min(max(self.rung + rungs, LOWEST_RUNG), HIGHEST_RUNG)
        size = replace(self, width_px=max(1, width_px), height_px=max(1, height_px))
        return replace(size, rung=rung, pixel_ratio=pixel_ratio).centered_on(*middle)

    def fitted(self, bounds: Bounds, margin: float = 0.06, right_px: int = 0) -> "ViewTransform":
        """The view on the highest rung that shows all of some ground with a margin.

        What stands at the right edge, `right_px` wide, covers no ground.
        """
        west, south, east, north = bounds
        free = 1.0 - 2.0 * margin
        across = (self.width_px - right_px) * free / max(east - west, 1.0)
        along = self.height_px * free / max(north - south, 1.0)
        rung = math.floor(RUNGS_PER_DOUBLING * math.log2(max(min(across, along), 1e-9)))
        rung = min(max(rung, LOWEST_RUNG), HIGHEST_RUNG)
        middle = replace(self, rung=rung).centered_on((west + east) / 2, (south + north) / 2)
        return middle.panned(-(right_px // 2), 0)

    def tiles(self, ring: int = 0) -> tuple[TileKey, ...]:
        """The tiles in view and `ring` more on each side, the middle ones first."""
        return _tiles(
            self.rung,
            self.left_px // TILE_PX - ring,
            (self.left_px + self.width_px - 1) // TILE_PX + ring,
            self.top_px // TILE_PX - ring,
            (self.top_px + self.height_px - 1) // TILE_PX + ring,
        )


@lru_cache(maxsize=16)
def _tiles(rung: int, west: int, east: int, north: int, south: int) -> tuple[TileKey, ...]:
    """Tiles from one column and row to another; a pan asks many times for the same."""
    keys = [
        TileKey(rung, column, row)
        for row in range(north, south + 1)
        for column in range(west, east + 1)
    ]
    middle_column, middle_row = (west + east) / 2, (north + south) / 2
    keys.sort(key=lambda key: (key.column - middle_column) ** 2 + (key.row - middle_row) ** 2)
    return tuple(keys)


def pixels_per_metre(rung: int) -> float:
    """Device pixels for each metre of ground on a rung of the ladder."""
    return math.exp2(rung / RUNGS_PER_DOUBLING)
