"""What may be credited to a soluble humate, and what not to slow granules of brown coal.

Nothing here lowers a rate. The most that anything stands for is to be said with its
grade, or to be counted beside the budget and taken off nothing.
"""

from dataclasses import dataclass
from enum import StrEnum

from vrxapp.agronomy.humate_claims import HumicMaterial
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table

NOT_ACCEPTED = (
    "no water test seen, or the humic acid not measured by the ISO method: nothing is credited "
    "to it as a soluble product"
)
"""Why a soluble product may get no credit at all [program-choice]."""


class HumicEffect(StrEnum):
    """What people would credit."""

    YIELD = "yield"
    NUTRIENTS = "nutrients"
    COMPLEXING = "complexing at once"
    AMMONIA = "holding ammonia from urea"
    PHOSPHORUS = "protecting phosphorus"
    EXCHANGE = "cation exchange"


class Standing(StrEnum):
    """What an effect may stand for; none of the three lowers a rate."""

    NOT_CREDITED = "not credited"
    MAY_BE_SAID = "may be said"
    COUNTED_BESIDE = "counted beside"


@dataclass(frozen=True, slots=True)
class HumateCredit:
    """How one effect of one material stands, and why.

    Parameters
    ----------
    effect : HumicEffect
        What people would credit.
    material : HumicMaterial
        What is spread.
    standing : Standing
        What it may stand for.
    reason : str
        Why.
    source, where : str
        Key of the bibliography, and the place in it.
    grade : Grade
        How well it is known.
    """

    effect: HumicEffect
    material: HumicMaterial
    standing: Standing
    reason: str
    source: str
    where: str
    grade: Grade


def humate_credits(material: HumicMaterial, *, is_accepted: bool) -> tuple[HumateCredit, ...]:
    """How each effect of a material stands.

    Parameters
    ----------
    material : HumicMaterial
        What is spread.
    is_accepted : bool
        Whether the product was accepted as soluble; brown coal never is.

    Returns
    -------
    tuple of HumateCredit
        Credits, one for each effect; without acceptance none is credited.

    Examples
    --------
    >>> coal = humate_credits(HumicMaterial.BROWN_COAL, is_accepted=True)
    >>> {credit.standing.value for credit in coal}
    {'not credited'}
    """
    rows = [row for row in _credits() if row.material is material]
    if is_accepted:
        return tuple(rows)
    return tuple(_withheld(row) for row in rows)


def _credits() -> tuple[HumateCredit, ...]:
    """The table as it stands."""
    return read_table("humate_credits.csv", HumateCredit)


def _withheld(row: HumateCredit) -> HumateCredit:
    """The same row without its credit, where it had one."""
    if row.standing is Standing.NOT_CREDITED:
        return row
    return HumateCredit(
        row.effect,
        row.material,
        Standing.NOT_CREDITED,
        NOT_ACCEPTED,
        "program-choice",
        "a product that nobody tested",
        Grade.COMMON_PRACTICE,
    )
