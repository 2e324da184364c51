"""Shapes as they come out of a file: geometry in longitude and latitude, and its fields."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import InputFileError, Note


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Features:
    """The features of one layer of a file.

    Parameters
    ----------
    file : str
        Name of the file, for messages.
    shapes : ndarray of shapely geometry
        WGS 84, longitude first, two-dimensional, valid. [degrees]
    fields : sequence of mapping
        Fields of each feature as they stand in the file; ask with `texts` and `numbers`.
    notes : tuple of Note
        What was doubtful, or done for the user, while reading.
    """

    file: str
    shapes: NDArray[np.object_]
    fields: Sequence[Mapping[str, object]]
    notes: tuple[Note, ...] = ()


def texts(features: Features, *names: str) -> tuple[str, ...]:
    """The first of the named fields that each feature has, as text; empty where none."""
    return tuple(_first(row, names) for row in features.fields)


def numbers(features: Features, name: str) -> NDArray[np.float64]:
    """A field as numbers; NaN where a feature lacks it.

    Raises
    ------
    InputFileError
        If a value is no number; the message names the feature.
    """
    column = np.full(len(features.fields), math.nan)
    for index, row in enumerate(features.fields):
        text = _first(row, (name,))
        if text:
            try:
                column[index] = float(text)
            except ValueError:
                raise InputFileError(
                    f"feature {index + 1}: {text!r} is not a number",
                    mend="Write a plain number with a decimal point",
                    file=features.file,
                    column=name,
                    value=text,
                ) from None
    return column


def _first(row: Mapping[str, object], names: tuple[str, ...]) -> str:
    """The first non-empty field of these names, without regard to case."""
    by_name = {key.casefold(): value for key, value in row.items()}
    for name in names:
        value = by_name.get(name)
        if value is not None and str(value).strip():
            return str(value).strip()
    return ""
