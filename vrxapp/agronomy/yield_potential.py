"""Yield that the water allows: a ceiling to set a target under, never a forecast."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.claims import all_claims, first_claim
from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import KILOGRAMS_PER_TONNE

STORED_SHARE_OF_SUMMER_RAIN = 1.0 / 3.0
"""Share of the summer's rain that is still in the soil at sowing [dpird-potential-yield]."""

USUAL_TARGET_SHARES = (0.6, 0.8)
"""Shares of the potential that are a sound target; offered, never set unasked [program-choice]."""

OVERESTIMATE_CAUTION = (
    "The water-limited yield overestimates: against 148 crops in Western Australia it missed by "
    "1.56 t/ha on average. It knows no frost, disease, weeds or short nutrients."
)
"""To be shown beside every potential [oliver-2008]."""


@dataclass(frozen=True, slots=True)
class YieldBenchmark:
    """How much grain a millimetre of water makes, once some has evaporated.

    Parameters
    ----------
    key, crop, name : str
        Lasting name, the crop it was made for, and what people read.
    evaporation_mm : float
        Water that no crop gets. [mm]
    kg_ha_per_mm : float
        Grain for each further millimetre. [kg/ha per mm]
    source, where : str
        Key of the bibliography, and the place in it.
    grade : Grade
        How well it is known; an unverified one is never a default.
    """

    key: str
    crop: str
    name: str
    evaporation_mm: float
    kg_ha_per_mm: float
    source: str
    where: str
    grade: Grade


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class YieldPotential:
    """Yield that the water allows at each place, with the columns of its trail.

    Parameters
    ----------
    potential_t_ha : ndarray of float
        Water-limited yield; NaN where it cannot be told. [t/ha]
    water_mm : ndarray of float
        Rain and stored water. [mm]
    used_mm : ndarray of float
        Water left after evaporation. [mm]
    reason : ndarray of object
        Why there is no yield or none can be told; empty elsewhere.
    doubt : ndarray of object
        Why a yield is less sure; empty elsewhere.
    benchmark : YieldBenchmark
        What it was worked out with, and where that is from.
    """

    potential_t_ha: NDArray[np.float64]
    water_mm: NDArray[np.float64]
    used_mm: NDArray[np.float64]
    reason: NDArray[np.object_]
    doubt: NDArray[np.object_]
    benchmark: YieldBenchmark


def yield_benchmarks(crop: str = "") -> tuple[YieldBenchmark, ...]:
    """Every benchmark in the tables, or those of one crop."""
    rows = read_table("yield_benchmarks.csv", YieldBenchmark)
    return tuple(row for row in rows if crop in ("", row.crop))


def yield_benchmark(key: str) -> YieldBenchmark:
    """The benchmark with this key.

    Raises
    ------
    UnknownChoiceError
        If there is none; the mend lists what there is.
    """
    for known in yield_benchmarks():
        if known.key == key:
            return known
    raise UnknownChoiceError(
        f"no yield benchmark has the key {key!r}",
        mend=f"Choose one of: {', '.join(known.key for known in yield_benchmarks())}",
    )


def stored_water(summer_rain_mm: ArrayLike) -> NDArray[np.float64]:
    """Water that the soil has kept of the summer's rain, by the rule of one third.

    Parameters
    ----------
    summer_rain_mm : array_like
        Rain between harvest and sowing. [mm]

    Returns
    -------
    ndarray of float
        Water stored at sowing; a soil that was probed comes first. [mm]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: W = R / 3

    R: rain of the summer.

    References
    ----------
    .. [1] dpird-potential-yield. One third of the summer rain.

    Examples
    --------
    >>> stored_water([90.0])
    array([30.])
    """
    require_at_least_zero(summer_rain_mm=summer_rain_mm)
    return np.asarray(summer_rain_mm, dtype=float) * STORED_SHARE_OF_SUMMER_RAIN


def water_limited_yield(
    growing_season_rain_mm: ArrayLike,
    benchmark: YieldBenchmark,
    *,
    stored_water_mm: ArrayLike = 0.0,
) -> YieldPotential:
    r"""Yield that rain and stored water allow, if nothing else holds the crop back.

    Parameters
    ----------
    growing_season_rain_mm : array_like
        Rain while the crop grows, April to October in the south. [mm]
    benchmark : YieldBenchmark
        Evaporation and grain for each millimetre beyond it.
    stored_water_mm : array_like, default 0
        Water in the soil at sowing that roots can reach. [mm]

    Returns
    -------
    YieldPotential
        Potential and its parts in the shape the inputs broadcast to. [t/ha]

    Raises
    ------
    SoilInputError
        If a value is negative.

    Notes
    -----
    .. math:: Y = \max(0, GSR + stored - E_s) \, TE

    GSR: rain of the growing season; E_s: water that evaporates; TE: grain for each
    further millimetre.

    References
    ----------
    .. [1] french-schultz-1984. Wheat in South Australia.
    .. [2] oliver-2008. How far it overestimates.

    Examples
    --------
    >>> wheat = yield_benchmark("wheat-south-australia")
    >>> water_limited_yield([300.0], wheat, stored_water_mm=30.0).potential_t_ha
    array([4.4])
    """
    require_at_least_zero(
        growing_season_rain_mm=growing_season_rain_mm, stored_water_mm=stored_water_mm
    )
    water = np.asarray(np.add(growing_season_rain_mm, stored_water_mm, dtype=float))
    used = np.maximum(water - benchmark.evaporation_mm, 0.0)
    potential = used * benchmark.kg_ha_per_mm / KILOGRAMS_PER_TONNE
    grows = potential > 0
    unverified = benchmark.grade is not Grade.PUBLISHED
    return YieldPotential(
        potential_t_ha=potential,
        water_mm=water,
        used_mm=used,
        reason=first_claim(
            [
                (np.isnan(water), "the season's rain or the stored water is not known"),
                (used == 0, "all the water is counted as evaporating"),
            ]
        ),
        doubt=all_claims(
            [
                (grows, "a ceiling that overestimates what paddocks yield"),
                (grows & unverified, "the benchmark is from memory and unverified"),
            ]
        ),
        benchmark=benchmark,
    )


def yield_target(potential_t_ha: ArrayLike, share: float) -> NDArray[np.float64]:
    r"""A target under the potential, for instance 0.6 to 0.8 of it.

    Parameters
    ----------
    potential_t_ha : array_like
        Water-limited yield. [t/ha]
    share : float
        Share of it to aim at, above 0 to 1; there is no default. [-]

    Returns
    -------
    ndarray of float
        Target yield. [t/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Notes
    -----
    .. math:: T = s \, Y

    s: share; Y: potential.

    Examples
    --------
    >>> yield_target([4.4], 0.75).round(2)
    array([3.3])
    """
    require_at_least_zero(potential_t_ha=potential_t_ha)
    require_above_zero(share=share)
    if not share <= 1:
        raise SoilInputError(
            "share must not be above 1", mend="Give a share of the potential, 0.75 for 75 %"
        )
    return np.asarray(potential_t_ha, dtype=float) * share
