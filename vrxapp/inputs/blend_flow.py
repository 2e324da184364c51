"""How a humate changes the flow of a fertiliser, and whether the two come apart on the way."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.errors import MissingInputError, SoilInputError
from vrxapp.sources import Grade
from vrxapp.table_reader import read_table
from vrxapp.units import PERCENT

FLOW_CAUTION = (
    "Calibrate with the mix itself: it weighs and flows differently from the fertiliser. Humate "
    "draws water and bridges, so mix and spread it on one day and brush the bin out."
)
"""To be shown beside each mix [program-choice]."""

POWDER_CAUTION = (
    "A powder does not stay mixed with granules. Spread it separately, or have it coated on by "
    "somebody who knows how; oil or water for the coat brings hazards of its own."
)
"""To be shown where one part is a powder [program-choice]."""


class SizeVerdict(StrEnum):
    """How well two granule sizes stay mixed."""

    GOOD = "good"
    CAUTION = "caution"
    COMES_APART = "comes apart"


@dataclass(frozen=True, slots=True)
class SizeMatch:
    """How two parts of a mix fit in size.

    Parameters
    ----------
    difference_percent : float
        Difference of their sizes by the mean of both. [%]
    verdict : SizeVerdict
        What it means, by the cut-offs of the table.
    source, grade : str, Grade
        Where the cut-offs come from: they are unverified.
    """

    difference_percent: float
    verdict: SizeVerdict
    source: str
    grade: Grade


@dataclass(frozen=True, slots=True)
class _CutOff:
    measure: str
    verdict: SizeVerdict
    upto_percent: float
    source: str
    where: str
    grade: Grade


def mixed_bulk_density(
    mass_kg: Sequence[ArrayLike], bulk_density_kg_m3: Sequence[float]
) -> NDArray[np.float64]:
    r"""Bulk density of a mix, where each part keeps the room that it takes alone.

    Parameters
    ----------
    mass_kg : sequence of array_like
        Mass of each part, or its rate; together above 0. [kg]
    bulk_density_kg_m3 : sequence of float
        Bulk density of each part, above 0; weigh a bucket of each. [kg/m³]

    Returns
    -------
    ndarray of float
        Bulk density of the mix; NaN where there is no mass at all. [kg/m³]

    Raises
    ------
    SoilInputError
        If a mass is negative or a density not above 0.
    MissingInputError
        If there are not as many densities as masses.

    Notes
    -----
    .. math:: \rho = \sum m_k / \sum (m_k / \rho_k)

    m: mass of a part; ρ_k: its bulk density.

    Examples
    --------
    >>> mixed_bulk_density([1000.0, 50.0], [1000.0, 700.0]).round(1)
    np.float64(980.0)
    """
    if len(mass_kg) != len(bulk_density_kg_m3) or not mass_kg:
        raise MissingInputError(
            "each part of the mix needs a mass and a bulk density",
            mend="Weigh a bucket of each part",
        )
    require_at_least_zero(**{f"mass_kg_{i}": mass for i, mass in enumerate(mass_kg)})
    require_above_zero(bulk_density_kg_m3=bulk_density_kg_m3)
    masses = [np.asarray(mass, dtype=float) for mass in mass_kg]
    volumes = [mass / density for mass, density in zip(masses, bulk_density_kg_m3, strict=True)]
    total_mass, total_volume = sum(masses), sum(volumes)
    return np.asarray(total_mass / np.where(total_volume == 0, np.nan, total_volume))


def size_difference_percent(first_sgn: float, second_sgn: float) -> float:
    """Difference of two size guide numbers (median size in mm by 100), by their mean. [%]

    Examples
    --------
    >>> round(size_difference_percent(300, 250), 1)
    18.2
    """
    require_above_zero(first_sgn=first_sgn, second_sgn=second_sgn)
    return PERCENT * abs(first_sgn - second_sgn) / ((first_sgn + second_sgn) / 2)


def size_match(first_sgn: float, second_sgn: float) -> SizeMatch:
    r"""Whether two parts stay mixed, by cut-offs that nobody verified.

    Parameters
    ----------
    first_sgn : float
        Size guide number of the first part: its median size in mm by 100, above 0. [SGN]
    second_sgn : float
        Size guide number of the second part, above 0. [SGN]

    Returns
    -------
    SizeMatch
        Difference and what it means.

    Raises
    ------
    SoilInputError
        If a number is not above 0.

    Notes
    -----
    .. math:: d = 100 \, |a - b| / ((a + b) / 2)

    a, b: the two size guide numbers.

    Examples
    --------
    >>> size_match(300, 250).verdict.value
    'caution'
    """
    difference = size_difference_percent(first_sgn, second_sgn)
    rows = _cut_offs("difference")
    verdict = next(
        (row.verdict for row in rows if difference <= row.upto_percent), SizeVerdict.COMES_APART
    )
    return SizeMatch(difference, verdict, rows[0].source, rows[0].grade)


def spread_of_sizes_percent(*, d16_mm: float, d50_mm: float, d84_mm: float) -> float:
    r"""Spread of the granule sizes of one product: the granulometric spread index.

    Parameters
    ----------
    d16_mm : float
        Size that 16 % of the mass passes, above 0. [mm]
    d50_mm : float
        Size that half of the mass passes. [mm]
    d84_mm : float
        Size that 84 % of the mass passes. [mm]

    Returns
    -------
    float
        Spread of sizes; below 18 is fit for a mix. [%]

    Raises
    ------
    SoilInputError
        If a size is not above 0 or they do not rise.

    Notes
    -----
    .. math:: GSI = 100 \, (d_{84} - d_{16}) / (2 \, d_{50})

    d: size that this share of the mass passes.

    References
    ----------
    .. [1] efba-granulation. The index, and its limit of 18.

    Examples
    --------
    >>> round(spread_of_sizes_percent(d16_mm=2.7, d50_mm=3.25, d84_mm=3.8), 1)
    16.9
    """
    require_above_zero(d16_mm=d16_mm, d50_mm=d50_mm, d84_mm=d84_mm)
    if not d16_mm <= d50_mm <= d84_mm:
        raise SoilInputError(
            "the sizes must rise from d16 to d84", mend="Check which sieve is which"
        )
    return PERCENT * (d84_mm - d16_mm) / (2 * d50_mm)


def is_fit_for_a_mix(spread_percent: float) -> bool:
    """Whether the spread of a product's sizes is small enough for a mix.

    Parameters
    ----------
    spread_percent : float
        Granulometric spread index of the product. [%]

    Returns
    -------
    bool
        Fit for a mix.

    References
    ----------
    .. [1] efba-granulation. A spread below 18.

    Examples
    --------
    >>> is_fit_for_a_mix(16.9)
    True
    """
    return spread_percent < _cut_offs("spread")[0].upto_percent


def _cut_offs(measure: str) -> tuple[_CutOff, ...]:
    """The cut-offs of one measure, the smallest first."""
    return tuple(row for row in read_table("size_match.csv", _CutOff) if row.measure == measure)
