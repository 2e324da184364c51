"""The published scales that give a soil test its class: which there are, and which is the default.

A scale is made for one analyte by one method; another method never borrows it. Scales from
memory are there for the user's choice, marked unverified, and are never a default.
"""

import math
from dataclasses import dataclass
from functools import cache

from vrxapp.errors import UnknownChoiceError
from vrxapp.soil.analytes import analyte
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import conversion_factor

_YES = "yes"


@dataclass(frozen=True, slots=True)
class _ClassRow:
    family: str
    name: str
    analyte: str
    crop: str
    depth_cm: str
    clay_from_percent: float
    clay_below_percent: float
    texture: str
    unit: str
    decimals: float
    from_value: float
    from_belongs: str
    words: str
    default: str
    caution: str
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class Steps:
    """The classes of a scale for one range of clay, or for one texture.

    Parameters
    ----------
    clay_from_percent, clay_below_percent : float
        Clay for which the classes hold, the lower end included; NaN for any. [%]
    texture : str
        Texture for which the classes hold; empty for any.
    from_values : tuple of float
        Lowest value of each class, which belongs to it; where the source prints "above 15"
        it is the next number after 15. [the analyte's unit]
    words : tuple of str
        Name of each class, from the lowest up.
    where : str
        Page, table or method in the source.
    """

    clay_from_percent: float
    clay_below_percent: float
    texture: str
    from_values: tuple[float, ...]
    words: tuple[str, ...]
    where: str


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale as its source prints it.

    Parameters
    ----------
    key, name : str
        What the program and people call it.
    analyte_key : str
        The analyte by one method for which it is made.
    crop : str
        Crop for which it is made; empty for any.
    depth_cm : str
        Layer for which it is made; empty where the source tells none. [cm]
    decimals : float
        Decimals to which a value is rounded first; NaN for none.
    is_default : bool
        Whether it is shown where the user has chosen none.
    caution : str
        What to bear in mind beside the class.
    source : str
        Key of the bibliography.
    grade : Grade
        How well the scale is known.
    steps : tuple of Steps
        Its classes, once for each range of clay or texture.
    """

    key: str
    name: str
    analyte_key: str
    crop: str
    depth_cm: str
    decimals: float
    is_default: bool
    caution: str
    source: str
    grade: Grade
    steps: tuple[Steps, ...]


@cache
def scales() -> tuple[Scale, ...]:
    """Every scale the program knows, in the order of the table."""
    by_family: dict[str, list[_ClassRow]] = {}
    for row in read_table("interpretation.csv", _ClassRow):
        by_family.setdefault(row.family, []).append(row)
    return tuple(_scale(rows) for rows in by_family.values())


def scale(key: str) -> Scale:
    """The scale with this key.

    Raises
    ------
    UnknownChoiceError
        If there is none.
    """
    for known in scales():
        if known.key == key:
            return known
    raise UnknownChoiceError(
        f"no scale has the key {key!r}", mend=f"Choose one of: {', '.join(s.key for s in scales())}"
    )


def scales_for(analyte_key: str, *, crop: str = "", depth_cm: str = "") -> tuple[Scale, ...]:
    """The scales that fit a test: those of its own method, for its layer and this crop.

    Parameters
    ----------
    analyte_key : str
        Key of the analyte.
    crop : str, optional
        Crop that is grown; scales of other crops are left out.
    depth_cm : str, optional
        Layer of the test; scales of another layer are left out. [cm]
    """
    return tuple(
        known
        for known in scales()
        if known.analyte_key == analyte_key
        and known.crop in ("", crop)
        and known.depth_cm in ("", depth_cm)
    )


def default_scale(
    analyte_key: str, *, crop: str = "", depth_cm: str = "", knows_clay: bool = False
) -> Scale | None:
    """The published scale that is shown where the user has chosen none, or None.

    One made for the crop comes before one for all crops, and one by clay content before one
    for all soils where the clay is known.

    Parameters
    ----------
    analyte_key : str
        Key of the analyte.
    crop : str, optional
        Crop that is grown.
    depth_cm : str, optional
        Layer of the test. [cm]
    knows_clay : bool, default False
        Whether the clay content is known.

    Examples
    --------
    >>> default_scale("ec_1_5", knows_clay=True).name
    'salinity by clay content'
    >>> default_scale("mehlich3_p") is None  # none is published for Australia
    True
    """
    fitting = [
        known
        for known in scales_for(analyte_key, crop=crop, depth_cm=depth_cm)
        if known.is_default and (knows_clay or not asks_for_clay(known))
    ]
    return max(fitting, key=lambda s: (s.crop != "", asks_for_clay(s)), default=None)


def asks_for_clay(of_scale: Scale) -> bool:
    """Whether a scale has other classes for other clay contents."""
    return any(not math.isnan(steps.clay_from_percent) for steps in of_scale.steps)


def asks_for_texture(of_scale: Scale) -> bool:
    """Whether a scale has other classes for other textures."""
    return any(steps.texture for steps in of_scale.steps)


def _scale(rows: list[_ClassRow]) -> Scale:
    """One scale from its rows."""
    first = rows[0]
    by_soil: dict[tuple[str, str], list[_ClassRow]] = {}
    for row in rows:
        by_soil.setdefault((f"{row.clay_from_percent}", row.texture), []).append(row)
    return Scale(
        first.family,
        first.name,
        first.analyte,
        first.crop,
        first.depth_cm,
        first.decimals,
        first.default == _YES,
        first.caution,
        first.source,
        first.grade,
        tuple(_steps(classes) for classes in by_soil.values()),
    )


def _steps(rows: list[_ClassRow]) -> Steps:
    """The classes for one kind of soil, their limits in the analyte's unit."""
    measured, first = analyte(rows[0].analyte), rows[0]
    factor = conversion_factor(first.unit, measured.unit, ion=measured.ion)
    lowest = measured.lowest if math.isnan(first.from_value) else first.from_value * factor
    starts = [row.from_value * factor for row in rows[1:]]
    above = [row.from_belongs != _YES for row in rows[1:]]
    return Steps(
        first.clay_from_percent,
        first.clay_below_percent,
        first.texture,
        (
            lowest,
            *(math.nextafter(x, math.inf) if a else x for x, a in zip(starts, above, strict=True)),
        ),
        tuple(row.words for row in rows),
        first.where,
    )
