"""What a raster must offer, whoever reads it: where it lies, and its values there.

Coordinates are in the raster's own system, easting (longitude) first; a cell without
a value is NaN.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Bounds = tuple[float, float, float, float]
"""West, south, east and north, in the raster's coordinates."""
Affine = tuple[float, float, float, float, float, float]
"""a, b, c, d, e, f: easting is a*column + b*row + c, northing is d*column + e*row + f, both for
the corner of a cell where its column and row begin."""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class RasterWindow:
    """A part of a raster, perhaps with its cells joined into larger ones.

    Parameters
    ----------
    values : ndarray of float
        Rows and columns, NaN where there is no value. [the raster's unit]
    transform : tuple of six floats
        Where these cells lie, as `Affine` tells.
    """

    values: NDArray[np.float64]
    transform: Affine

    def __post_init__(self) -> None:
        """Keep the values from being changed."""
        self.values.setflags(write=False)


class RasterSource(Protocol):
    """One band of a raster that lies still in a file or in memory."""

    @property
    def crs(self) -> str:
        """Its coordinate system: an EPSG code, or else its full text (WKT)."""

    @property
    def bounds(self) -> Bounds:
        """What it covers."""

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""

    @property
    def transform(self) -> Affine:
        """Where its cells lie; never turned or mirrored east to west."""

    @property
    def band_name(self) -> str:
        """What the band is called; may be empty."""

    @property
    def unit(self) -> str:
        """The unit of the values; empty where nobody says it."""

    def window(self, bounds: Bounds, max_cells: int) -> RasterWindow:
        """All cells that touch the bounds, joined into larger ones beyond `max_cells`."""

    def values_at(
        self, easting: NDArray[np.float64], northing: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """The value of the cell that each point lies in, NaN outside."""
