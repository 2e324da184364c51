"""GeoPackage from elsewhere: a database, so it is looked through before GDAL runs anything.

SQL that a file brings along (views, triggers, foreign tables) is never run: SQLite opens the
file read-only and trusts no schema, and a file that holds more than the standard's own is
refused.
"""

import re
import sqlite3
import struct
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from vrxapp.errors import InputFileError
from vrxapp.files.gdal_reading import GdalSource, gdal_info, read_gdal_layer
from vrxapp.files.raw_layer import RawLayer, chosen_layer

GEOPACKAGE = "GeoPackage"
MAGIC = b"SQLite format 3\0"
_STANDARD_TRIGGERS = ("gpkg_", "rtree_")
_COUNTING_TRIGGER = re.compile(
    r"CREATE TRIGGER \"(?:[^\"]|\"\")+\" AFTER (?:INSERT|DELETE) ON \"(?:[^\"]|\"\")+\" BEGIN "
    r"UPDATE gpkg_ogr_contents SET feature_count = feature_count [+-] 1 "
    r"WHERE lower\(table_name\) = lower\('(?:[^']|'')*'\); END"
)
"""GDAL keeps its count of features with these two; nearly every file of a map program has them."""
_INDEX_TABLE = re.compile(
    r"CREATE VIRTUAL TABLE (?:\"(?:[^\"]|\"\")+\"|[^\s\"]+) USING rtree\b", re.IGNORECASE
)
"""The name of an index holds the layer's, which may have blanks and quotation marks."""
_UNDEFINED_SYSTEMS = (-1, 0, 99999)
_EXPORT_LAYER = "Export the layer that you need into a new GeoPackage"
_CLOSE_IT = "Close it in the program that has it open, then open it here"


@dataclass(frozen=True, slots=True)
class _Layer:
    """A layer of features and the number of its coordinate system."""

    name: str
    srs_id: int


def read_geopackage(path: Path, *, layer: str = "") -> RawLayer:
    """The features of one layer of a GeoPackage.

    Parameters
    ----------
    path : Path
        The file.
    layer : str, optional
        Which of its layers, where it holds several.

    Returns
    -------
    RawLayer
        Shapes in the numbers of the file, and their fields.

    Raises
    ------
    InputFileError
        If it is damaged, in use, no GeoPackage, or holds SQL that is not the standard's own.
    UnknownChoiceError
        If it has several layers and none is chosen.
    """
    layers = {one.name: one for one in _checked_layers(path)}
    chosen = layers[chosen_layer(tuple(layers), layer, file=path.name)]
    crs = "" if chosen.srs_id in _UNDEFINED_SYSTEMS else None
    return read_gdal_layer(_source(path, chosen.name), crs=crs)


def geopackage_layers(path: Path) -> tuple[str, ...]:
    """The layers of features in a GeoPackage."""
    return tuple(one.name for one in _checked_layers(path))


def geopackage_crs(path: Path, layer: str) -> str:
    """The coordinate system that a layer names, empty for none."""
    for one in _checked_layers(path):
        if one.name == layer and one.srs_id not in _UNDEFINED_SYSTEMS:
            return str(gdal_info(_source(path, layer))["crs"] or "")
    return ""


def _source(path: Path, layer: str) -> GdalSource:
    return GdalSource(
        path.resolve(),
        path.name,
        driver="GPKG",
        kind=GEOPACKAGE,
        layer=layer,
        is_immutable=True,  # or GDAL would lay files beside one that was left in another mode
    )


def _checked_layers(path: Path) -> tuple[_Layer, ...]:
    """The layers of a file that holds nothing but data."""
    _refuse_in_use(path)
    _refuse_cut_short(path)
    with _read_only(path) as database:
        tables = {row[0] for row in database.execute("SELECT lower(name) FROM sqlite_master")}
        if not {"gpkg_contents", "gpkg_geometry_columns"} <= tables:
            raise InputFileError(
                "it is a database, but no GeoPackage with shapes",
                mend=_EXPORT_LAYER,
                file=path.name,
            )
        for kind, name, sql in database.execute("SELECT type, name, sql FROM sqlite_master"):
            _refuse_own_sql(kind, name, sql=sql or "", file=path.name)
        rows = database.execute(
            "SELECT c.table_name, g.srs_id FROM gpkg_contents AS c "
            "JOIN gpkg_geometry_columns AS g ON lower(g.table_name) = lower(c.table_name) "
            "WHERE c.data_type = 'features' ORDER BY c.table_name"
        )
        return tuple(_Layer(str(name), int(srs_id)) for name, srs_id in rows)


@contextmanager
def _read_only(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection that neither writes nor trusts what the file brings along."""
    address = f"{path.resolve().as_uri()}?mode=ro&immutable=1"
    try:
        with closing(sqlite3.connect(address, uri=True)) as database:
            database.execute("PRAGMA trusted_schema=OFF")
            yield database
    except (sqlite3.Error, ValueError, TypeError) as error:
        gone = not path.is_file()
        raise InputFileError(
            "the file vanished while it was being read" if gone else f"it is damaged: {error}",
            mend="Copy it again, or export it again as GeoPackage",
            file=path.name,
        ) from error


def _refuse_in_use(path: Path) -> None:
    """Refuse a file whose latest changes still lie beside it."""
    for ending in ("-wal", "-journal"):
        beside = path.with_name(path.name + ending)
        if beside.is_file() and beside.stat().st_size > 0:
            raise InputFileError(
                "another program has it open, or left it unfinished",
                mend=_CLOSE_IT,
                file=path.name,
                value=beside.name,
            )


def _refuse_cut_short(path: Path) -> None:
    """Refuse a file with fewer pages than its header tells."""
    try:
        with path.open("rb") as opened:
            head = opened.read(100)
        size = path.stat().st_size
    except OSError as error:
        raise InputFileError(
            "the file vanished while it was being read, or may not be read",
            mend="Put the disk or card back in, and open it again",
            file=path.name,
        ) from error
    if len(head) < 100:
        raise _cut_short(path)
    page_bytes = struct.unpack_from(">H", head, 16)[0]
    changed, pages = struct.unpack_from(">II", head, 24)
    told_by = struct.unpack_from(">I", head, 92)[0]
    if changed == told_by and size < pages * (65536 if page_bytes == 1 else page_bytes):
        raise _cut_short(path)


def _cut_short(path: Path) -> InputFileError:
    return InputFileError("the file is cut short", mend="Copy or download it again", file=path.name)


def _refuse_own_sql(kind: str, name: str, *, sql: str, file: str) -> None:
    """Refuse SQL that the standard does not bring and a reader would run."""
    if kind == "view":
        problem = "it holds a view, which is a program and not data"
    elif kind == "trigger" and not _is_known_trigger(name, sql):
        problem = "it holds a trigger, which is a program and not data"
    elif re.match(r"\s*CREATE\s+VIRTUAL", sql, re.IGNORECASE) and not _INDEX_TABLE.match(sql):
        problem = "it holds a table that other programs stand behind"
    else:
        return
    raise InputFileError(problem, mend=_EXPORT_LAYER, file=file, value=name)


def _is_known_trigger(name: str, sql: str) -> bool:
    """Whether a trigger is the standard's own, or one by which GDAL counts."""
    return name.lower().startswith(_STANDARD_TRIGGERS) or bool(_COUNTING_TRIGGER.fullmatch(sql))
