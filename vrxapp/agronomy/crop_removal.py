"""What a harvest carries away of each nutrient, from one table with a source for each number.

Removal differs two-fold between paddocks: an analysis of one's own grain or hay comes first.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_at_least_zero
from vrxapp.errors import MissingInputError, SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


class Nutrient(StrEnum):
    """An element that a harvest takes away, by its symbol."""

    NITROGEN = "N"
    PHOSPHORUS = "P"
    POTASSIUM = "K"
    SULFUR = "S"
    CALCIUM = "Ca"
    MAGNESIUM = "Mg"
    ZINC = "Zn"
    COPPER = "Cu"
    MANGANESE = "Mn"
    BORON = "B"


@dataclass(frozen=True, slots=True)
class Harvest:
    """What is taken off the paddock, and the unit it is counted in: t or 1000 L."""

    key: str
    name: str
    unit: str


@dataclass(frozen=True, slots=True)
class Removal:
    """One nutrient in one unit of a harvest, by one source.

    Parameters
    ----------
    harvest : str
        Key of the harvest.
    nutrient : Nutrient
        The element; never an oxide.
    kg_per_unit : float
        The element in one unit, a tonne or 1000 L. [kg]
    low_kg_per_unit, high_kg_per_unit : float
        Range; NaN where none is printed. [kg]
    moisture : str
        How wet the harvest is that the source counts.
    default_for_harvest : str
        ``"yes"`` for the value to start with; never an unverified one.
    source, where : str
        Key of the bibliography, and the place in it (or the agronomist's reason).
    grade : Grade
        How well it is known.
    range_source : str
        Key of the bibliography for the range; that of the figure where there is none.
    """

    harvest: str
    nutrient: Nutrient
    kg_per_unit: float
    low_kg_per_unit: float
    high_kg_per_unit: float
    moisture: str
    default_for_harvest: str
    source: str
    where: str
    grade: Grade
    range_source: str


def harvests() -> tuple[Harvest, ...]:
    """Every harvest there is a figure for."""
    return read_table("harvests.csv", Harvest)


def removals(harvest: str = "", nutrient: Nutrient | None = None) -> tuple[Removal, ...]:
    """Every figure there is, or those of one harvest or one nutrient."""
    return tuple(
        row
        for row in read_table("removal.csv", Removal)
        if harvest in ("", row.harvest) and nutrient in (None, row.nutrient)
    )


@cache
def default_removal(harvest: str, nutrient: Nutrient) -> Removal:
    """The published figure to start with.

    Raises
    ------
    UnknownChoiceError
        If there is no such harvest; the mend lists what there is.
    MissingInputError
        If nobody has published one that was read: give an analysis of your own.
    """
    if harvest not in {known.key for known in harvests()}:
        raise UnknownChoiceError(
            f"no harvest has the key {harvest!r}",
            mend=f"Choose one of: {', '.join(known.key for known in harvests())}",
        )
    for known in removals(harvest, nutrient):
        if known.default_for_harvest == "yes":
            return known
    raise MissingInputError(
        f"no published figure of {nutrient} in {harvest.replace('_', ' ')} stands in the tables",
        mend="Give the analysis of your own harvest, or choose an unverified figure knowingly",
    )


def own_removal(
    harvest: str, nutrient: Nutrient, kg_per_unit: float, *, reason: str, moisture: str = "as sold"
) -> Removal:
    """A figure of the agronomist's own, from an analysis of grain or hay, marked as theirs.

    Raises
    ------
    MissingInputError
        If the figure is no number from 0 to 1000 or no reason is given.
    """
    if not 0 <= kg_per_unit <= 1000:
        raise MissingInputError(
            f"{kg_per_unit:g} kg of {nutrient} in one unit is not possible",
            mend="Give kilograms of the element in a tonne or 1000 L, from 0 to 1000",
        )
    if not reason.strip():
        raise MissingInputError(
            "a removal of your own needs a reason", mend="Say which analysis it comes from"
        )
    return Removal(
        harvest=harvest,
        nutrient=nutrient,
        kg_per_unit=kg_per_unit,
        low_kg_per_unit=math.nan,
        high_kg_per_unit=math.nan,
        moisture=moisture,
        default_for_harvest="no",
        source="",
        where=reason.strip(),
        grade=Grade.YOURS,
        range_source="",
    )


def nutrient_removal(
    yield_per_ha: ArrayLike, kg_per_unit: ArrayLike, *, dry_matter_share: ArrayLike = 1.0
) -> NDArray[np.float64]:
    r"""What a harvest carries away of one nutrient.

    Parameters
    ----------
    yield_per_ha : array_like
        Harvest as it is weighed, in the unit of the figure. [t/ha or 1000 L/ha]
    kg_per_unit : array_like
        The element in one unit, as `removals` gives. [kg]
    dry_matter_share : array_like, default 1
        Dry matter in the harvest, where the figure counts dry matter but the harvest
        was weighed wet: 0.85 for most hay. [-]

    Returns
    -------
    ndarray of float
        The element carried away; NaN where an input is missing. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value is negative or the share of dry matter above 1.

    Notes
    -----
    .. math:: removal = yield \times share \times coefficient

    References
    ----------
    .. [1] agvic-pastures. Prints 133.5 kg K/ha in 10.5 t/ha of late hay.

    Examples
    --------
    Hay of 10.5 t/ha as baled, 85 % dry matter, 15 kg K in a tonne of dry matter:

    >>> nutrient_removal([10.5], 15.0, dry_matter_share=0.85).round(1)
    array([133.9])
    """
    require_at_least_zero(
        yield_per_ha=yield_per_ha, kg_per_unit=kg_per_unit, dry_matter_share=dry_matter_share
    )
    dry = np.asarray(dry_matter_share, dtype=float)
    if np.any(dry > 1):
        raise SoilInputError(
            "dry_matter_share must not be above 1", mend="Give a share, 0.85 for 85 %"
        )
    return np.asarray(np.multiply(yield_per_ha, kg_per_unit, dtype=float) * dry)
