"""How much nitrogen and phosphorus may lie beside the seed, by crop, soil and row.

The guides are Canadian, for good moisture; narrow openers on wide rows, as in much of
Australia, lie at their lower end or below it, and there no nitrogen is allowed.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import SoilInputError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import KG_HA_PER_POUND_ACRE, MILLIMETRES_PER_INCH, PERCENT, mass_fraction

DRYING_SHARE = 0.5
"""What is left of a safe rate under warm, drying wind or marginal moisture [manitoba-seed]."""


class SeedSensitivity(StrEnum):
    """How a crop bears fertiliser beside its seed, as the guides group them."""

    CEREAL = "cereal"
    CANOLA = "canola"
    PULSE = "pulse"


class SeedSoil(StrEnum):
    """Soil as the guide of nitrogen groups it: sandy loam, loam to clay loam, clay."""

    LIGHT = "light"
    MEDIUM = "medium"
    HEAVY = "heavy"


@dataclass(frozen=True, slots=True)
class SeedPlacement:
    """How seed and fertiliser lie in the row.

    Parameters
    ----------
    sensitivity : SeedSensitivity
        The crop's group; put lentil, lupin and chickpea with the pulses.
    soil : SeedSoil
        The soil's group.
    spread_mm : float
        Width over which seed and fertiliser lie together, as measured. [mm]
    row_spacing_mm : float
        From row to row. [mm]
    is_drying : bool
        Whether the seedbed is only marginally moist or warm wind dries it.
    """

    sensitivity: SeedSensitivity
    soil: SeedSoil
    spread_mm: float
    row_spacing_mm: float
    is_drying: bool = False


@dataclass(frozen=True, slots=True)
class SafeRate:
    """The most of one nutrient beside the seed, with the reason where it is none. [kg/ha]"""

    kg_ha: float
    reason: str
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class _NitrogenRow:
    sensitivity: SeedSensitivity
    soil: SeedSoil
    spread_in: float
    row_in: float
    urea_n_lb_ac: float
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class _PhosphateRow:
    sensitivity: SeedSensitivity
    spread_in: float
    row_in: float
    p2o5_lb_ac: float
    source: str
    where: str
    grade: Grade


def seed_bed_utilisation(spread_mm: ArrayLike, row_spacing_mm: ArrayLike) -> NDArray[np.float64]:
    r"""Share of the ground's width over which seed and fertiliser lie together.

    Parameters
    ----------
    spread_mm : array_like
        Spread in the furrow, above 0 and not above the row spacing. [mm]
    row_spacing_mm : array_like
        Distance from row to row, above 0. [mm]

    Returns
    -------
    ndarray of float
        Seed bed utilisation. [%]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: SBU = 100 \, w / r

    w: spread in the furrow; r: row spacing.

    References
    ----------
    .. [1] manitoba-seed. Table 1.

    Examples
    --------
    >>> seed_bed_utilisation([25.0], 250.0)
    array([10.])
    """
    require_above_zero(spread_mm=spread_mm, row_spacing_mm=row_spacing_mm)
    share = np.divide(spread_mm, row_spacing_mm, dtype=float)
    if np.any(share > 1):
        raise SoilInputError(
            "spread_mm must not be above row_spacing_mm",
            mend="Give the width of the band of seed, and the distance from row to row",
        )
    return np.asarray(share * PERCENT)


def scaled_safe_rate(
    safe_kg_ha: ArrayLike, *, from_percent: ArrayLike, to_percent: ArrayLike
) -> NDArray[np.float64]:
    """A safe rate at another utilisation: it goes with it in proportion on one soil.

    Parameters
    ----------
    safe_kg_ha : array_like
        Safe rate. [kg/ha]
    from_percent, to_percent : array_like
        Utilisation that it was told for, and the one that is asked for, above 0. [%]

    Returns
    -------
    ndarray of float
        Safe rate at the other utilisation. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    References
    ----------
    .. [1] saskatchewan-seed. The principle, in a prairie extension article.

    Examples
    --------
    >>> scaled_safe_rate([10.0], from_percent=11.1, to_percent=22.2)
    array([20.])
    """
    require_at_least_zero(safe_kg_ha=safe_kg_ha)
    require_above_zero(from_percent=from_percent, to_percent=to_percent)
    return np.asarray(
        np.multiply(safe_kg_ha, to_percent, dtype=float) / np.asarray(from_percent, dtype=float)
    )


def safe_seed_nitrogen(placement: SeedPlacement) -> SafeRate:
    """The most nitrogen beside the seed.

    Between the printed rows lie straight lines; above the highest nothing is added, and
    under the lowest, or where the guide has no table, nothing is safe.

    Raises
    ------
    SoilInputError
        If spread or row spacing lie outside their range.
    """
    asked = float(seed_bed_utilisation(placement.spread_mm, placement.row_spacing_mm))
    rows = [
        row
        for row in read_table("seed_nitrogen.csv", _NitrogenRow)
        if (row.sensitivity, row.soil) == (placement.sensitivity, placement.soil)
    ]
    if not rows:
        return SafeRate(
            0.0,
            f"no guide for nitrogen with the seed of {placement.sensitivity} on "
            f"{placement.soil} soil was read, so none is safe",
            "program-choice",
            "no table, no nitrogen",
            Grade.COMMON_PRACTICE,
        )
    # sorted by utilisation, then rate: of two printed for the same, the lower is read
    printed = sorted(
        (PERCENT * row.spread_in / row.row_in, row.urea_n_lb_ac * KG_HA_PER_POUND_ACRE)
        for row in rows
    )
    known = dict(reversed(printed))
    at, rate = np.array(sorted(known)), np.array([known[key] for key in sorted(known)])
    if math.isclose(asked, at[0], rel_tol=1e-6):
        asked = float(at[0])  # inches in millimetres
    safe = float(np.interp(asked, at, rate, left=0.0)) * _moist_share(placement)
    reason = ""
    if asked < at[0]:
        reason = f"the guide starts at {at[0]:.1f} % of the ground; below it none is safe"
    elif safe == 0:
        reason = "the guide allows none here"
    return SafeRate(safe, reason, rows[0].source, rows[0].where, rows[0].grade)


def safe_seed_phosphorus(placement: SeedPlacement) -> SafeRate:
    """The most phosphorus beside the seed, elemental, as MAP.

    The guides are for a 1 inch opener on 9 inch rows. Less utilisation takes it down in
    proportion, more does not raise it: a choice of this program, as is the half under
    drying wind, which the guide tells of nitrogen.

    Raises
    ------
    SoilInputError
        If spread or row spacing lie outside their range.
    """
    asked = float(seed_bed_utilisation(placement.spread_mm, placement.row_spacing_mm))
    row = next(
        row
        for row in read_table("seed_phosphate.csv", _PhosphateRow)
        if row.sensitivity is placement.sensitivity
    )
    printed = row.p2o5_lb_ac * KG_HA_PER_POUND_ACRE * mass_fraction("P", "P2O5")
    told_for = float(
        seed_bed_utilisation(
            row.spread_in * MILLIMETRES_PER_INCH, row.row_in * MILLIMETRES_PER_INCH
        )
    )
    lowered = scaled_safe_rate(printed, from_percent=told_for, to_percent=min(asked, told_for))
    safe = float(lowered) * _moist_share(placement)
    return SafeRate(safe, "", row.source, row.where, row.grade)


def _moist_share(placement: SeedPlacement) -> float:
    """What is left of a safe rate by the moisture of the seedbed."""
    return DRYING_SHARE if placement.is_drying else 1.0
