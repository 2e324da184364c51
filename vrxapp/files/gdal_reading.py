"""One layer out of GDAL, with its driver checked and its warnings kept.

Only for files that passed the gate of `safe_reading` and the checks of their own format.
"""

import gc
import math
import warnings
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, Note
from vrxapp.files.raw_layer import RawLayer, TableRows
from vrxapp.files.safe_reading import MOST_POINTS, refuse_too_many, told_failures

_DROPPED_MEASURES = "Measured (M) geometry types are not supported"


@dataclass(frozen=True, slots=True)
class GdalSource:
    """A layer that GDAL shall read.

    Parameters
    ----------
    path : Path
        The file, absolute.
    file : str
        Name to tell the user, which differs from the path's for an unpacked file.
    driver : str
        The only driver that may answer.
    kind : str
        What the format is called, for messages.
    layer : str, optional
        Name of the layer; the only one where empty.
    encoding : str, optional
        Encoding of its texts; what the file says where empty.
    is_immutable : bool, default False
        Whether GDAL shall take the file as one that nobody writes to, and lay no lock.
    deleted_rows : int, default 0
        Rows that the file counts although they were marked as deleted.
    """

    path: Path
    file: str
    driver: str
    kind: str
    layer: str = ""
    encoding: str = ""
    is_immutable: bool = False
    deleted_rows: int = 0


def read_gdal_layer(source: GdalSource, *, crs: str | None = None) -> RawLayer:
    """The features of a layer as they stand in the file.

    Parameters
    ----------
    source : GdalSource
        Which layer.
    crs : str, optional
        Coordinate system to note instead of the one that GDAL tells.

    Returns
    -------
    RawLayer
        Shapes in the numbers of the file, fields, and GDAL's warnings as notes.

    Raises
    ------
    InputFileError
        If another driver answers, the file is damaged, or it holds too much.
    """
    info = gdal_info(source)
    import pyogrio.raw  # brings pandas, so only when a file is read

    with _told(source) as said:
        meta, _, geometry, columns = pyogrio.raw.read(
            source.path, datetime_as_string=True, **_arguments(source)
        )
        with _no_collection():
            shapes, rows = _shapes(geometry, source), _rows(meta, columns, len(geometry))
    if len(shapes) not in (info["features"], info["features"] - source.deleted_rows):
        raise InputFileError(
            f"it says that it holds {info['features']} features, and {len(shapes)} can be read",
            mend="Copy it again, or ask for it again",
            file=source.file,
        )
    found = meta["crs"] or ""
    return RawLayer(
        source.file,
        found if crs is None else crs,
        shapes,
        rows,
        _notes(said, source),
    )


def gdal_info(source: GdalSource) -> Mapping[str, Any]:
    """What GDAL says of a layer, once the right driver answers and it is not too large.

    Raises
    ------
    InputFileError
        If another driver answers, the file is damaged, or it holds too much.
    """
    import pyogrio  # brings pandas, so only when a file is read

    with _told(source):
        info: Mapping[str, Any] = pyogrio.read_info(
            source.path, force_feature_count=True, **_arguments(source)
        )
    if info["driver"] != source.driver:
        raise InputFileError(
            f"it is no {source.kind}: it was recognised as {info['driver']}",
            mend=f"Export it again as {source.kind}",
            file=source.file,
        )
    refuse_too_many(int(info["features"]), MOST_POINTS, what="features", file=source.file)
    return info


def _arguments(source: GdalSource) -> dict[str, str]:
    """What pyogrio is told besides the path."""
    told = {"layer": source.layer, "encoding": source.encoding}
    told["IMMUTABLE"] = "YES" if source.is_immutable else ""
    return {name: value for name, value in told.items() if value}


@contextmanager
def _told(source: GdalSource) -> Iterator[list[warnings.WarningMessage]]:
    """Keeps warnings, and tells failures of GDAL under the name the user knows."""
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        try:
            with told_failures(source.path, source.kind):
                yield said
        except InputFileError as error:
            note = error.note
            raise InputFileError(
                note.message, mend=note.mend, file=source.file, row=note.row, value=note.value
            ) from error


@contextmanager
def _no_collection() -> Iterator[None]:
    """Pauses the search for garbage, which would look through every new shape again and again."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _notes(said: list[warnings.WarningMessage], source: GdalSource) -> tuple[Note, ...]:
    """What GDAL warned of, each once."""
    texts = dict.fromkeys(str(warning.message) for warning in said)
    return tuple(
        Note("measures along the line are left out", file=source.file)
        if text.startswith(_DROPPED_MEASURES)
        else Note(f"the reader warns: {text}", mend="Look at it on the map", file=source.file)
        for text in texts
    )


def _shapes(geometry: NDArray[np.object_], source: GdalSource) -> NDArray[np.object_]:
    """Shapes from their binary form; one that is broken is an error, a missing one stays so."""
    if geometry is None:
        raise InputFileError(
            "it is a table without shapes", mend="Export the layer of shapes", file=source.file
        )
    shapes = np.asarray(shapely.from_wkb(geometry, on_invalid="ignore"), dtype=object)
    missing = np.flatnonzero(shapely.is_missing(shapes))
    broken = next((int(row) for row in missing if geometry[row] is not None), None)
    if broken is not None:
        raise InputFileError(
            f"feature {broken + 1}: its shape cannot be read",
            mend="Draw it again, and save each shape as a plain polygon, line or point",
            file=source.file,
            row=broken + 1,
        )
    return shapes


def _rows(meta: Mapping[str, Any], columns: list[NDArray[np.generic]], count: int) -> TableRows:
    """Fields of each feature."""
    table = {
        str(name): _values(column, is_whole="Integer" in kind)
        for name, column, kind in zip(meta["fields"], columns, meta["ogr_types"], strict=True)
    }
    return TableRows(table, count)


def _values(column: NDArray[np.generic], *, is_whole: bool) -> NDArray[np.generic] | list[object]:
    """A column with None where a value is missing; whole numbers stay whole."""
    missing = np.isnan(column) if column.dtype.kind == "f" else np.zeros(0, dtype=bool)
    if not missing.any():
        return column
    return [None if math.isnan(v) else int(v) if is_whole else v for v in column.tolist()]
