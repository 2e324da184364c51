"""The spreader: how wide it throws, how finely and how little it can meter."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.errors import MissingInputError


@dataclass(frozen=True, slots=True)
class Machine:
    """A spreader as it is set up for one product.

    Parameters
    ----------
    name : str
        What people call it.
    swath_width_m : float
        Distance from one pass to the next. [m]
    rate_step_kg_ha : float
        Smallest change of rate that it meters. [kg/ha]
    lowest_rate_kg_ha, highest_rate_kg_ha : float
        Rates between which it meters at the planned speed. [kg/ha]
    """

    name: str
    swath_width_m: float
    rate_step_kg_ha: float
    lowest_rate_kg_ha: float
    highest_rate_kg_ha: float

    def __post_init__(self) -> None:
        """Refuse a machine that could spread nothing."""
        sensible = (
            self.swath_width_m > 0
            and self.rate_step_kg_ha > 0
            and 0 <= self.lowest_rate_kg_ha <= self.highest_rate_kg_ha
        )
        if not sensible:
            raise MissingInputError(
                f"{self.name!r} cannot spread: swath {self.swath_width_m:g} m, step "
                f"{self.rate_step_kg_ha:g} kg/ha, from {self.lowest_rate_kg_ha:g} to "
                f"{self.highest_rate_kg_ha:g} kg/ha",
                mend="Width and step must be above zero, and the lowest rate not above the highest",
            )


def metered_rate(
    wanted_kg_ha: ArrayLike, machine: Machine, *, cap_kg_ha: ArrayLike
) -> NDArray[np.float64]:
    """The rate that the machine will meter for a wanted one, never above the cap.

    Rounded to the nearest step; a rate under the lowest that can be metered becomes
    that lowest rate from half of it upwards, and zero below half.

    Parameters
    ----------
    wanted_kg_ha : array_like
        Rate asked for; NaN stays NaN. [kg/ha]
    machine : Machine
        What can be metered.
    cap_kg_ha : array_like
        Highest rate allowed; the machine's own highest rate holds beside it. [kg/ha]

    Returns
    -------
    ndarray of float
        Metered rate. [kg/ha]

    References
    ----------
    .. [1] program-choice. The half-way rule at the low end.

    Examples
    --------
    >>> spreader = Machine("spreader", 24.0, 5.0, 40.0, 300.0)
    >>> metered_rate([103.0, 31.0, 12.0], spreader, cap_kg_ha=200.0)
    array([105.,  40.,   0.])
    """
    step, lowest = machine.rate_step_kg_ha, machine.lowest_rate_kg_ha
    cap = np.minimum(np.asarray(cap_kg_ha, dtype=float), machine.highest_rate_kg_ha)
    steps = np.minimum(
        np.floor(np.asarray(wanted_kg_ha, dtype=float) / step + 0.5), np.floor(cap / step + 1e-9)
    )
    rate = np.round(steps * step, 6)
    lowest_metered = np.ceil(lowest / step - 1e-9) * step
    lifted = np.where(np.asarray(wanted_kg_ha) >= lowest / 2, lowest_metered, 0.0)
    rate = np.where(rate < lowest_metered, np.where(lifted <= cap, lifted, 0.0), rate)
    return np.where(np.isnan(np.asarray(wanted_kg_ha, dtype=float)), np.nan, rate)
