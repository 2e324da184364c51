"""One band of a GeoTIFF, read a part at a time.

The file is opened for each read and closed after it, so that nothing stays locked. Only
the file itself is read: what lies beside it, such as outside overviews, may be of any format
whatever its name, so it is left alone.
"""

import math
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import GroundError, InputFileError
from vrxapp.files.geotiff_checks import RasterFacts, raster_facts, refuse_no_tiff
from vrxapp.files.safe_reading import told_failures
from vrxapp.ground.raster_source import Affine, Bounds, RasterWindow

if TYPE_CHECKING:
    from rasterio.io import DatasetReader

_POINT_READ_CELLS = 4_000_000
_CACHE_BYTES = 64_000_000
"""What the library may keep of a file: by itself it takes a twentieth of the machine's memory."""
# the corner is where the file says, siblings are not looked for, no network is asked
_SETTINGS = {
    "GTIFF_POINT_GEO_IGNORE": "FALSE",
    "GDAL_DISABLE_READDIR_ON_OPEN": "EMPTY_DIR",
    "GDAL_PAM_ENABLED": "NO",
    "PROJ_NETWORK": "OFF",
    "GDAL_CACHEMAX": _CACHE_BYTES,
}
_Read = TypeVar("_Read")


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class GeoTiffBand:
    """One band of a file, as `RasterSource` tells; every read opens the file anew."""

    path: Path
    band: int
    facts: RasterFacts
    crs: str
    band_name: str
    unit: str

    @property
    def bounds(self) -> Bounds:
        """West, south, east and north."""
        return self.facts.bounds

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.facts.shape

    @property
    def transform(self) -> Affine:
        """Where its cells lie."""
        return self.facts.transform

    def window(self, bounds: Bounds, max_cells: int) -> RasterWindow:
        """All cells that touch the bounds, joined into larger ones beyond `max_cells`.

        Joined cells hold means; where the file stores whole numbers, to the nearest of them.
        """
        if max_cells < 1:
            raise GroundError(f"{max_cells} cells are no picture", mend="Ask for at least one")
        part = _touched(bounds, self.facts, self.path.name)
        out_shape = joined_shape((part[1] - part[0], part[3] - part[2]), max_cells)
        values = self._read(part, out_shape)
        return RasterWindow(values, _part_transform(self.transform, part, out_shape))

    def values_at(
        self, easting: NDArray[np.float64], northing: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """The value of the cell that each point lies in, NaN outside."""
        easting, northing = np.broadcast_arrays(
            np.asarray(easting, dtype=float), np.asarray(northing, dtype=float)
        )
        a, _, c, _, e, f = self.transform
        column, row = np.floor((easting - c) / a).ravel(), np.floor((northing - f) / e).ravel()
        rows, columns = self.shape
        values = np.full(row.shape, np.nan)
        inside = np.flatnonzero((row >= 0) & (row < rows) & (column >= 0) & (column < columns))
        if inside.size:
            cells = (row[inside].astype(np.intp), column[inside].astype(np.intp))
            values[inside] = self._cell_values(*cells)
        return values.reshape(easting.shape)

    def _cell_values(self, row: NDArray[np.intp], column: NDArray[np.intp]) -> NDArray[np.float64]:
        """Values of cells of the raster, read in bands of rows that fit into memory."""
        values = np.empty(row.shape)
        first, last = int(column.min()), int(column.max()) + 1
        step = max(1, _POINT_READ_CELLS // (last - first))
        stretch = row // step
        for number in np.unique(stretch):
            here = np.flatnonzero(stretch == number)
            top, end = int(row[here].min()), int(row[here].max()) + 1
            part = self._read((top, end, first, last), (end - top, last - first))
            values[here] = part[row[here] - top, column[here] - first]
        return values

    def _read(
        self, part: tuple[int, int, int, int], out_shape: tuple[int, int]
    ) -> NDArray[np.float64]:
        """Values of a part (first and end row, first and end column), joined to a shape."""

        def values(dataset: "DatasetReader") -> NDArray[np.float64]:
            if raster_facts(dataset, self.path.name) != self.facts:
                raise InputFileError(
                    "the file has changed since it was opened",
                    mend="Open it again",
                    file=self.path.name,
                )
            return part_values(dataset, self.band, part=part, out_shape=out_shape)

        return opened(self.path, values)


def opened(path: Path, read: Callable[["DatasetReader"], _Read]) -> _Read:
    """What a function reads from the file, which is closed again in any case."""
    import rasterio  # brings a library of its own, so only when a raster is read
    from rasterio.errors import NotGeoreferencedWarning

    refuse_no_tiff(path)
    with told_failures(path, "GeoTIFF"), rasterio.Env(**_SETTINGS), warnings.catch_warnings():
        warnings.simplefilter("ignore", NotGeoreferencedWarning)  # refused in our own words
        with rasterio.open(path.resolve(), driver="GTiff") as dataset:
            return read(dataset)


def part_values(
    dataset: "DatasetReader",
    band: int,
    *,
    part: tuple[int, int, int, int],
    out_shape: tuple[int, int],
) -> NDArray[np.float64]:
    """Scaled values of a part of a band, NaN where there are none."""
    from rasterio.enums import Resampling
    from rasterio.windows import Window

    top, end, first, last = part
    is_joined = out_shape != (end - top, last - first)
    raw = dataset.read(
        band,
        window=Window(first, top, last - first, end - top),
        out_shape=out_shape,
        resampling=Resampling.average if is_joined else Resampling.nearest,
        masked=True,
        out_dtype="float64",
    )
    values = raw.filled(np.nan)
    values[~np.isfinite(values)] = np.nan
    return np.asarray(values * dataset.scales[band - 1] + dataset.offsets[band - 1])


def _touched(bounds: Bounds, facts: RasterFacts, file: str) -> tuple[int, int, int, int]:
    """First and end row, first and end column of the cells that touch the bounds."""
    west, south, east, north = bounds
    a, _, c, _, e, f = facts.transform
    rows, columns = facts.shape
    across = ((west - c) / a, (east - c) / a)
    down = sorted(((north - f) / e, (south - f) / e))
    if not (across[0] < columns and across[1] > 0 and down[0] < rows and down[1] > 0):
        raise GroundError(
            "nothing of the raster lies there", mend="Choose a raster of this place", file=file
        )
    first, top = max(0, math.floor(across[0])), max(0, math.floor(down[0]))
    last, end = min(columns, math.ceil(across[1])), min(rows, math.ceil(down[1]))
    return top, max(end, top + 1), first, max(last, first + 1)


def joined_shape(shape: tuple[int, int], max_cells: int) -> tuple[int, int]:
    """Rows and columns after joining square blocks of cells until few enough are left."""
    rows, columns = shape
    joined = 1
    while math.ceil(rows / joined) * math.ceil(columns / joined) > max_cells:
        joined += max(1, joined // 8)
    return math.ceil(rows / joined), math.ceil(columns / joined)


def _part_transform(
    transform: Affine, part: tuple[int, int, int, int], out_shape: tuple[int, int]
) -> Affine:
    """Where the cells of a part lie once they are joined to a shape."""
    a, _, c, _, e, f = transform
    top, end, first, last = part
    width, height = (last - first) / out_shape[1], (end - top) / out_shape[0]
    return (a * width, 0.0, c + a * first, 0.0, e * height, f + e * top)
