"""Positions in a lab sheet: longitude and latitude, both or neither, and possible."""

import math

import numpy as np
from numpy.typing import NDArray

from vrxapp.files.lab_sheets.decimals import Cells, refused
from vrxapp.files.lab_sheets.sheet_text import Sheet
from vrxapp.files.lab_sheets.values import plain_numbers


def positions(
    longitudes: Cells, latitudes: Cells, *, sheet: Sheet
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Longitude and latitude of each line, NaN where not told. [degrees]

    Raises
    ------
    InputFileError
        If half of a position is missing, or it cannot be one.
    """
    longitude, latitude = both_or_neither(longitudes, latitudes, sheet=sheet)
    _refuse_impossible_positions((longitudes, latitudes), degrees=(longitude, latitude))
    return longitude, latitude


def both_or_neither(
    first: Cells, second: Cells, *, sheet: Sheet
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The two numbers of each line's position as they stand in the sheet, NaN where not told.

    Raises
    ------
    InputFileError
        If half of a position is missing, or is no number.
    """
    numbers = tuple(
        plain_numbers(cells, sheet.delimiter, decimal_comma=sheet.decimal_comma)
        for cells in (first, second)
    )
    _refuse_half_positions((first, second), degrees=(numbers[0], numbers[1]))
    return numbers[0], numbers[1]


def _refuse_half_positions(
    cells: tuple[Cells, Cells], *, degrees: tuple[NDArray[np.float64], NDArray[np.float64]]
) -> None:
    """Refuse a longitude without a latitude, and the other way round."""
    longitude, latitude = degrees
    half = np.flatnonzero(np.isnan(longitude) != np.isnan(latitude))
    if len(half):
        index = int(half[0])
        raise refused(
            cells[0] if math.isnan(longitude[index]) else cells[1],
            index,
            message="half of the position is missing",
            mend="Give longitude and latitude, or neither",
        )


def _refuse_impossible_positions(
    cells: tuple[Cells, Cells], *, degrees: tuple[NDArray[np.float64], NDArray[np.float64]]
) -> None:
    """Refuse what is no degree; say so where the two columns look swapped."""
    longitude, latitude = degrees
    wrong = np.flatnonzero((np.abs(longitude) > 180) | (np.abs(latitude) > 90))
    if not len(wrong):
        return
    index = int(wrong[0])
    east, north = longitude[index], latitude[index]
    if abs(east) <= 90 and abs(north) <= 180:
        raise refused(
            cells[1],
            index,
            message=f"a latitude of {north:g} is not possible; longitude and latitude look swapped",
            mend="Exchange the names of the two columns",
        )
    column, name = (cells[0], "longitude") if abs(east) > 180 else (cells[1], "latitude")
    raise refused(
        column,
        index,
        message=f"{column.texts[index]} is not a {name}",
        mend="Give longitude (-180 to 180) and latitude (-90 to 90) in degrees, WGS 84",
    )
