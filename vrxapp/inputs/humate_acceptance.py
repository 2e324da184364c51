"""Whether a humate may count as soluble, and how much humic acid a dose of it really is.

Without a water test that somebody saw and a humic acid content by the ISO method nothing
is credited to a product as soluble. A darker colour or a higher figure proves neither.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.humates import carried_by_dose
from vrxapp.agronomy.humic_charge import HumicKind, potassium_when_neutralised
from vrxapp.errors import MissingInputError
from vrxapp.inputs.humate_metals import metals_above_limit
from vrxapp.units import PERCENT

WATER_TEST = (
    "Stir 10 g into a litre of your own water, and 10 g into a litre of rain water. Look after "
    "15 minutes and the next morning: what has settled is not soluble. Wear goggles and gloves, "
    "for the solution is alkaline."
)
"""How the test is made; both waters count [program-choice]."""


class HumicMethod(StrEnum):
    """How the humic acid was measured."""

    ISO_19822 = "ISO 19822"
    ACID_PRECIPITATE = "acid precipitate, by weight"
    COLOUR = "by colour"
    NOT_TOLD = "not told"


_OTHER_METHODS = {
    HumicMethod.NOT_TOLD: "how its humic acid was measured is not told",
    HumicMethod.COLOUR: "its humic acid was measured by colour, not by the ISO method",
    HumicMethod.ACID_PRECIPITATE: "its humic acid is an acid precipitate, not of the ISO method",
}


@dataclass(frozen=True, slots=True)
class HumateTest:
    """What is known of a humate as delivered.

    Parameters
    ----------
    dissolves_in_own_water : bool or None
        What was seen in the farm's own water; None where nobody looked.
    method : HumicMethod
        How the humic acid was measured.
    humic_acid_percent : float
        Humic acid; NaN where not told, as all below. [%]
    is_of_dry_matter : bool
        Whether the humic acid is told by the dry matter, not as delivered.
    insoluble_percent, moisture_percent, potassium_percent : float
        Of the product as delivered. [%]
    metals : tuple of tuple of str and float
        Metals that were measured, by symbol, in the dry matter. [mg/kg]
    """

    dissolves_in_own_water: bool | None = None
    method: HumicMethod = HumicMethod.NOT_TOLD
    humic_acid_percent: float = math.nan
    is_of_dry_matter: bool = False
    insoluble_percent: float = math.nan
    moisture_percent: float = math.nan
    potassium_percent: float = math.nan
    metals: tuple[tuple[str, float], ...] = ()

    def __post_init__(self) -> None:
        """Refuse a share that cannot be."""
        for name in (
            "humic_acid_percent",
            "insoluble_percent",
            "moisture_percent",
            "potassium_percent",
        ):
            share = getattr(self, name)
            if not (math.isnan(share) or 0 <= share <= PERCENT):
                raise MissingInputError(
                    f"{name} cannot be {share:g}",
                    mend="Give a percentage from 0 to 100, or leave it out",
                    column=name,
                )


@dataclass(frozen=True, slots=True)
class Acceptance:
    """The verdict on a humate.

    Parameters
    ----------
    is_accepted : bool
        Whether anything may be credited to it as a soluble product.
    missing : tuple of str
        What stands in the way; empty where it is accepted.
    doubts : tuple of str
        What to ask the supplier, accepted or not.
    """

    is_accepted: bool
    missing: tuple[str, ...]
    doubts: tuple[str, ...]


def humate_acceptance(test: HumateTest) -> Acceptance:
    """Whether a product is accepted as soluble, what is missing, and what is doubtful.

    Examples
    --------
    >>> humate_acceptance(HumateTest()).is_accepted
    False
    """
    asked = (
        (test.dissolves_in_own_water is None, "nobody has seen it dissolve in the farm's water"),
        (test.dissolves_in_own_water is False, "it did not dissolve in the farm's water"),
        (test.method is not HumicMethod.ISO_19822, _OTHER_METHODS.get(test.method, "")),
        (math.isnan(test.humic_acid_percent), "its humic acid is not told"),
        (math.isnan(test.insoluble_percent), "what does not dissolve is not told"),
        (math.isnan(test.moisture_percent), "its moisture is not told"),
        (math.isnan(test.potassium_percent), "its potassium is not told"),
    )
    missing = tuple(sentence for is_so, sentence in asked if is_so)
    return Acceptance(not missing, missing, _doubts(test))


def humic_acid_dose(dose_kg_ha: ArrayLike, test: HumateTest) -> NDArray[np.float64]:
    """Humic acid in a dose, the figure in which products and trials can be compared.

    Parameters
    ----------
    dose_kg_ha : array_like
        Dose of the product as delivered. [kg/ha]
    test : HumateTest
        What is known of it.

    Returns
    -------
    ndarray of float
        Humic acid; NaN where it was not measured by the ISO method, or is told by the dry
        matter without the moisture. [kg/ha]

    Raises
    ------
    SoilInputError
        If a dose is negative.

    References
    ----------
    .. [1] iso-19822. Humic acid by weight, free of ash.

    Examples
    --------
    >>> told = HumateTest(
    ...     method=HumicMethod.ISO_19822, humic_acid_percent=60.0, is_of_dry_matter=True,
    ...     moisture_percent=15.0,
    ... )
    >>> humic_acid_dose([20.0], told)
    array([10.2])
    """
    share = test.humic_acid_percent if test.method is HumicMethod.ISO_19822 else math.nan
    if test.is_of_dry_matter:
        share *= 1 - test.moisture_percent / PERCENT
    return carried_by_dose(dose_kg_ha, share)


def _doubts(test: HumateTest) -> tuple[str, ...]:
    """What does not fit together, or reads high."""
    dry = PERCENT - (0.0 if math.isnan(test.moisture_percent) else test.moisture_percent)
    humic = test.humic_acid_percent * (dry / PERCENT if test.is_of_dry_matter else 1.0)
    most_potassium = _most_potassium(humic)
    told = (
        (
            test.method is HumicMethod.COLOUR,
            "A measurement by colour reads high and takes molasses and lignosulfonate for humic "
            "acid.",
        ),
        (
            test.method is HumicMethod.ACID_PRECIPITATE,
            "An acid precipitate counts ash with the humic acid.",
        ),
        (humic > dry, "It cannot hold more humic acid than dry matter."),
        (
            test.potassium_percent > most_potassium,
            f"Its humic acid can hold {most_potassium:.1f} % of potassium at most: the rest is "
            "another salt, or free potash that is caustic.",
        ),
    )
    return (*(sentence for is_so, sentence in told if is_so), *_metal_doubts(test))


def _metal_doubts(test: HumateTest) -> tuple[str, ...]:
    """Metals above the limit that a humate is screened by."""
    contents = dict(test.metals)
    return tuple(
        f"{limit.name}: {contents[limit.metal]:g} mg/kg of the dry matter is above the limit of "
        f"{limit.highest_mg_kg:g} ({limit.where}, {limit.source}): ask the supplier, and do not "
        "spread it."
        for limit in metals_above_limit(contents)
    )


def _most_potassium(humic_acid_percent: float) -> float:
    """Potassium that the humic acid can hold when every site is filled. [% of the product]"""
    salt = potassium_when_neutralised(HumicKind.HUMIC) / PERCENT
    return humic_acid_percent * salt / (1 - salt)
