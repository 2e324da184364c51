"""The files of one Shapefile: whether they are whole, and belong together.

GDAL reads a set without names, and one that is cut short, without a word; so the headers are
looked at first. Of a set that lacks its index alone, a copy with a new one is made aside.
"""

import mmap
import shutil
import struct
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from vrxapp.errors import InputFileError, Note
from vrxapp.files.safe_reading import LARGEST_BYTES, told_failures
from vrxapp.files.shape_index import HEADER_BYTES, index_from_shapes, other_kinds

SHAPEFILE = "Shapefile"
MAGIC = struct.pack(">i", 9994)
SET_SUFFIXES = (".shp", ".shx", ".dbf", ".prj", ".cpg")
WHOLE_SET = "Ask for the whole set (.shp, .shx, .dbf, .prj) in one zip archive"


@dataclass(frozen=True, slots=True)
class ShapefileSet:
    """The files of one Shapefile by their suffix, and the name that the user knows."""

    parts: Mapping[str, Path]
    file: str


@contextmanager
def checked_set(files: ShapefileSet) -> Iterator[tuple[ShapefileSet, tuple[Note, ...]]]:
    """A set that is not damaged, and what was done about one that lacks its index.

    Parameters
    ----------
    files : ShapefileSet
        A set with its ``.shp``.

    Yields
    ------
    tuple of ShapefileSet and tuple of Note
        The same set, or a copy with a new index that lies aside for as long as the block lasts.

    Raises
    ------
    InputFileError
        If a needed file is missing, cut short, too large, or no part of the set.
    """
    _refuse_damaged(files)
    if ".shx" in files.parts:
        _refuse_other_count(files)
        _refuse_other_kinds(files)
        yield files, ()
        return
    with tempfile.TemporaryDirectory() as folder:
        whole = _with_new_index(files, Path(folder))
        _refuse_other_count(whole)
        note = Note(
            "its .shx file, the index of its shapes, is missing; it was made anew from the .shp, "
            "and not saved",
            mend="Look at the map whether each shape has its own values, or ask for the whole set",
            file=files.file,
        )
        yield whole, (note,)


def _with_new_index(files: ShapefileSet, folder: Path) -> ShapefileSet:
    """A copy of a set with the index that its shapes tell."""
    parts = {suffix: folder / f"layer{suffix}" for suffix in (*files.parts, ".shx")}
    with told_failures(files.parts[".shp"], SHAPEFILE):
        index = index_from_shapes(files.parts[".shp"].read_bytes())
    if index is None:
        raise InputFileError(
            "its .shx file, the index of its shapes, is missing, and its .shp file is not sound "
            "enough to make a new one from it",
            mend=WHOLE_SET,
            file=files.file,
        )
    for suffix, part in files.parts.items():
        with told_failures(part, SHAPEFILE):
            shutil.copyfile(part, parts[suffix])
    parts[".shx"].write_bytes(index)
    return ShapefileSet(parts, files.file)


def _refuse_damaged(files: ShapefileSet) -> None:
    """Refuse a set without its table, too large or cut short, as its headers tell."""
    if ".dbf" not in files.parts:
        raise InputFileError(
            "its .dbf file, the names and values of its shapes, is missing",
            mend=WHOLE_SET,
            file=files.file,
        )
    for suffix, part in files.parts.items():
        with told_failures(part, SHAPEFILE), part.open("rb") as opened:
            head, size = opened.read(HEADER_BYTES), part.stat().st_size
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


def _refuse_wrong_shapes(head: bytes, size: int, suffix: str, file: str) -> None:
    """Refuse a ``.shp`` or ``.shx`` that is something else, or shorter than it says."""
    if not head.startswith(MAGIC):
        raise InputFileError(
            f"its {suffix} file is no part of a Shapefile", mend=WHOLE_SET, file=file
        )
    told = 2 * struct.unpack_from(">i", head, 24)[0] if len(head) == HEADER_BYTES else size + 1
    if size < told:
        raise _cut_short(suffix, file)


def _refuse_short_table(head: bytes, size: int, file: str) -> None:
    """Refuse a ``.dbf`` that is shorter than it says."""
    if len(head) < 32:
        raise _cut_short(".dbf", file)
    rows, header, row_bytes = struct.unpack_from("<IHH", head, 4)
    if size < header + rows * row_bytes:
        raise _cut_short(".dbf", file)


def _refuse_other_count(files: ShapefileSet) -> None:
    """Refuse a table and an index of which one has more entries: names would go astray."""
    with told_failures(files.parts[".shx"], SHAPEFILE), files.parts[".shx"].open("rb") as opened:
        told_bytes = 2 * struct.unpack_from(">i", opened.read(HEADER_BYTES), 24)[0]
    with told_failures(files.parts[".dbf"], SHAPEFILE), files.parts[".dbf"].open("rb") as opened:
        rows = struct.unpack_from("<I", opened.read(32), 4)[0]
    shapes = (told_bytes - HEADER_BYTES) // 8
    if shapes != rows:
        raise InputFileError(
            f"its table has {rows} rows, and its index {shapes} shapes",
            mend="Its files do not belong together: ask for the whole set again",
            file=files.file,
        )


def _refuse_other_kinds(files: ShapefileSet) -> None:
    """Refuse a set in which a shape is not of the one kind that the set may hold."""
    with told_failures(files.parts[".shp"], SHAPEFILE):
        index = files.parts[".shx"].read_bytes()
        # mapped, since one number of each record is looked at, and the whole may be large
        with (
            files.parts[".shp"].open("rb") as opened,
            mmap.mmap(opened.fileno(), 0, access=mmap.ACCESS_READ) as content,
        ):
            others = other_kinds(content, index)
    if others.size:
        row = int(others[0]) + 1
        raise InputFileError(
            f"feature {row}: its shape is of another kind than the set is made for, or missing",
            mend="Export each kind of shape (points, lines, polygons) into a set of its own",
            file=files.file,
            row=row,
        )


def _cut_short(suffix: str, file: str) -> InputFileError:
    return InputFileError(
        f"its {suffix} file is cut short", mend="Copy or download the set again", file=file
    )
