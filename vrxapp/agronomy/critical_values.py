"""Critical values: the soil test at which a crop stops answering to fertiliser.

Each holds for one soil test and one layer. A published range stays a range; a value
of the agronomist's own is marked as theirs wherever it shows.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.phosphorus import (
    critical_colwell_for_cropping,
    critical_colwell_for_pasture,
)
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.soil.sheet_matching import layer_cm
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table

AWAITED = "awaited"
"""Key of the empty calibration of a crop for which none is published."""

_CURVES = {"cropping": critical_colwell_for_cropping, "pasture": critical_colwell_for_pasture}


@dataclass(frozen=True, slots=True)
class CriticalValue:
    """One calibration of a soil test.

    Parameters
    ----------
    key, name : str
        Lasting name for the program, and what people read.
    crop, analyte : str
        Keys of the crop and of the soil test it was made for.
    depth_cm : str
        Layer it was made for, for instance ``"0-10"``. [cm]
    low_mg_kg, high_mg_kg : float
        Ends of the critical range; NaN where a curve gives it from the PBI. [mg/kg]
    curve : str
        Name of the curve over PBI; empty for a fixed range.
    default_for_crop : str
        ``"yes"`` for the calibration a crop starts with.
    source, where : str
        Key of the bibliography, and the place in it (or the agronomist's reason).
    grade : Grade
        How well it is known.
    """

    key: str
    name: str
    crop: str
    analyte: str
    depth_cm: str
    low_mg_kg: float
    high_mg_kg: float
    curve: str
    default_for_crop: str
    source: str
    where: str
    grade: Grade


def critical_values(crop: str = "") -> tuple[CriticalValue, ...]:
    """Every calibration in the tables, or those of one crop."""
    rows = read_table("critical_values.csv", CriticalValue)
    return tuple(row for row in rows if crop in ("", row.crop))


def critical_value(key: str) -> CriticalValue:
    """The calibration with this key.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    for known in critical_values():
        if known.key == key:
            return known
    raise UnknownChoiceError(
        f"no critical value has the key {key!r}",
        mend=f"Choose one of: {', '.join(known.key for known in critical_values())}",
    )


def default_critical_value(crop: str) -> CriticalValue:
    """The published calibration a crop starts with; never an unverified one.

    A crop without a published one gets an empty calibration that waits for one of the
    agronomist's own.
    """
    for row in critical_values(crop):
        if row.default_for_crop == "yes":
            return row
    return CriticalValue(
        key=AWAITED,
        name="none published: give your own",
        crop=crop,
        analyte="colwell_p",
        depth_cm="0-10",
        low_mg_kg=math.nan,
        high_mg_kg=math.nan,
        curve="",
        default_for_crop="no",
        source="",
        where="",
        grade=Grade.YOURS,
    )


def is_awaited(critical: CriticalValue) -> bool:
    """Whether a crop still waits for a critical value of the agronomist's own."""
    return critical.key == AWAITED


PHOSPHORUS_TESTS = ("colwell_p", "olsen_p", "bray1_p", "mehlich3_p", "bses_p", "lactate_p")
"""Soil tests of phosphorus, in mg/kg, that a value of one's own can be for."""


def own_critical_value(
    crop: str, analyte: str, value_mg_kg: float, *, reason: str, depth_cm: str = "0-10"
) -> CriticalValue:
    """A critical value of the agronomist's own, marked as theirs.

    Raises
    ------
    MissingInputError
        If the value is no positive number, or no reason or no layer is given.
    UnknownChoiceError
        If the layer is none.
    """
    layer = layer_cm(depth_cm)
    if not layer:
        raise MissingInputError(
            "a critical value of your own is for one layer", mend="Give it in cm, such as 0-10"
        )
    if not (math.isfinite(value_mg_kg) and value_mg_kg > 0):
        raise MissingInputError(
            f"a critical value of {value_mg_kg:g} mg/kg is not possible",
            mend="Give a number above zero",
        )
    if not reason.strip():
        raise MissingInputError(
            "a critical value of your own needs a reason",
            mend="Say in a few words where it comes from",
        )
    return CriticalValue(
        key="own",
        name="the agronomist's own",
        crop=crop,
        analyte=analyte,
        depth_cm=layer,
        low_mg_kg=value_mg_kg,
        high_mg_kg=value_mg_kg,
        curve="",
        default_for_crop="no",
        source="",
        where=reason.strip(),
        grade=Grade.YOURS,
    )


def critical_range(
    critical: CriticalValue, pbi: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Low and high end of the critical range for each place. [mg/kg]

    Parameters
    ----------
    critical : CriticalValue
        The calibration.
    pbi : array_like
        Phosphorus buffering index of each place; only a curve reads it. [index]

    Returns
    -------
    tuple of two ndarrays of float
        NaN where a curve has no PBI to go by.
    """
    if critical.curve:
        value = _CURVES[critical.curve](pbi)
        return value, value
    shape = np.shape(pbi)
    return np.full(shape, critical.low_mg_kg), np.full(shape, critical.high_mg_kg)
