"""The gate before a GeoTIFF: what is refused, and in which words."""

import math
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pyproj

from vrxapp.errors import GroundError, InputFileError, MissingInputError, UnknownChoiceError
from vrxapp.files.safe_reading import checked_head, starts_with
from vrxapp.ground.raster_source import Affine, Bounds
from vrxapp.soil.place_notes import listed

if TYPE_CHECKING:
    from rasterio.io import DatasetReader

MOST_CELLS = 4_000_000_000
"""A thousand hectares in cells of 5 cm; memory does not grow with it, only time."""
MOST_BANDS = 100
SMALLEST_CELL_M, LARGEST_CELL_M = 0.05, 1000.0

_MAGIC = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")  # TIFF and BigTIFF, either byte order
_MOST_TAGS = 4096
_TAG_BYTES = dict(enumerate((1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4), start=1)) | {
    16: 8,
    17: 8,
    18: 8,
}
_METRES_PER_DEGREE = 111_320.0
_EXPORT_AGAIN = "Export it again as GeoTIFF with its coordinate system"


@dataclass(frozen=True, slots=True)
class RasterFacts:
    """Where a raster lies and how large it is."""

    crs_wkt: str
    shape: tuple[int, int]
    transform: Affine
    bounds: Bounds
    cell_size_m: tuple[float, float]


def refuse_no_tiff(path: Path) -> None:
    """Refuse what is no file or does not begin as a TIFF does, whatever its name.

    Raises
    ------
    InputFileError
        If so, or if the file may not be read.
    """
    checked_head(path, is_right=starts_with(*_MAGIC), kind="GeoTIFF")


def crs_text(wkt: str) -> str:
    """A coordinate system as an EPSG code where it has one, else as its full text."""
    code = pyproj.CRS.from_wkt(wkt).to_epsg()
    return wkt if code is None else f"EPSG:{code}"


def raster_facts(dataset: "DatasetReader", file: str) -> RasterFacts:
    """Where an open raster lies, once it has passed every check.

    Raises
    ------
    GroundError
        If it does not say where it lies, is turned, or its cells have an unlikely size.
    """
    transform = _upright_transform(dataset, file)
    crs = _map_crs(dataset, file)
    a, _, c, _, e, f = transform
    east, far = c + a * dataset.width, f + e * dataset.height
    bounds = (c, min(f, far), east, max(f, far))
    cell_size_m = _cell_size_m(crs, transform, middle=(f + far) / 2)
    if not all(SMALLEST_CELL_M <= side <= LARGEST_CELL_M for side in cell_size_m):
        raise GroundError(
            f"a cell is {cell_size_m[0]:.3g} m by {cell_size_m[1]:.3g} m",
            mend="Cells from 5 cm to 1 km are read; check the coordinate system of the file",
            file=file,
        )
    shape = (dataset.height, dataset.width)
    return RasterFacts(dataset.crs.to_wkt(), shape, transform, bounds, cell_size_m)


def refuse_too_large(dataset: "DatasetReader", file: str) -> None:
    """Refuse more cells or bands than a paddock needs, and values that are no plain numbers.

    Raises
    ------
    InputFileError
        If so.
    """
    if dataset.width * dataset.height > MOST_CELLS or dataset.count > MOST_BANDS:
        raise InputFileError(
            f"the raster has {dataset.height} rows, {dataset.width} columns and {dataset.count} "
            f"bands; at most {MOST_CELLS // 1_000_000:,} million cells and {MOST_BANDS} bands are "
            "read",
            mend="Cut it to the paddock, or export it with larger cells",
            file=file,
        )
    if not all(kind.startswith(("float", "int", "uint")) for kind in dataset.dtypes):
        raise InputFileError(
            f"its values are {dataset.dtypes[0]}, not plain numbers",
            mend="Export it as float32",
            file=file,
        )


def refuse_cut_short(dataset: "DatasetReader", file: str) -> None:
    """Refuse a file that ends before its last value does.

    Raises
    ------
    InputFileError
        If so.
    """
    path = Path(dataset.name)
    size = path.stat().st_size
    if _tags_end(path) > size:
        raise _cut_short(file, size)
    bands = dataset.indexes[:1] if dataset.profile.get("interleave") == "pixel" else dataset.indexes
    for band in bands:
        for (row, column), _ in dataset.block_windows(band):
            spot = f"{column}_{row}"
            start = dataset.get_tag_item(f"BLOCK_OFFSET_{spot}", "TIFF", bidx=band)
            length = dataset.get_tag_item(f"BLOCK_SIZE_{spot}", "TIFF", bidx=band)
            # a block without a place holds no value at all
            if start and length and int(start) + int(length) > size:
                raise _cut_short(file, size)


def chosen_band(dataset: "DatasetReader", band: int | None, file: str) -> int:
    """The band that is meant.

    Raises
    ------
    MissingInputError
        If the file holds several and none was chosen.
    UnknownChoiceError
        If it has no such band.
    """
    names = [
        f"{number} {dataset.descriptions[number - 1] or ''}".rstrip() for number in dataset.indexes
    ]
    if band is None and dataset.count > 1:
        raise MissingInputError(
            f"the file holds {dataset.count} bands",
            mend=f"Choose one of them: {listed(names)}",
            file=file,
            column="band",
        )
    number = 1 if band is None else band
    if number not in dataset.indexes:
        raise UnknownChoiceError(
            f"the file has no band {number}",
            mend=f"Choose one of: {listed(names)}",
            file=file,
            column="band",
            value=str(number),
        )
    return number


def _upright_transform(dataset: "DatasetReader", file: str) -> Affine:
    """Where the cells lie, if rows run east."""
    if dataset.transform.is_identity:
        raise GroundError(
            "the raster does not say where it lies (no georeferencing)",
            mend=_EXPORT_AGAIN,
            file=file,
        )
    a, b, c, d, e, f = (float(number) for number in dataset.transform[:6])
    if b != 0.0 or d != 0.0 or a <= 0.0 or e == 0.0:
        raise GroundError(
            "the raster is turned or mirrored: its rows do not run from west to east",
            mend="Export it again with north up",
            file=file,
        )
    return (a, b, c, d, e, f)


def _map_crs(dataset: "DatasetReader", file: str) -> pyproj.CRS:
    """The coordinate system, if the file has one that a map can be in."""
    if dataset.crs is None:
        raise GroundError("the raster has no coordinate system", mend=_EXPORT_AGAIN, file=file)
    try:
        crs = pyproj.CRS.from_wkt(dataset.crs.to_wkt())
    except pyproj.exceptions.CRSError:
        crs = None
    if crs is None or not (crs.is_projected or crs.is_geographic):
        raise GroundError(
            "the raster's coordinate system is none that is known here",
            mend=_EXPORT_AGAIN,
            file=file,
            value=str(dataset.crs)[:80],
        )
    return crs


def _cell_size_m(crs: pyproj.CRS, transform: Affine, *, middle: float) -> tuple[float, float]:
    """Width and height of a cell; degrees are turned into metres, near enough. [m]"""
    width, height = transform[0], abs(transform[4])
    if crs.is_geographic:
        narrower = math.cos(math.radians(max(-89.0, min(89.0, middle))))
        return (width * _METRES_PER_DEGREE * narrower, height * _METRES_PER_DEGREE)
    metres = float(crs.axis_info[0].unit_conversion_factor) if crs.axis_info else 1.0
    return (width * metres, height * metres)


def _cut_short(file: str, size: int) -> InputFileError:
    return InputFileError(
        f"the file is cut short: it should go on beyond its {size:,} bytes",
        mend="Copy it again, or export it again as GeoTIFF",
        file=file,
    )


def _tags_end(path: Path) -> int:
    """Where the values of the tags of the first directory end; the library skips lost ones."""
    with path.open("rb") as stream:
        head = stream.read(16)
        order, is_big = "<>"[head[:2] == b"MM"], head[2:4] in (b"+\0", b"\0+")
        # count of tags, count of values, bytes that a tag takes and that fit inside it
        counts, entry, inside = ("Q", "Q", 8) if is_big else ("H", "I", 4)
        (start,) = struct.unpack_from(f"{order}{entry}", head, 8 if is_big else 4)
        stream.seek(start)
        (tags,) = struct.unpack(f"{order}{counts}", stream.read(struct.calcsize(counts)))
        layout = struct.Struct(f"{order}HH{entry}{entry}")
        directory = stream.read(layout.size * min(tags, _MOST_TAGS))
    end = 0
    for at in range(0, len(directory) - layout.size + 1, layout.size):
        _, kind, values, place = layout.unpack_from(directory, at)
        length = _TAG_BYTES.get(kind, 1) * values
        end = max(end, place + length if length > inside else 0)
    return int(end)
