"""What happens to the fertiliser when a humate goes with it: three policies and their limits.

The humate is worked out from the fertiliser before any cut, then capped, and only then the
fertiliser is cut. No policy takes a nutrient or a yield credit.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import MissingInputError, SoilInputError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import PERCENT


class FertiliserPolicy(StrEnum):
    """What happens to the fertiliser."""

    KEEP = "keep the fertiliser"
    PAY_FROM = "pay the humate out of the fertiliser"
    SHARE_OFF = "take a share off the fertiliser"


@dataclass(frozen=True, slots=True)
class PolicyLimit:
    """A published or common limit of a policy; `value` is NaN where it is words alone."""

    key: str
    policy: FertiliserPolicy
    value: float
    unit: str
    told: str
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class HumatePolicy:
    """The agronomist's choice for one season; nothing in it is set unasked.

    Parameters
    ----------
    policy : FertiliserPolicy
        What happens to the fertiliser.
    share_percent : float
        Humate by the mass of the uncut fertiliser, above 0. [%]
    cap_kg_ha : float
        Most humate in the season, above 0. [kg/ha]
    cut_fraction : float
        Share of the fertiliser taken off at the cap, above 0 and below 1; NaN for the
        policies that take none. [-]
    humate_price_per_kg : float
        Price of the humate; NaN where not told. [currency/kg]
    """

    policy: FertiliserPolicy
    share_percent: float
    cap_kg_ha: float
    cut_fraction: float = math.nan
    humate_price_per_kg: float = math.nan

    def __post_init__(self) -> None:
        """Refuse a choice that is not whole."""
        require_above_zero(share_percent=self.share_percent, cap_kg_ha=self.cap_kg_ha)
        if math.isnan(self.share_percent) or math.isnan(self.cap_kg_ha):
            raise MissingInputError(
                "a policy needs the share of humate and its cap",
                mend="Type both; common are 5 % of the fertiliser and 20 kg/ha",
            )
        if self.policy is FertiliserPolicy.SHARE_OFF and not 0 < self.cut_fraction < 1:
            raise SoilInputError(
                "cut_fraction must be above 0 and below 1",
                value=f"{self.cut_fraction:g}",
                mend="Give the share of the fertiliser that comes off, 0.2 for 20 %",
            )
        if self.policy is FertiliserPolicy.PAY_FROM and not self.humate_price_per_kg >= 0:
            raise MissingInputError(
                "the humate's price is not known, so nothing can be taken off for it",
                mend="Type the price of one kilogram",
            )


def policy_limits(policy: FertiliserPolicy | None = None) -> tuple[PolicyLimit, ...]:
    """Published and common limits, of one policy or of all."""
    rows = read_table("humate_policy_limits.csv", PolicyLimit)
    return tuple(row for row in rows if policy in (None, row.policy))


def policy_limit(key: str) -> PolicyLimit:
    """One limit by its key.

    Examples
    --------
    >>> policy_limit("drought_least").value
    5.0
    """
    return next(row for row in policy_limits() if row.key == key)


def policy_notes(policy: HumatePolicy) -> tuple[PolicyLimit, ...]:
    """The limits that this choice goes past, or that are always told with it.

    Examples
    --------
    >>> choice = HumatePolicy(FertiliserPolicy.KEEP, share_percent=5.0, cap_kg_ha=40.0)
    >>> [limit.key for limit in policy_notes(choice)]
    ['cap', 'falling']
    """
    goes_past = {
        "share": policy.share_percent > policy_limit("share").value,
        "cap": policy.cap_kg_ha > policy_limit("cap").value,
        "cut_at_cap": policy.cut_fraction > policy_limit("cut_at_cap").value,
    }
    ranges = {"share", "cap", "cut_at_cap"}
    return tuple(
        row
        for row in policy_limits()
        if goes_past.get(row.key) or (row.policy is policy.policy and row.key not in ranges)
    )


def capped_humate(
    fertiliser_kg_ha: ArrayLike, *, share_percent: float, cap_kg_ha: float = math.inf
) -> NDArray[np.float64]:
    r"""Humate that goes with a fertiliser that nobody has cut yet.

    Parameters
    ----------
    fertiliser_kg_ha : array_like
        Fertiliser before any cut; NaN stays NaN. [kg/ha]
    share_percent : float
        Humate by the fertiliser's mass, above 0. [%]
    cap_kg_ha : float, default infinite
        Most humate. [kg/ha]

    Returns
    -------
    ndarray of float
        Humate. [kg/ha]

    Raises
    ------
    SoilInputError
        If a rate is negative or the share is not above 0.

    Notes
    -----
    .. math:: H = \min(i \, F, cap)

    References
    ----------
    .. [1] humate-practice. The share and the cap that are common.

    Examples
    --------
    >>> capped_humate([50.0, 2000.0], share_percent=5.0, cap_kg_ha=20.0)
    array([ 2.5, 20. ])
    """
    require_at_least_zero(fertiliser_kg_ha=fertiliser_kg_ha)
    require_above_zero(share_percent=share_percent)
    wanted = np.asarray(fertiliser_kg_ha, dtype=float) * share_percent / PERCENT
    return np.asarray(np.minimum(wanted, cap_kg_ha))


def least_phosphorus(
    replacement_p_kg_ha: ArrayLike, *, soil_p: ArrayLike, critical_p: ArrayLike
) -> NDArray[np.float64]:
    """Phosphorus below which no policy may cut.

    Parameters
    ----------
    replacement_p_kg_ha : array_like
        What the harvest carries away. [kg P/ha]
    soil_p, critical_p : array_like
        Soil test and its critical value, in the same unit and by the same test; NaN where
        one is not known. [mg/kg]

    Returns
    -------
    ndarray of float
        All of the replacement where the test is below its critical value; above it a third,
        and not less than 5 kg P/ha, but never more than the replacement; NaN where the
        test is not known. [kg P/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    References
    ----------
    .. [1] grdc-2020-p-budget. Take home messages; written for a single season after a drought.

    Examples
    --------
    >>> least_phosphorus(12.0, soil_p=[20.0, 60.0], critical_p=35.0)
    array([12.,  5.])
    """
    require_at_least_zero(
        replacement_p_kg_ha=replacement_p_kg_ha, soil_p=soil_p, critical_p=critical_p
    )
    replacement, test, critical = (
        np.asarray(column, dtype=float) for column in (replacement_p_kg_ha, soil_p, critical_p)
    )
    third = policy_limit("drought_cut").value * replacement
    relaxed = np.minimum(replacement, np.maximum(third, policy_limit("drought_least").value))
    least = np.where(test < critical, replacement, relaxed)
    return np.asarray(np.where(np.isnan(test) | np.isnan(critical), np.nan, least))
