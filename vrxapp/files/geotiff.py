"""GeoTIFF: opening a band of a raster, and telling what a file holds."""

import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from vrxapp.errors import Note
from vrxapp.files.geotiff_band import GeoTiffBand, joined_shape, opened, part_values
from vrxapp.files.geotiff_checks import (
    chosen_band,
    crs_text,
    raster_facts,
    refuse_cut_short,
    refuse_too_large,
)
from vrxapp.ground.raster_source import Bounds, RasterSource

if TYPE_CHECKING:
    from rasterio.io import DatasetReader

_DESCRIBED_CELLS = 1_000_000


@dataclass(frozen=True, slots=True)
class BandDescription:
    """What one band of a raster holds.

    Parameters
    ----------
    number : int
        Counted from 1, as `open_raster` takes it.
    name, unit : str
        As the file says, else empty.
    stored_as : str
        How a value is stored, for instance ``"float32"``.
    share_with_value : float
        Of the cells, from 0 to 1.
    lowest, highest : float
        Of the values, NaN without any. [unit]
    """

    number: int
    name: str
    unit: str
    stored_as: str
    share_with_value: float
    lowest: float
    highest: float


@dataclass(frozen=True, slots=True)
class RasterDescription:
    """What a raster file holds.

    Parameters
    ----------
    file : str
        Its name.
    crs, crs_name : str
        EPSG code, or else the full text, and what people call the system.
    bounds : tuple of four floats
        West, south, east and north, in the coordinates of the system.
    shape : tuple of int
        Rows and columns.
    cell_size_m : tuple of float
        Width and height of a cell; in a file in degrees, near enough. [m]
    bands : tuple of BandDescription
        One for each band.
    notes : tuple of Note
        What is doubtful.
    """

    file: str
    crs: str
    crs_name: str
    bounds: Bounds
    shape: tuple[int, int]
    cell_size_m: tuple[float, float]
    bands: tuple[BandDescription, ...]
    notes: tuple[Note, ...]


def open_raster(path: Path, *, band: int | None = None) -> RasterSource:
    """One band of a GeoTIFF, ready to be read in parts.

    Values marked as missing come as NaN; a scale and an offset that the file gives are
    applied. A file tagged as measured at points has its cells around those points.

    Parameters
    ----------
    path : Path
        A GeoTIFF with a coordinate system, of 4,000 million cells and 100 bands at most.
    band : int, optional
        Which band, counted from 1; a file with several asks for it.

    Returns
    -------
    RasterSource
        The band. The file is closed again; each read opens it anew.

    Raises
    ------
    InputFileError
        If there is no such file, it is no GeoTIFF, is cut short or too large.
    GroundError
        If it does not say where it lies, is turned, or its cells have an unlikely size.
    MissingInputError
        If it holds several bands and none was chosen.
    UnknownChoiceError
        If it has no such band.
    """

    def source(dataset: "DatasetReader") -> RasterSource:
        refuse_too_large(dataset, path.name)
        refuse_cut_short(dataset, path.name)
        facts = raster_facts(dataset, path.name)
        number = chosen_band(dataset, band, path.name)
        name, unit = _band_name(dataset, number), _band_unit(dataset, number)
        return GeoTiffBand(path, number, facts, crs_text(facts.crs_wkt), name, unit)

    return opened(path, source)


def describe_raster(path: Path) -> RasterDescription:
    """What a GeoTIFF holds, band by band.

    Parameters
    ----------
    path : Path
        As for `open_raster`.

    Returns
    -------
    RasterDescription
        In a raster of more than a million cells, shares, lowest and highest values are those
        of cells joined until a million are left.

    Raises
    ------
    InputFileError
        If there is no such file, it is no GeoTIFF, is cut short or too large.
    GroundError
        If it does not say where it lies, is turned, or its cells have an unlikely size.
    """

    def description(dataset: "DatasetReader") -> RasterDescription:
        import pyproj

        refuse_too_large(dataset, path.name)
        refuse_cut_short(dataset, path.name)
        facts = raster_facts(dataset, path.name)
        bands = tuple(_band_description(dataset, number) for number in dataset.indexes)
        return RasterDescription(
            file=path.name,
            crs=crs_text(facts.crs_wkt),
            crs_name=str(pyproj.CRS.from_wkt(facts.crs_wkt).name),
            bounds=facts.bounds,
            shape=facts.shape,
            cell_size_m=facts.cell_size_m,
            bands=bands,
            notes=tuple(_empty_band(b, path.name) for b in bands if b.share_with_value == 0.0),
        )

    return opened(path, description)


def _band_name(dataset: "DatasetReader", band: int) -> str:
    return str(dataset.descriptions[band - 1] or "").strip()


def _band_unit(dataset: "DatasetReader", band: int) -> str:
    """The unit that the band says, or else the file as a whole."""
    return str(dataset.units[band - 1] or dataset.tags().get("UNITS", "")).strip()


def _band_description(dataset: "DatasetReader", band: int) -> BandDescription:
    """Name, unit and spread of a band."""
    whole = (0, dataset.height, 0, dataset.width)
    out_shape = joined_shape((dataset.height, dataset.width), _DESCRIBED_CELLS)
    values = part_values(dataset, band, part=whole, out_shape=out_shape)
    found = values[np.isfinite(values)]
    return BandDescription(
        number=band,
        name=_band_name(dataset, band),
        unit=_band_unit(dataset, band),
        stored_as=str(dataset.dtypes[band - 1]),
        share_with_value=found.size / values.size,
        lowest=float(found.min()) if found.size else math.nan,
        highest=float(found.max()) if found.size else math.nan,
    )


def _empty_band(band: BandDescription, file: str) -> Note:
    return Note(
        f"no cell of band {band.number} holds a value",
        mend="Check that the right part of the survey was exported",
        file=file,
    )
