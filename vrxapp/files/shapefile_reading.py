"""Shapefiles from elsewhere: a set of files of one name, plain or in a zip archive."""

import struct
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath

import numpy as np

from vrxapp.errors import InputFileError, Note
from vrxapp.files.gdal_reading import GdalSource, gdal_info, read_gdal_layer
from vrxapp.files.raw_layer import RawLayer, chosen_layer
from vrxapp.files.safe_reading import told_failures
from vrxapp.files.shapefile_set import (
    SET_SUFFIXES,
    SHAPEFILE,
    WHOLE_SET,
    ShapefileSet,
    checked_set,
)
from vrxapp.files.zip_guard import guarded_zip, unpacked_bytes, wanted_entries

_UNTOLD_LANGUAGES = (0x00, 0x57)
"""Language ids that say nothing: none, and whatever the writer's computer was set to."""


def read_shapefile(path: Path, *, layer: str = "") -> RawLayer:
    """The features of a plain Shapefile.

    Parameters
    ----------
    path : Path
        The ``.shp`` of a set.
    layer : str, optional
        Its own name, or empty.

    Returns
    -------
    RawLayer
        Shapes in the numbers of the file, and their fields.

    Raises
    ------
    InputFileError
        If a file of the set is missing, cut short or no part of a Shapefile.
    """
    chosen_layer(shapefile_layers(path), layer, file=path.name)
    return _read_set(_beside(path))


def shapefile_layers(path: Path) -> tuple[str, ...]:
    """The one layer of a plain Shapefile, called like the file."""
    return (path.stem,)


def shapefile_crs(path: Path, layer: str) -> str:
    """The coordinate system that a plain Shapefile names, empty for none."""
    del layer  # there is one
    return _crs_of(_beside(path))


def read_zipped_shapefile(path: Path, *, layer: str = "") -> RawLayer:
    """The features of a Shapefile in a zip archive.

    Parameters
    ----------
    path : Path
        The archive.
    layer : str, optional
        Which of its Shapefiles, where it holds several.

    Returns
    -------
    RawLayer
        Shapes in the numbers of the file, and their fields.

    Raises
    ------
    InputFileError
        If the archive is not harmless, holds no Shapefile, or the set is not whole.
    UnknownChoiceError
        If it holds several and none is chosen.
    """
    with _unpacked(path, layer) as files:
        return _read_set(files)


def zipped_shapefile_layers(path: Path) -> tuple[str, ...]:
    """The Shapefiles in an archive, by their names without suffix."""
    with guarded_zip(path) as archive:
        return tuple(_sets(archive, path.name))


def zipped_shapefile_crs(path: Path, layer: str) -> str:
    """The coordinate system that a zipped Shapefile names, empty for none."""
    with _unpacked(path, layer) as files:
        return _crs_of(files)


def _beside(path: Path) -> ShapefileSet:
    """The set that a ``.shp`` belongs to; suffixes may be in capitals."""
    parts = {".shp": path}
    for suffix in SET_SUFFIXES[1:]:
        for name in (path.with_suffix(suffix), path.with_suffix(suffix.upper())):
            if name.is_file():
                parts.setdefault(suffix, name)
    return ShapefileSet(parts, path.name)


@contextmanager
def _unpacked(path: Path, layer: str) -> Iterator[ShapefileSet]:
    """A set out of an archive, under names of our own, for as long as the block lasts."""
    with guarded_zip(path) as archive, tempfile.TemporaryDirectory() as folder:
        sets = _sets(archive, path.name)
        entries = sets[chosen_layer(tuple(sets), layer, file=path.name)]
        parts = {}
        for suffix, entry in entries.items():
            parts[suffix] = Path(folder) / f"layer{suffix}"
            parts[suffix].write_bytes(unpacked_bytes(archive, entry, file=path.name))
        yield ShapefileSet(parts, path.name)


def _sets(archive: zipfile.ZipFile, file: str) -> dict[str, dict[str, zipfile.ZipInfo]]:
    """The Shapefiles of an archive, each with its entries by suffix."""
    found: dict[str, dict[str, zipfile.ZipInfo]] = {}
    for entry in wanted_entries(archive, *SET_SUFFIXES):
        name = PurePosixPath(entry.filename)
        found.setdefault(str(name.with_suffix("")), {})[name.suffix.lower()] = entry
    whole = {name: entries for name, entries in found.items() if ".shp" in entries}
    if not whole:
        listed = ", ".join(archive.namelist()[:5]) or "nothing"
        raise InputFileError(
            f"there is no .shp in the archive (it holds {listed})", mend=WHOLE_SET, file=file
        )
    return whole


def _read_set(files: ShapefileSet) -> RawLayer:
    """The features of a set that is whole, or lacks its index alone."""
    with checked_set(files) as (whole, made):
        encoding, guessed = _encoding(whole)
        raw = read_gdal_layer(_source(whole, encoding))
    return RawLayer(raw.file, raw.crs, raw.shapes, raw.fields, (*made, *guessed, *raw.notes))


def _crs_of(files: ShapefileSet) -> str:
    with checked_set(files) as (whole, _):
        return str(gdal_info(_source(whole, ""))["crs"] or "")


def _source(files: ShapefileSet, encoding: str) -> GdalSource:
    return GdalSource(
        files.parts[".shp"].resolve(),
        files.file,
        driver="ESRI Shapefile",
        kind=SHAPEFILE,
        encoding=encoding,
        deleted_rows=_deleted_rows(files.parts[".dbf"]),
    )


def _deleted_rows(table: Path) -> int:
    """Rows of a table that were marked as deleted; they still stand in it."""
    with told_failures(table, SHAPEFILE):
        raw = table.read_bytes()
    content = np.frombuffer(raw, dtype=np.uint8)
    rows, head, width = struct.unpack_from("<IHH", raw, 4)
    flags = content[head : head + rows * width : width] if width else content[:0]
    return int(np.count_nonzero(flags == ord("*")))


def _encoding(files: ShapefileSet) -> tuple[str, tuple[Note, ...]]:
    """The encoding of the texts where the set does not tell it, with a note of a guess."""
    table = files.parts[".dbf"]
    if ".cpg" in files.parts:
        return "", ()
    with told_failures(table, SHAPEFILE):
        content = table.read_bytes()
    texts = content[32:]
    if content[29] not in _UNTOLD_LANGUAGES or texts.isascii():
        return "", ()
    try:
        texts.decode("utf-8")
    except UnicodeDecodeError:
        guess = Note(
            "it does not say how its letters are stored; they were read as Windows-1252",
            mend="Check names with letters beyond a to z",
            file=files.file,
        )
        return "CP1252", (guess,)
    return "UTF-8", ()
