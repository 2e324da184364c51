"""What people say that humates do, each with how far it is proven, and no credit for any.

No rate of this program takes a yield or a nutrient credit from a claim: the claims are
shown, with their size where one was published, so that a check strip can judge them.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from vrxapp.errors import UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table


class HumicMaterial(StrEnum):
    """The materials that claims are made for."""

    SOLUBLE_HUMATE = "soluble humate"
    BROWN_COAL = "brown coal"
    FULVIC = "fulvic"


class Evidence(StrEnum):
    """How far a claim is proven, from best to worst."""

    PUBLISHED_EFFECT = "published effect"
    MIXED = "mixed"
    WEAK = "weak"
    COMMON_PRACTICE = "common practice, no source"
    NONE_FOUND = "none found"
    CONTRADICTED = "contradicted"


@dataclass(frozen=True, slots=True)
class HumateClaim:
    """A claim and what stands behind it.

    Parameters
    ----------
    id : str
        Lasting name.
    claim : str
        What people say.
    materials : tuple of str
        Values of `HumicMaterial` that it is made for.
    evidence : Evidence
        How far it is proven.
    effect_percent, low_percent, high_percent : float
        Published mean and range; NaN where none was read: no middle is made up. [%]
    interval : str
        What the range is: it is seldom a confidence interval.
    measure : str
        What was measured; pots are not paddocks, and growth is not yield.
    reading : str
        What the agronomist may make of it.
    source, where, grade : str, str, Grade
        The main source, the others, and how well the main one is known.
    """

    id: str
    claim: str
    materials: tuple[str, ...]
    evidence: Evidence
    effect_percent: float
    low_percent: float
    high_percent: float
    interval: str
    measure: str
    reading: str
    source: str
    where: str
    grade: Grade


def humate_claims() -> tuple[HumateClaim, ...]:
    """Every claim of the table."""
    return read_table("humate_claims.csv", HumateClaim)


def humate_claim(claim_id: str) -> HumateClaim:
    """The claim with this name.

    Raises
    ------
    UnknownChoiceError
        If there is none.
    """
    for row in humate_claims():
        if row.id == claim_id:
            return row
    raise UnknownChoiceError(f"no claim is called {claim_id!r}")


def claims_for(material: HumicMaterial) -> tuple[HumateClaim, ...]:
    """What is claimed for a material, the best proven first.

    Examples
    --------
    >>> claims_for(HumicMaterial.SOLUBLE_HUMATE)[0].evidence.value
    'published effect'
    """
    order = list(Evidence)
    found = [row for row in humate_claims() if material.value in row.materials]
    return tuple(sorted(found, key=lambda row: (order.index(row.evidence), row.id)))


def told_claim(claim: HumateClaim) -> str:
    """A claim in plain words: what is said, how far it is proven, its size, what to make of it.

    Parameters
    ----------
    claim : HumateClaim
        Claim.

    Returns
    -------
    str
        What stands behind it.

    Examples
    --------
    >>> told_claim(humate_claim("CLM-06"))[:69]
    'At small fertiliser rates nothing is cut: common practice, no source.'
    """
    size = told_size(claim)
    told = f" ({size})" if size else ""
    return f"{claim.claim}: {claim.evidence.value}{told}. {claim.reading}"


def told_size(claim: HumateClaim) -> str:
    """The published size with what it was measured on; empty where none was read.

    Examples
    --------
    >>> told_size(humate_claim("CLM-06"))
    ''
    """
    has_range = not math.isnan(claim.low_percent)
    numbers = [] if math.isnan(claim.effect_percent) else [f"{claim.effect_percent:+g} %"]
    numbers += [f"{claim.low_percent:+g} to {claim.high_percent:+g} %"] if has_range else []
    if not numbers:
        return ""
    meaning = claim.interval if has_range else f"interval {claim.interval}"
    return f"{claim.measure} {', '.join(numbers)}; {meaning}"
