"""Shapefiles from elsewhere: a set of files of one name, plain or in a zip archive.

The set is checked by its headers first, since GDAL reads a set without names and one that
is cut short without a word.
"""

import struct
import tempfile
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

import numpy as np

from vrxapp.errors import InputFileError, Note
from vrxapp.files.gdal_reading import GdalSource, gdal_info, read_gdal_layer
from vrxapp.files.raw_layer import RawLayer, chosen_layer
from vrxapp.files.safe_reading import LARGEST_BYTES, told_failures
from vrxapp.files.zip_guard import guarded_zip, unpacked_bytes, wanted_entries

SHAPEFILE = "Shapefile"
MAGIC = struct.pack(">i", 9994)
_PARTS = (".shp", ".shx", ".dbf", ".prj", ".cpg")
_NEEDED = {".shx": "the index of its shapes", ".dbf": "the names and values of its shapes"}
_WHOLE_SET = "Ask for the whole set (.shp, .shx, .dbf, .prj) in one zip archive"
_HEADER_BYTES = 100
_UNTOLD_LANGUAGES = (0x00, 0x57)
"""Language ids that say nothing: none, and whatever the writer's computer was set to."""


@dataclass(frozen=True, slots=True)
class _FileSet:
    """The files of one Shapefile by their suffix, and the name that the user knows."""

    parts: Mapping[str, Path]
    file: str


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


def _beside(path: Path) -> _FileSet:
    """The set that a ``.shp`` belongs to; suffixes may be in capitals."""
    parts = {".shp": path}
    for suffix in _PARTS[1:]:
        for name in (path.with_suffix(suffix), path.with_suffix(suffix.upper())):
            if name.is_file():
                parts.setdefault(suffix, name)
    return _FileSet(parts, path.name)


@contextmanager
def _unpacked(path: Path, layer: str) -> Iterator[_FileSet]:
    """A set out of an archive, under names of our own, for as long as the block lasts."""
    with guarded_zip(path) as archive, tempfile.TemporaryDirectory() as folder:
        sets = _sets(archive, path.name)
        entries = sets[chosen_layer(tuple(sets), layer, file=path.name)]
        parts = {}
        for suffix, entry in entries.items():
            parts[suffix] = Path(folder) / f"layer{suffix}"
            parts[suffix].write_bytes(unpacked_bytes(archive, entry, file=path.name))
        yield _FileSet(parts, path.name)


def _sets(archive: zipfile.ZipFile, file: str) -> dict[str, dict[str, zipfile.ZipInfo]]:
    """The Shapefiles of an archive, each with its entries by suffix."""
    found: dict[str, dict[str, zipfile.ZipInfo]] = {}
    for entry in wanted_entries(archive, *_PARTS):
        name = PurePosixPath(entry.filename)
        found.setdefault(str(name.with_suffix("")), {})[name.suffix.lower()] = entry
    whole = {name: entries for name, entries in found.items() if ".shp" in entries}
    if not whole:
        listed = ", ".join(archive.namelist()[:5]) or "nothing"
        raise InputFileError(
            f"there is no .shp in the archive (it holds {listed})", mend=_WHOLE_SET, file=file
        )
    return whole


def _read_set(files: _FileSet) -> RawLayer:
    """The features of a set that is whole."""
    _refuse_damaged(files)
    encoding, notes = _encoding(files)
    raw = read_gdal_layer(_source(files, encoding))
    return RawLayer(raw.file, raw.crs, raw.shapes, raw.fields, (*notes, *raw.notes))


def _crs_of(files: _FileSet) -> str:
    _refuse_damaged(files)
    return str(gdal_info(_source(files, ""))["crs"] or "")


def _source(files: _FileSet, encoding: str) -> GdalSource:
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
    raw = table.read_bytes()
    content = np.frombuffer(raw, dtype=np.uint8)
    rows, head, width = struct.unpack_from("<IHH", raw, 4)
    flags = content[head : head + rows * width : width] if width else content[:0]
    return int(np.count_nonzero(flags == ord("*")))


def _refuse_damaged(files: _FileSet) -> None:
    """Refuse a set that is not whole, too large or cut short, as its headers tell."""
    for suffix, what in _NEEDED.items():
        if suffix not in files.parts:
            raise InputFileError(
                f"its {suffix} file, {what}, is missing", mend=_WHOLE_SET, file=files.file
            )
    for suffix, part in files.parts.items():
        with told_failures(part, SHAPEFILE), part.open("rb") as opened:
            head, size = opened.read(_HEADER_BYTES), part.stat().st_size
        if size > LARGEST_BYTES:
            raise InputFileError(
                f"its {suffix} file has {size / 1e6:,.0f} MB, and 500 MB can be read",
                mend="Leave out what lies outside the paddock",
                file=files.file,
            )
        if suffix in (".shp", ".shx"):
            _refuse_wrong_shapes(head, size, suffix, files.file)
        elif suffix == ".dbf":
            _refuse_short_table(head, size, files.file)
    _refuse_other_count(files)


def _refuse_wrong_shapes(head: bytes, size: int, suffix: str, file: str) -> None:
    """Refuse a ``.shp`` or ``.shx`` that is something else, or shorter than it says."""
    if not head.startswith(MAGIC):
        raise InputFileError(
            f"its {suffix} file is no part of a Shapefile", mend=_WHOLE_SET, file=file
        )
    told = 2 * struct.unpack_from(">i", head, 24)[0] if len(head) == _HEADER_BYTES else size + 1
    if size < told:
        raise _cut_short(suffix, file)


def _refuse_short_table(head: bytes, size: int, file: str) -> None:
    """Refuse a ``.dbf`` that is shorter than it says."""
    if len(head) < 32:
        raise _cut_short(".dbf", file)
    rows, header, row_bytes = struct.unpack_from("<IHH", head, 4)
    if size < header + rows * row_bytes:
        raise _cut_short(".dbf", file)


def _refuse_other_count(files: _FileSet) -> None:
    """Refuse a table and an index of which one has more entries: names would go astray."""
    with told_failures(files.parts[".shx"], SHAPEFILE), files.parts[".shx"].open("rb") as opened:
        told_bytes = 2 * struct.unpack_from(">i", opened.read(_HEADER_BYTES), 24)[0]
    with told_failures(files.parts[".dbf"], SHAPEFILE), files.parts[".dbf"].open("rb") as opened:
        rows = struct.unpack_from("<I", opened.read(32), 4)[0]
    shapes = (told_bytes - _HEADER_BYTES) // 8
    if shapes != rows:
        raise InputFileError(
            f"its table has {rows} rows, and its index {shapes} shapes",
            mend="Its files do not belong together: ask for the whole set again",
            file=files.file,
        )


def _cut_short(suffix: str, file: str) -> InputFileError:
    return InputFileError(
        f"its {suffix} file is cut short", mend="Copy or download the set again", file=file
    )


def _encoding(files: _FileSet) -> tuple[str, tuple[Note, ...]]:
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
