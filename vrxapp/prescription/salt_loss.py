"""What the season's crop would yield on ground as salty as one result."""

import math
from dataclasses import dataclass

from vrxapp.agronomy.salt_tolerance import (
    SaltTolerance,
    relative_yield_under_salt,
    salt_tolerances,
)
from vrxapp.sources import Grade


@dataclass(frozen=True, slots=True)
class SaltLoss:
    """Yield of a crop under salt.

    Parameters
    ----------
    tolerance : SaltTolerance
        The crop's threshold and slope, with their source and grade.
    low_percent, high_percent : float
        Yield against the same crop without salt, least and most. [%]
    """

    tolerance: SaltTolerance
    low_percent: float
    high_percent: float


def salt_loss(
    least_ds_m: float, most_ds_m: float, crop: str, *, with_unverified: bool
) -> SaltLoss | None:
    """What a crop would yield, or None where its tolerance is not known.

    Parameters
    ----------
    least_ds_m, most_ds_m : float
        The least and the most that the ECe can be. [dS/m]
    crop : str
        Key of the crop.
    with_unverified : bool
        Whether a tolerance that nobody verified may be used; somebody has to ask for it.
    """
    known = next((row for row in salt_tolerances() if row.crop == crop), None)
    if known is None or not (math.isfinite(least_ds_m) and math.isfinite(most_ds_m)):
        return None
    if known.grade is Grade.UNVERIFIED and not with_unverified:
        return None
    high, low = relative_yield_under_salt(
        [least_ds_m, most_ds_m],
        threshold_ds_m=known.threshold_ds_m,
        slope_percent_per_ds_m=known.slope_percent_per_ds_m,
    )
    return SaltLoss(known, float(low), float(high))
