"""GeoTIFF of a paddock's grid: written aside, read back, compared, then put in place."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import GroundError, InputFileError, ReadBackError, TargetExistsError
from vrxapp.files.geotiff import open_raster
from vrxapp.files.write_aside import new_file
from vrxapp.ground.grid import Grid, grid_transform
from vrxapp.ground.raster_source import RasterSource

NODATA = -9999.0
_SUFFIXES = (".tif", ".tiff")


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class RasterBand:
    """One band of a raster to be written.

    Parameters
    ----------
    name, unit : str
        What it shows, and the unit of its values; the unit may be empty.
    values : ndarray of float
        Rows and columns of the grid, NaN where there is no value. [unit]
    """

    name: str
    unit: str
    values: NDArray[np.float64]


def write_geotiff(
    bands: tuple[RasterBand, ...],
    grid: Grid,
    path: Path,
    *,
    facts: dict[str, str] | None = None,
    replace: bool = False,
) -> None:
    """Write bands over a grid as a GeoTIFF that has been read back.

    Values are stored as float32, north up, each cell an area; those missing as -9999, which
    no band may hold as a value.

    Parameters
    ----------
    bands : tuple of RasterBand
        At least one, each with the rows and columns of the grid.
    grid : Grid
        Where the cells lie, and in which coordinate system.
    path : Path
        The file, with the suffix .tif or .tiff.
    facts : dict of str to str, optional
        What else the file should tell of itself, as tags.
    replace : bool, default False
        Whether an older file may be replaced.

    Raises
    ------
    TargetExistsError
        If the file exists and may not be replaced, or is a folder.
    InputFileError
        If the name has another suffix.
    GroundError
        If a band does not fit the grid.
    ReadBackError
        If what was written, read back, is not what was meant; nothing is put in place.
    WriteError
        If the file cannot be written.
    """
    _check(bands, grid, path, replace=replace)
    with new_file(path) as aside:
        aside.write_bytes(_content(bands, grid, facts or {}))
        for number, band in enumerate(bands, start=1):
            _compare(open_raster(aside, band=number), band, grid, path.name)


def _check(bands: tuple[RasterBand, ...], grid: Grid, path: Path, *, replace: bool) -> None:
    """Refuse what cannot be written, before anything is."""
    if path.suffix.casefold() not in _SUFFIXES:
        raise InputFileError(
            "a map is written as GeoTIFF", mend="Let its name end in .tif", file=path.name
        )
    if path.exists() and not replace:
        raise TargetExistsError(
            "it exists already",
            mend="Choose another name, or say that it may be replaced",
            file=path.name,
        )
    if not bands:
        raise GroundError("there is no band to write")
    for band in bands:
        if band.values.shape != grid.shape:
            raise GroundError(f"the band {band.name!r} does not have the grid's rows and columns")
        if np.any(np.isinf(band.values) | (band.values == NODATA)):
            raise GroundError(
                f"the band {band.name!r} holds values that a GeoTIFF cannot tell from none",
                value=f"{NODATA:g} or endless",
            )


def _content(bands: tuple[RasterBand, ...], grid: Grid, facts: dict[str, str]) -> bytes:
    """The whole file, made in memory.

    So it is Python that writes to the disk, and a full disk or a missing folder is told in
    our own words.
    """
    from rasterio.io import MemoryFile  # brings a library of its own
    from rasterio.transform import Affine

    rows, columns = grid.shape
    profile: dict[str, Any] = {
        "driver": "GTiff",
        "height": rows,
        "width": columns,
        "count": len(bands),
        "dtype": "float32",
        "crs": grid.crs,
        "transform": Affine(*grid_transform(grid)),
        "nodata": NODATA,
        "compress": "deflate",
        "tiled": True,
        "interleave": "band",
    }
    with MemoryFile(ext=".tif") as memory:
        with memory.open(**profile) as dataset:
            dataset.update_tags(AREA_OR_POINT="Area", **facts)
            dataset.descriptions = tuple(band.name for band in bands)
            dataset.units = tuple(band.unit for band in bands)
            for number, band in enumerate(bands, start=1):
                stored = np.where(np.isnan(band.values), NODATA, band.values).astype(np.float32)
                dataset.write(stored, number)
        return bytes(memory.getbuffer())


def _compare(read: RasterSource, band: RasterBand, grid: Grid, file: str) -> None:
    """Refuse a band that does not read back as it was meant."""
    window = read.window(read.bounds, grid.inside.size)
    meant = band.values.astype(np.float32).astype(float)
    differences = (
        ("coordinate system", read.crs == grid.crs),
        ("place of its cells", np.allclose(read.transform, grid_transform(grid), rtol=1e-12)),
        ("name", read.band_name == band.name.strip()),
        ("unit", read.unit == band.unit.strip()),
        ("values", np.array_equal(window.values, meant, equal_nan=True)),
    )
    for what, is_alike in differences:
        if not is_alike:
            raise ReadBackError(
                f"the {what} of the band {band.name!r} did not come back as written",
                mend="Nothing was put in place; write it again, or to another disk",
                file=file,
            )
