"""Points from a table in plain text with a column each for longitude and latitude.

Metres of a map grid are read too; which grid they are of has to be said with them.
"""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, Note
from vrxapp.files.lab_sheets.decimals import Cells
from vrxapp.files.lab_sheets.names import Role, role_of
from vrxapp.files.lab_sheets.positions import both_or_neither, positions
from vrxapp.files.lab_sheets.sheet_text import Sheet, decoded, file_content, text_sheet
from vrxapp.files.raw_layer import RawLayer, chosen_layer
from vrxapp.ground.projected_crs import LON_LAT

_PLAIN_NAMES = {"x": Role.LONGITUDE, "y": Role.LATITUDE}
_GRID_NAMES = dict.fromkeys(("easting", "eastings", "east"), Role.LONGITUDE) | dict.fromkeys(
    ("northing", "northings", "north"), Role.LATITUDE
)
_SAVE = "Save it with columns 'longitude' and 'latitude' in degrees, WGS 84"


def read_coordinates_csv(path: Path, *, layer: str = "") -> RawLayer:
    """The points of a table, one a row, and its other columns as fields.

    Parameters
    ----------
    path : Path
        CSV or text file: cells parted by comma, semicolon, tab or bar, the first row that
        names both columns being the header. Decimal commas are understood where the
        comma does not part the cells.
    layer : str, optional
        The file's own name, or empty.

    Returns
    -------
    RawLayer
        Points in longitude and latitude, or in metres of a grid that the table does not name
        (columns called easting and northing, or x and y with numbers that are no degrees); rows
        without a position have none.

    Raises
    ------
    InputFileError
        If a column is missing, or a position cannot be one; the message names row and column.
    """
    chosen_layer(coordinates_csv_layers(path), layer, file=path.name)
    text, notes = decoded(file_content(path), path.name)
    sheet = text_sheet(text, path.name, likeness=_likeness, notes=notes)
    header = sheet.rows[sheet.header_index]
    longitude, latitude = (
        _column(header, Role.LONGITUDE, path),
        _column(header, Role.LATITUDE, path),
    )
    lines = [
        (number, _padded(row, len(header)))
        for number, row in enumerate(sheet.rows, start=1)
        if number > sheet.header_index + 1 and any(row)
    ]
    if not lines:
        raise InputFileError(
            "it has a header and no rows", mend="Save the rows too", file=path.name
        )
    cells = (_cells(sheet, lines, longitude), _cells(sheet, lines, latitude))
    is_grid = _is_grid(header[longitude], both_or_neither(*cells, sheet=sheet))
    x, y = (both_or_neither if is_grid else positions)(*cells, sheet=sheet)
    shapes = np.empty(len(lines), dtype=object)
    told = ~np.isnan(x)
    shapes[told] = shapely.points(x[told], y[told])
    fields = tuple(_fields(header, row, {longitude, latitude}) for _, row in lines)
    if is_grid:
        return RawLayer(path.name, "", shapes, fields, sheet.notes)
    return RawLayer(path.name, LON_LAT, shapes, fields, (*sheet.notes, _assumed(path)))


def coordinates_csv_layers(path: Path) -> tuple[str, ...]:
    """The one layer of a table, called like the file."""
    return (path.stem,)


def coordinates_csv_crs(path: Path, layer: str) -> str:
    """A table in plain text names no coordinate system."""
    del path, layer
    return ""


def _role(name: str) -> Role | None:
    """Whether a column holds longitude, latitude, or something else."""
    found = role_of(name)
    if found is not None and found[0] in (Role.LONGITUDE, Role.LATITUDE):
        return found[0]
    return (_PLAIN_NAMES | _GRID_NAMES).get(name.strip().casefold())


def _is_grid(name: str, numbers: tuple[NDArray[np.float64], NDArray[np.float64]]) -> bool:
    """Whether a column of this name and its partner hold metres of a map grid."""
    plain = name.strip().casefold()
    x, y = numbers
    beyond = np.any((np.abs(x) > 180) | (np.abs(y) > 180))
    return plain in _GRID_NAMES or bool(plain in _PLAIN_NAMES and beyond)


def _likeness(row: Sequence[str]) -> int:
    """How much a row looks like the header: how many of the two columns it names."""
    return len({_role(cell) for cell in row} - {None})


def _column(header: Sequence[str], role: Role, path: Path) -> int:
    """The column of longitude or of latitude."""
    found = [index for index, name in enumerate(header) if _role(name) is role]
    if len(found) == 1:
        return found[0]
    if found:
        problem, value = f"two columns look like the {role}", header[found[1]]
    else:
        problem, value = f"no column holds the {role}", ", ".join(header)[:80]
    raise InputFileError(problem, mend=_SAVE, file=path.name, value=value)


def _padded(row: Sequence[str], count: int) -> tuple[str, ...]:
    """A row as long as the header."""
    return (*row, *[""] * (count - len(row)))


def _cells(sheet: Sheet, lines: list[tuple[int, tuple[str, ...]]], column: int) -> Cells:
    """The cells of one column."""
    return Cells(
        sheet.file,
        sheet.rows[sheet.header_index][column],
        np.array([number for number, _ in lines], dtype=np.int64),
        tuple(row[column] for _, row in lines),
    )


def _fields(header: Sequence[str], row: Sequence[str], positions_at: set[int]) -> dict[str, object]:
    """The other cells of a row by the name of their column."""
    return {
        name or f"column {index + 1}": row[index] or None
        for index, name in enumerate(header)
        if index not in positions_at
    }


def _assumed(path: Path) -> Note:
    return Note(
        "a table names no coordinate system; its positions were taken as WGS 84", file=path.name
    )
