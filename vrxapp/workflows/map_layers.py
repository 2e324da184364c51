"""Rasters under the zones: linked to a season, and read in the part and grain that is shown."""

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError, Note, VrxError
from vrxapp.files.checksum import file_checksum
from vrxapp.files.geotiff import open_raster
from vrxapp.files.linked_rasters import open_linked, require_unchanged
from vrxapp.ground.linked_raster import LinkedRaster
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.projected_crs import transformed, transformed_xy
from vrxapp.ground.raster_source import Affine, Bounds, RasterSource, RasterWindow
from vrxapp.season import Season

OVERVIEW_CELLS = 250_000
"""Cells that decide the classes of a layer."""


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class RasterPicture:
    """A part of a layer on the ground of a paddock.

    Parameters
    ----------
    layer : LinkedRaster
        What is shown.
    bounds : tuple of four floats
        The ground that was asked for: west, south, east and north. [m]
    values : ndarray of float
        Rows and columns, NaN where there is no value. [layer's unit]
    affine : tuple of six floats
        Where these cells lie in the paddock's coordinates, as `Affine` tells.
    is_finest : bool
        Whether the file holds no smaller cells.
    """

    layer: LinkedRaster
    bounds: Bounds
    values: NDArray[np.float64]
    affine: Affine
    is_finest: bool


def link_raster(
    path: Path, paddock: Paddock, *, band: int | None = None, name: str = ""
) -> LinkedRaster:
    """A raster file as a layer of a paddock.

    Parameters
    ----------
    path : Path
        A GeoTIFF.
    paddock : Paddock
        The paddock that it must reach.
    band : int, optional
        Which band, counted from 1; a file with several asks for it.
    name : str, optional
        What to call it; empty for the name of the band, else that of the file.

    Raises
    ------
    VrxError
        If the file cannot be used, or nothing of it, or no value, lies on the paddock.
    """
    source = open_raster(path, band=band)
    box = _box_in(source.crs, paddock.boundary.bounds, paddock.crs)
    if not shapely.intersects(shapely.box(*source.bounds), shapely.box(*box)):
        raise GroundError(
            f"nothing of the raster lies on the paddock {paddock.name!r}",
            mend="Choose the paddock first that it belongs to",
            file=path.name,
        )
    if not np.any(np.isfinite(source.window(box, OVERVIEW_CELLS).values)):
        raise GroundError(
            f"the raster holds no value on the paddock {paddock.name!r}",
            mend="Check its missing value, and that the right part was exported",
            file=path.name,
        )
    shown = name.strip() or source.band_name or path.stem.replace("_", " ")
    return LinkedRaster(shown, path.absolute(), file_checksum(path), source.unit, band or 1)


def layer_notes(seasons: tuple[Season, ...]) -> tuple[Note, ...]:
    """A note for each layer whose file is gone or has changed; the farm itself is whole."""
    notes = []
    for layer in dict.fromkeys(layer for season in seasons for layer in season.layers):
        try:
            require_unchanged(layer)
        except VrxError as error:
            notes.append(error.note)
    return tuple(notes)


def read_picture(
    layer: LinkedRaster, paddock: Paddock, bounds: Bounds, max_cells: int
) -> RasterPicture:
    """The part of a layer that lies on some ground, in cells no finer than asked for.

    Parameters
    ----------
    layer : LinkedRaster
        What to show.
    paddock : Paddock
        Whose coordinates the picture is in.
    bounds : tuple of four floats
        West, south, east and north. [m]
    max_cells : int
        Most cells that are read; smaller ones are joined into larger ones.

    Raises
    ------
    VrxError
        If the file is gone, has changed, or nothing of it lies there.
    """
    source = open_linked(layer)
    window = source.window(_box_in(source.crs, bounds, paddock.crs), max_cells)
    is_finest = math.isclose(window.transform[0], source.transform[0])
    turned = window if source.crs == paddock.crs else _turned(source, window, paddock, bounds)
    return RasterPicture(layer, bounds, turned.values, turned.transform, is_finest)


def overview_values(layer: LinkedRaster, paddock: Paddock) -> NDArray[np.float64]:
    """Values of a layer all over a paddock, which decide its classes. [layer's unit]"""
    picture = read_picture(layer, paddock, paddock.boundary.bounds, OVERVIEW_CELLS)
    values = picture.values[_inside(picture, paddock)]
    return np.asarray(values[np.isfinite(values)])


def _box_in(crs: str, bounds: Bounds, from_crs: str) -> Bounds:
    """The upright box around some ground, in another coordinate system."""
    box = shapely.segmentize(shapely.box(*bounds), max(bounds[2] - bounds[0], 1.0) / 8)
    (there,) = transformed(np.array([box], dtype=object), from_crs=from_crs, to_crs=crs)
    west, south, east, north = there.bounds
    return west, south, east, north


def _turned(
    source: RasterSource, window: RasterWindow, paddock: Paddock, bounds: Bounds
) -> RasterWindow:
    """A window laid on the paddock's own grid: each cell takes the value at its middle."""
    rows, columns = window.values.shape
    a, _, c, _, e, f = window.transform
    west, south, east, north = _box_in(
        paddock.crs, (c, min(f, f + e * rows), c + a * columns, max(f, f + e * rows)), source.crs
    )
    west, south = max(west, bounds[0]), max(south, bounds[1])
    east, north = min(east, bounds[2]), min(north, bounds[3])
    width, height = (east - west) / columns, (north - south) / rows
    easting = west + (np.arange(columns) + 0.5) * width
    northing = north - (np.arange(rows) + 0.5) * height
    x, y = transformed_xy(
        *(spots.ravel() for spots in np.meshgrid(easting, northing)),
        from_crs=paddock.crs,
        to_crs=source.crs,
    )
    column, row = np.floor((x - c) / a).astype(np.intp), np.floor((y - f) / e).astype(np.intp)
    known = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
    values = np.full(rows * columns, np.nan)
    values[known] = window.values[row[known], column[known]]
    transform = (width, 0.0, west, 0.0, -height, north)
    return RasterWindow(values.reshape(rows, columns), transform)


def _inside(picture: RasterPicture, paddock: Paddock) -> NDArray[np.bool_]:
    """Which cells have their middle in the paddock."""
    a, _, c, _, e, f = picture.affine
    rows, columns = picture.values.shape
    shapely.prepare(paddock.boundary)
    easting, northing = np.meshgrid(
        c + (np.arange(columns) + 0.5) * a, f + (np.arange(rows) + 0.5) * e
    )
    return np.asarray(shapely.contains_xy(paddock.boundary, easting, northing))
