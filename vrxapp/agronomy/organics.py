"""Compost, manure and litter: wet and dry rates, what they carry, and what crops may get of it.

The analysis of the batch comes first: the tables are only offered. Nothing of an organic is
taken off a need unasked, for how much becomes available differs threefold.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import KILOGRAMS_PER_TONNE, PERCENT

ORGANIC_CAUTIONS = (
    "Ask for the analysis of the batch, its moisture too: the same kind of material differs two- "
    "to threefold.",
    "Rate it by its phosphorus: enough for the nitrogen usually brings more phosphorus than the "
    "crop takes, and that ends in water.",
    "Stock must not eat litter or get at its heaps: botulism, and animal meal that the law keeps "
    "from ruminants. Keep grazing stock off for 21 days at least, or longer where your state or "
    "the buyer says so.",
    "Germs, spores and dust: wear a mask, wash hands, and keep it off what is eaten raw.",
    "Never store, load or spread it together with a nitrate fertiliser.",
    "Keep the setbacks from water, and do not spread on wet or steep ground or before rain.",
)
"""To be shown with each organic; label, local codes and law come first [agrifutures-litter]."""

_LEFT = "what is left"


class OrganicMaterial(StrEnum):
    """Kinds for which a release was published."""

    LITTER = "litter"
    FEEDLOT_MANURE = "feedlot manure"
    COMPOST = "compost"


class ToldFor(StrEnum):
    """Whether a release was told for a crop's season, or only found in the laboratory."""

    SEASON = "season"
    LABORATORY = "laboratory"


@dataclass(frozen=True, slots=True)
class OrganicContent:
    """One part of an organic, by the dry matter or as supplied; NaN where not told. [%]"""

    key: str
    name: str
    material: OrganicMaterial
    item: str
    percent: float
    low_percent: float
    high_percent: float
    basis: str
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class OrganicRelease:
    """What of a nutrient becomes available in a year, and under what conditions. [%]"""

    material: OrganicMaterial
    element: str
    year: float
    low_percent: float
    high_percent: float
    of: str
    setting: str
    told_for: ToldFor
    source: str
    where: str
    grade: Grade


def organic_contents(key: str | None = None) -> tuple[OrganicContent, ...]:
    """What typical organics hold, of one or of all; offered, never taken unasked."""
    rows = read_table("organics.csv", OrganicContent)
    return tuple(row for row in rows if key in (None, row.key))


def organic_releases(material: OrganicMaterial, element: str) -> tuple[OrganicRelease, ...]:
    """What becomes available year by year, as published; empty where nothing was found."""
    return tuple(
        row
        for row in read_table("organic_release.csv", OrganicRelease)
        if row.material is material and row.element == element
    )


def dry_rate(wet_t_ha: ArrayLike, *, moisture_percent: ArrayLike) -> NDArray[np.float64]:
    """Dry matter of a rate as it is spread.

    Parameters
    ----------
    wet_t_ha : array_like
        Rate as spread. [t/ha]
    moisture_percent : array_like
        Water by the mass as spread, below 100. [%]

    Returns
    -------
    ndarray of float
        Rate of dry matter. [t/ha]

    Raises
    ------
    SoilInputError
        If a rate is negative or the moisture not from 0 to below 100.

    Examples
    --------
    >>> dry_rate([6.0], moisture_percent=25.0)
    array([4.5])
    """
    require_at_least_zero(wet_t_ha=wet_t_ha)
    return np.multiply(wet_t_ha, _dry_share(moisture_percent), dtype=float)


def wet_rate(dry_t_ha: ArrayLike, *, moisture_percent: ArrayLike) -> NDArray[np.float64]:
    """Rate to spread for a rate of dry matter.

    Parameters
    ----------
    dry_t_ha : array_like
        Rate of dry matter. [t/ha]
    moisture_percent : array_like
        Water by the mass as spread, below 100. [%]

    Returns
    -------
    ndarray of float
        Rate as spread. [t/ha]

    Raises
    ------
    SoilInputError
        If a rate is negative or the moisture not from 0 to below 100.

    Examples
    --------
    >>> wet_rate([4.5], moisture_percent=25.0)
    array([6.])
    """
    require_at_least_zero(dry_t_ha=dry_t_ha)
    return np.asarray(np.asarray(dry_t_ha, dtype=float) / _dry_share(moisture_percent))


def carried_by_organic(
    wet_t_ha: ArrayLike,
    content_percent: ArrayLike,
    *,
    moisture_percent: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    """All of a nutrient that a rate carries, available or not.

    Parameters
    ----------
    wet_t_ha : array_like
        Rate as spread. [t/ha]
    content_percent : array_like
        Element by the dry matter, 0 to 100. [%]
    moisture_percent : array_like, default 0
        Water by the mass as spread; 0 where the content is told as supplied. [%]

    Returns
    -------
    ndarray of float
        Nutrient. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Examples
    --------
    6 t/ha of litter on sawdust: N, P and K.

    >>> carried_by_organic(6.0, [3.8, 1.2, 1.8], moisture_percent=25.0).round()
    array([171.,  54.,  81.])
    """
    require_at_least_zero(content_percent=content_percent)
    if np.any(np.asarray(content_percent, dtype=float) > PERCENT):
        raise SoilInputError("content_percent must not be above 100", mend="Give a share by mass")
    dry = dry_rate(wet_t_ha, moisture_percent=moisture_percent)
    return np.asarray(
        dry * np.asarray(content_percent, dtype=float) / PERCENT * KILOGRAMS_PER_TONNE
    )


def available_from_organic(
    carried_kg_ha: ArrayLike, material: OrganicMaterial, element: str, *, year: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Least and most of a nutrient that becomes available in a year after spreading.

    Parameters
    ----------
    carried_kg_ha : array_like
        All of the nutrient that was spread; for the nitrogen of litter its organic nitrogen
        alone, for what is ammonium already comes on top. [kg/ha]
    material : OrganicMaterial
        What was spread.
    element : str
        ``"N"``, ``"P"``, ``"K"`` or ``"S"``.
    year : int
        1 for the first season after spreading.

    Returns
    -------
    tuple of ndarray of float
        Least and most; NaN where nothing was published. Show the setting of
        `organic_releases` beside it, and take it off a need only if the agronomist says
        so. [kg/ha]

    Raises
    ------
    SoilInputError
        If an amount is negative.
    UnknownChoiceError
        If the year is not 1 or later.

    References
    ----------
    .. [1] sask-feedlot. Table 1.
    .. [2] compost-nitrogen-review. Abstract.
    .. [3] litter-mineralisable-n. Abstract.

    Examples
    --------
    >>> available_from_organic([160.0], OrganicMaterial.FEEDLOT_MANURE, "N", year=1)
    (array([16.]), array([16.]))
    """
    require_at_least_zero(carried_kg_ha=carried_kg_ha)
    if year < 1:
        raise UnknownChoiceError("the first season after spreading is year 1")
    low, high = _released_shares(organic_releases(material, element), year)
    carried = np.asarray(carried_kg_ha, dtype=float)
    return np.asarray(carried * low), np.asarray(carried * high)


def organic_rate_for(
    need_kg_ha: ArrayLike,
    content_percent: ArrayLike,
    *,
    moisture_percent: ArrayLike,
    available_percent: ArrayLike = 100.0,
) -> NDArray[np.float64]:
    """Rate as spread that brings a nutrient, as far as it becomes available.

    Parameters
    ----------
    need_kg_ha : array_like
        What is wanted of the element: rate by phosphorus first. [kg/ha]
    content_percent : array_like
        Element by the dry matter, above 0. [%]
    moisture_percent : array_like
        Water by the mass as spread, below 100. [%]
    available_percent : array_like, default 100
        Share that the agronomist counts, above 0 to 100. [%]

    Returns
    -------
    ndarray of float
        Rate as spread. [t/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Examples
    --------
    >>> organic_rate_for([54.0], 1.2, moisture_percent=25.0)
    array([6.])
    """
    require_at_least_zero(need_kg_ha=need_kg_ha)
    require_above_zero(content_percent=content_percent, available_percent=available_percent)
    for name, column in (("content", content_percent), ("available", available_percent)):
        if np.any(np.asarray(column, dtype=float) > PERCENT):
            raise SoilInputError(f"{name}_percent must not be above 100")
    kg_per_dry_t = (
        KILOGRAMS_PER_TONNE
        * np.asarray(content_percent, dtype=float)
        / PERCENT
        * np.asarray(available_percent, dtype=float)
        / PERCENT
    )
    dry = np.asarray(need_kg_ha, dtype=float) / kg_per_dry_t
    return wet_rate(dry, moisture_percent=moisture_percent)


def _dry_share(moisture_percent: ArrayLike) -> NDArray[np.float64]:
    """Dry matter by the mass as spread."""
    require_at_least_zero(moisture_percent=moisture_percent)
    moisture = np.asarray(moisture_percent, dtype=float)
    if np.any(moisture >= PERCENT):
        raise SoilInputError(
            "moisture_percent must be below 100", mend="Give the water by the mass as spread"
        )
    return np.asarray(1 - moisture / PERCENT)


def _released_shares(rows: tuple[OrganicRelease, ...], year: int) -> tuple[float, float]:
    """Least and most share of what was applied that comes free in a year."""
    left_after_least, left_after_most = 1.0, 1.0
    for row in sorted(rows, key=lambda row: row.year):
        is_of_rest = row.of == _LEFT
        low = row.low_percent / PERCENT * (left_after_least if is_of_rest else 1.0)
        high = row.high_percent / PERCENT * (left_after_most if is_of_rest else 1.0)
        if row.year == year:
            return low, high
        left_after_least -= low
        left_after_most -= high
    return float("nan"), float("nan")
