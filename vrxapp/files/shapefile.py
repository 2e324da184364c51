"""Shapefile: what most spreader controllers take, kept as plain as they like it.

GDAL writes the geometry; the table is our own, since GDAL cannot set a field's width and
would store a wrong number rather than fail. pyshp, which shares no code with it, reads back.
"""

import math
import re
import warnings
from contextlib import suppress
from datetime import date
from pathlib import Path

import numpy as np
import pyproj
import shapely
from numpy.typing import NDArray

from vrxapp.errors import ReadBackError, TargetExistsError, WriteError
from vrxapp.files.dbf import DbfField, FieldKind, ascii_labels, write_dbf
from vrxapp.files.file_checks import WrittenRates
from vrxapp.files.write_aside import write_error
from vrxapp.ground.projected_crs import LON_LAT
from vrxapp.spreading.rate_map import RateMap

SHAPEFILE_UNIT = "kg/ha"
"""The unit that the name of the rate's field says."""
LABEL_WIDTH = 16
FIELDS = (
    DbfField("ID", FieldKind.NUMBER, 6),
    DbfField("RATE_KGHA", FieldKind.NUMBER, 10, 2),
    DbfField("ZONE", FieldKind.TEXT, LABEL_WIDTH),
)
PARTS = (".shp", ".shx", ".dbf", ".prj", ".cpg")
"""The files of a set: same base name, suffix in lower case."""

_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_-]{7,19}")
_POLYGON = 5
_AGAIN = "Write it again; if it happens again, report it"


def write_shapefile(
    rate_map: RateMap, folder: Path, *, name: str, written_on: date | None = None
) -> Path:
    """Write a map as a Shapefile: one polygon a record with its number, rate and zone.

    Write into a folder that is put in place later: a set of five files cannot be swapped in
    as one. A set that fails is removed.

    Parameters
    ----------
    rate_map : RateMap
        Single polygons without holes, two-dimensional (see `spreader_parts`); rates in
        kg/ha that two decimals hold.
    folder : Path
        Folder that is there already.
    name : str
        Base name: 8 to 20 of ``A-Z a-z 0-9 _ -``, a letter first.
    written_on : date, optional
        Date in the table's header; today where none is given.

    Returns
    -------
    Path
        The ``.shp`` file.

    Raises
    ------
    TargetExistsError
        If a file of the set exists.
    WriteError
        If a shape, a rate or the name is not what such a reader takes, or GDAL or the disk
        refuses.
    """
    path = folder / f"{name}.shp"
    _refuse_name(name, path)
    _refuse_map(rate_map, path.name)
    columns: list[list[float] | tuple[str, ...]] = [
        [float(number) for number in range(1, len(rate_map.rates) + 1)],
        [float(rate) for rate in rate_map.rates],
        ascii_labels(rate_map.labels, LABEL_WIDTH),
    ]
    try:
        _write_geometry(rate_map.shapes, path)
        write_dbf(path.with_suffix(".dbf"), FIELDS, columns, written_on=written_on or date.today())
    except BaseException:
        for suffix in PARTS:
            with suppress(OSError):
                path.with_suffix(suffix).unlink(missing_ok=True)
        raise
    return path


def read_shapefile_rates(path: Path) -> WrittenRates:
    """Read a written set back with pyshp.

    Parameters
    ----------
    path : Path
        The ``.shp`` file, or the folder that holds one.

    Returns
    -------
    WrittenRates
        Shapes, rates and labels, in the order of the records.

    Raises
    ------
    ReadBackError
        If a file of the set is missing or damaged, or its fields, shape type or coordinate
        system are others than laid down.
    """
    import shapefile  # another reader than the writer, needed only here

    path = _only_shapefile(path)
    _refuse_missing_parts(path)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            with shapefile.Reader(path.with_suffix("")) as reader:
                found = tuple((f.name, str(f.field_type), f.size, f.decimal) for f in reader.fields)
                kind = int(reader.shapeType)
                geometry = [shape.__geo_interface__ for shape in reader.iterShapes()]
                records = [tuple(record) for record in reader.iterRecords()]
    except Exception as error:  # whatever it trips over, the file cannot be trusted
        raise ReadBackError(
            f"it cannot be read back: {error}", mend=_AGAIN, file=path.name
        ) from error
    _refuse_other_layout(found, kind, path)
    _refuse_other_numbers(records, path)
    return WrittenRates(
        reader=f"pyshp {shapefile.__version__}",
        unit=SHAPEFILE_UNIT,
        shapes=np.array([shapely.geometry.shape(shape) for shape in geometry], dtype=object),
        labels=tuple(str(zone) for _, _, zone in records),
        rates=np.array([math.nan if r is None else float(r) for _, r, _ in records], dtype=float),
        label_width=LABEL_WIDTH,
    )


def _refuse_name(name: str, path: Path) -> None:
    """Refuse a name that a controller may not take, and a set that stands there already."""
    if not _NAME.fullmatch(name):
        raise WriteError(
            f"{name!r} is no name that every controller takes",
            mend="Use 8 to 20 of A-Z, a-z, 0-9, _ and -, a letter first",
            file=path.name,
        )
    for suffix in PARTS:
        if path.with_suffix(suffix).exists():
            raise TargetExistsError(
                "it exists already",
                mend="Choose another name or folder",
                file=path.with_suffix(suffix).name,
            )


def _refuse_map(rate_map: RateMap, file: str) -> None:
    """Refuse what this format, kept plain, does not hold."""
    if rate_map.unit != SHAPEFILE_UNIT:
        raise WriteError(
            f"the rates are in {rate_map.unit}",
            mend=f"This file holds rates in {SHAPEFILE_UNIT}",
            file=file,
        )
    if len(rate_map.shapes) == 0:
        raise WriteError("there is no part to write", mend="Give a zone a rate", file=file)
    for row, shape in enumerate(rate_map.shapes):
        problem = _shape_problem(shape)
        if problem:
            raise WriteError(
                f"part {row + 1} ({rate_map.labels[row]!r}) {problem}",
                mend="Make plain parts of the map first",
                file=file,
                row=row + 1,
            )
    negative = np.flatnonzero(rate_map.rates < 0)
    if negative.size:
        row = int(negative[0])
        raise WriteError(
            f"part {row + 1} ({rate_map.labels[row]!r}) has a rate below zero",
            mend="Rates start at 0",
            file=file,
            row=row + 1,
            column="RATE_KGHA",
            value=str(rate_map.rates[row]),
        )


def _shape_problem(shape: shapely.Geometry) -> str:
    """Why a shape is not the plain polygon that a record holds; empty if it is."""
    if shape.geom_type != "Polygon" or shape.is_empty:
        return "is not one polygon"
    if shape.interiors:
        return "has a hole"
    if shape.has_z or shape.has_m:
        return "has heights"
    if not shape.is_valid:
        return f"is not valid: {shapely.is_valid_reason(shape)}"
    west, south, east, north = shape.bounds
    return (
        "" if -180 <= west <= east <= 180 and -90 <= south <= north <= 90 else "is not in degrees"
    )


def _write_geometry(shapes: NDArray[np.object_], path: Path) -> None:
    """Write shapes, index, coordinate system and code page; any warning is an error."""
    import pyogrio.errors  # brings pandas, so only when a file is written
    import pyogrio.raw

    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        try:
            pyogrio.raw.write(
                path,
                shapely.to_wkb(shapes),
                [np.arange(1, len(shapes) + 1, dtype=np.int32)],
                ["ID"],
                geometry_type="Polygon",
                crs=LON_LAT,
                driver="ESRI Shapefile",
                encoding="UTF-8",
                layer_options={"SHPT": "POLYGON", "2GB_LIMIT": "YES"},
            )
        except OSError as error:
            raise write_error(error, path) from error
        except (RuntimeError, ValueError) as error:  # the roots of pyogrio's own errors
            raise _refused(str(error), path) from error
    if said:
        raise _refused(str(said[0].message), path)


def _refused(words: str, path: Path) -> WriteError:
    return WriteError(
        f"it could not be written in {path.parent}: {words}",
        mend="Make room on the disk, or choose another folder, then write again",
        file=path.name,
    )


def _only_shapefile(path: Path) -> Path:
    """The file itself, or the one Shapefile of a folder."""
    if not path.is_dir():
        return path
    found = sorted(path.glob("*.shp"))
    if len(found) != 1:
        raise ReadBackError(
            f"the folder holds {len(found)} Shapefiles instead of one", mend=_AGAIN, file=path.name
        )
    return found[0]


def _refuse_missing_parts(path: Path) -> None:
    """Refuse a set with a file missing, or with another coordinate system or code page."""
    for suffix in PARTS:
        if not path.with_suffix(suffix).is_file():
            raise ReadBackError(
                "this file of the set is missing", mend=_AGAIN, file=path.with_suffix(suffix).name
            )
    system = path.with_suffix(".prj").read_text("ascii", errors="replace")
    if not _is_lon_lat(system):
        raise ReadBackError(
            "it does not say WGS 84", mend=_AGAIN, file=path.with_suffix(".prj").name, value=system
        )
    if path.with_suffix(".cpg").read_bytes() != b"UTF-8":
        raise ReadBackError("it does not say UTF-8", mend=_AGAIN, file=f"{path.stem}.cpg")


def _is_lon_lat(system: str) -> bool:
    try:
        return pyproj.CRS.from_wkt(system).to_epsg() == pyproj.CRS(LON_LAT).to_epsg()
    except pyproj.exceptions.CRSError:
        return False


def _refuse_other_layout(found: tuple[tuple[object, ...], ...], kind: int, path: Path) -> None:
    """Refuse another shape type, or other fields than were to be written."""
    deleted = ("DeletionFlag", "C", 1, 0)  # pyshp lists the mark of deletion as a field
    wanted = (deleted, *((f.name, str(f.kind), f.width, f.decimals) for f in FIELDS))
    if kind != _POLYGON or found != wanted:
        raise ReadBackError(
            f"its shape type is {kind} and its fields are {found}", mend=_AGAIN, file=path.name
        )


def _refuse_other_numbers(records: list[tuple[object, ...]], path: Path) -> None:
    """Refuse records that are not numbered 1, 2, 3: one is missing or out of order."""
    for row, record in enumerate(records, start=1):
        if record[0] != row:
            raise ReadBackError(
                f"record {row} is numbered {record[0]}",
                mend=_AGAIN,
                file=path.with_suffix(".dbf").name,
                row=row,
                column="ID",
            )
