"""Critical ranges of potassium, sulfur and magnesium: one soil test, one crop, one layer.

Those of phosphorus stand in `critical_values`, where the buffering index comes in.
"""

import math
from dataclasses import dataclass

from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


@dataclass(frozen=True, slots=True)
class CriticalRange:
    """One calibration of a soil test.

    Parameters
    ----------
    key, name : str
        Lasting name for the program, and what people read.
    element : str
        Symbol of the element.
    crop : str
        Key of the crop; empty for any.
    analyte, depth_cm : str
        Key of the soil test and the layer it was made for, for instance ``"0-30"``.
    low, high : float
        Ends of the range. [unit]
    unit : str
        Unit of the test.
    default_for_test : str
        ``"yes"`` for the calibration that a crop starts with by this test.
    source, where : str
        Key of the bibliography, and the place in it (or the agronomist's reason).
    grade : Grade
        How well it is known.
    """

    key: str
    name: str
    element: str
    crop: str
    analyte: str
    depth_cm: str
    low: float
    high: float
    unit: str
    default_for_test: str
    source: str
    where: str
    grade: Grade


def critical_ranges(
    element: str, *, crop: str = "", analyte: str = ""
) -> tuple[CriticalRange, ...]:
    """The calibrations of an element, or those that a crop or a soil test can use."""
    return tuple(
        row
        for row in read_table("critical_ranges.csv", CriticalRange)
        if row.element == element
        and (not crop or row.crop in ("", crop))
        and analyte in ("", row.analyte)
    )


def critical_range_of(key: str) -> CriticalRange:
    """The calibration with this key.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    rows = read_table("critical_ranges.csv", CriticalRange)
    for row in rows:
        if row.key == key:
            return row
    raise UnknownChoiceError(
        f"no critical range has the key {key!r}",
        mend=f"Choose one of: {', '.join(row.key for row in rows)}",
    )


def default_critical_range(element: str, crop: str, *, analyte: str) -> CriticalRange | None:
    """The published calibration a crop starts with by this test; None where none was read."""
    for row in critical_ranges(element, crop=crop, analyte=analyte):
        if row.default_for_test == "yes":
            return row
    return None


def own_critical_range(
    like: CriticalRange, low: float, high: float, *, reason: str
) -> CriticalRange:
    """A range of the agronomist's own, for the element, test and layer of another one.

    Raises
    ------
    MissingInputError
        If the ends are no positive numbers in order, or no reason is given.
    """
    if not (math.isfinite(high) and 0 < low <= high):
        raise MissingInputError(
            f"a critical range from {low:g} to {high:g} {like.unit} is not possible",
            mend="Give two numbers above zero, the lower one first",
        )
    if not reason.strip():
        raise MissingInputError(
            "a critical range of your own needs a reason",
            mend="Say in a few words where it comes from",
        )
    return CriticalRange(
        key="own",
        name="the agronomist's own",
        element=like.element,
        crop=like.crop,
        analyte=like.analyte,
        depth_cm=like.depth_cm,
        low=low,
        high=high,
        unit=like.unit,
        default_for_test="no",
        source="",
        where=reason.strip(),
        grade=Grade.YOURS,
    )


def layer_thickness_cm(depth_cm: str) -> float:
    """Thickness of a layer told as ``"0-30"``. [cm]

    Raises
    ------
    UnknownChoiceError
        If the text is no layer.

    Examples
    --------
    >>> layer_thickness_cm("10-30")
    20.0
    """
    try:
        top, bottom = (float(part) for part in depth_cm.split("-"))
    except ValueError:
        top = bottom = math.nan
    if not 0 <= top < bottom:
        raise UnknownChoiceError(f"{depth_cm!r} is no soil layer", mend="Write it as 0-10")
    return bottom - top
