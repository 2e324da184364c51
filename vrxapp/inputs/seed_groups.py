"""Which group of the guides a crop belongs to, and how its row lies: a placement with the seed."""

from dataclasses import dataclass

from vrxapp.errors import MissingInputError
from vrxapp.inputs.seed_safe_rates import SeedPlacement, SeedSensitivity, SeedSoil
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table

TENDEREST = SeedSensitivity.PULSE
"""Group for a crop that no guide names: it allows no nitrogen and the least phosphorus."""


@dataclass(frozen=True, slots=True)
class SeedRow:
    """How an operation places its product with the seed; the crop is the season's.

    Parameters
    ----------
    soil : SeedSoil
        The soil's group.
    spread_mm : float
        Width over which seed and fertiliser lie together, as the opener leaves it. [mm]
    row_spacing_mm : float
        From row to row. [mm]
    is_drying : bool
        Whether the seedbed is only marginally moist or warm wind dries it.
    """

    soil: SeedSoil
    spread_mm: float
    row_spacing_mm: float
    is_drying: bool = False

    def __post_init__(self) -> None:
        """Refuse a row that cannot be."""
        if not 0.0 < self.spread_mm <= self.row_spacing_mm:
            raise MissingInputError(
                f"seed and fertiliser over {self.spread_mm:g} mm on rows {self.row_spacing_mm:g} "
                "mm apart is not possible",
                mend="Give the width of the band that the opener leaves, and the distance from "
                "row to row, both in mm",
            )


@dataclass(frozen=True, slots=True)
class _CropGroup:
    crop: str
    sensitivity: SeedSensitivity
    source: str
    where: str
    grade: Grade


def seed_group(crop: str) -> SeedSensitivity | None:
    """The group that the guides put a crop in; None where no guide that was read names it.

    Examples
    --------
    >>> seed_group("wheat").value, seed_group("clover_hay")
    ('cereal', None)
    """
    rows = read_table("seed_crops.csv", _CropGroup)
    return next((row.sensitivity for row in rows if row.crop == crop), None)


def seed_placement(row: SeedRow, crop: str) -> SeedPlacement:
    """A row with a crop in it, ready to be checked; an unknown crop counts as the tenderest.

    Examples
    --------
    >>> seed_placement(SeedRow(SeedSoil.LIGHT, 25.0, 250.0), "canola").sensitivity.value
    'canola'
    """
    return SeedPlacement(
        seed_group(crop) or TENDEREST,
        row.soil,
        row.spread_mm,
        row.row_spacing_mm,
        row.is_drying,
    )
