"""Fertiliser with the seed: what a rate puts in the row, against what is safe there.

A check never changes a rate: it says where one must not be placed with the seed.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.claims import Claim, all_claims
from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.inputs.products import Product
from vrxapp.inputs.seed_safe_rates import (
    SafeRate,
    SeedPlacement,
    SeedSensitivity,
    safe_seed_nitrogen,
    safe_seed_phosphorus,
    seed_bed_utilisation,
)
from vrxapp.units import MILLIMETRES_PER_METRE, PERCENT

SEED_CAUTION = (
    "A guide, not a promise: seed lots, moisture and worn openers differ. Measure the spread in "
    "the furrow, follow the label and your seed supplier, and where in doubt place fertiliser at "
    "least 3 to 4 cm from the seed."
)
"""To be shown beside every check; the distance is that of a Mallee trial [bcg-canola-urea]."""

MAP_N_PER_P = 0.5
"""Nitrogen that comes with the phosphorus of MAP, 11 to 22 %: the guides for phosphate are
for MAP and hold it already, so only nitrogen beyond it counts [program-choice]."""

_METRES_TO_GRAMS = 10.0  # 1 kg/ha is 0.1 g/m²


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class SeedCheck:
    """What a rate puts beside the seed of each place, against what is safe.

    Parameters
    ----------
    n_kg_ha, p_kg_ha : ndarray of float
        Nitrogen that counts, and phosphorus. [kg/ha]
    row_load_g_m : ndarray of float
        Product in a metre of row. [g/m]
    utilisation_percent : float
        Share of the ground that seed and fertiliser lie in. [%]
    safe_n, safe_p : SafeRate
        The most of each.
    highest_rate_kg_ha : float
        The most of the product that keeps both; infinite where neither holds it. [kg/ha]
    is_over : ndarray of bool
        Where the rate must not be placed with the seed.
    warning : ndarray of object
        What is wrong with the rate; empty where nothing is.
    """

    n_kg_ha: NDArray[np.float64]
    p_kg_ha: NDArray[np.float64]
    row_load_g_m: NDArray[np.float64]
    utilisation_percent: float
    safe_n: SafeRate
    safe_p: SafeRate
    highest_rate_kg_ha: float
    is_over: NDArray[np.bool_]
    warning: NDArray[np.object_]


def row_load(rate_kg_ha: ArrayLike, row_spacing_m: ArrayLike) -> NDArray[np.float64]:
    """What lies in a metre of row. [g/m]

    Parameters
    ----------
    rate_kg_ha : array_like
        Rate over the ground. [kg/ha]
    row_spacing_m : array_like
        From row to row, above 0. [m]

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    Examples
    --------
    >>> row_load([100.0], 0.30)
    array([3.])
    """
    require_at_least_zero(rate_kg_ha=rate_kg_ha)
    require_above_zero(row_spacing_m=row_spacing_m)
    return np.multiply(rate_kg_ha, row_spacing_m, dtype=float) / _METRES_TO_GRAMS


def nitrogen_counted_percent(product: Product) -> float:
    """Nitrogen that counts beside the seed: all of it but what MAP brings with its P. [%]

    Examples
    --------
    >>> nitrogen_counted_percent(Product("dap", "DAP", 18.0, 20.0, 0.0, 1.5))
    8.0
    """
    return max(0.0, product.n_percent - MAP_N_PER_P * product.p_percent)


def seed_placed_check(
    rate_kg_ha: ArrayLike, product: Product, placement: SeedPlacement
) -> SeedCheck:
    """What a rate puts beside the seed of each place, against what is safe.

    Parameters
    ----------
    rate_kg_ha : array_like
        Product in the row; NaN where there is no rate. [kg/ha]
    product : Product
        What is placed.
    placement : SeedPlacement
        Crop, soil and how seed and fertiliser lie.

    Returns
    -------
    SeedCheck
        One value for each place; no rate is changed.

    Raises
    ------
    SoilInputError
        If a value lies outside its range.

    References
    ----------
    .. [1] manitoba-seed. Urea nitrogen.
    .. [2] canola-council-2018. Phosphate with canola, and nothing else in its row.

    Examples
    --------
    Urea with wheat on a loam, 30 mm of spread on 300 mm rows:

    >>> from vrxapp.inputs.seed_safe_rates import SeedSoil
    >>> urea = Product("urea", "Urea", 46.0, 0.0, 0.0, 0.0)
    >>> row = SeedPlacement(SeedSensitivity.CEREAL, SeedSoil.MEDIUM, 30.0, 300.0)
    >>> check = seed_placed_check([20.0, 60.0], urea, row)
    >>> check.is_over.tolist(), round(check.safe_n.kg_ha, 1)
    ([False, True], 14.6)
    """
    require_at_least_zero(rate_kg_ha=rate_kg_ha)
    rate = np.asarray(rate_kg_ha, dtype=float)
    n_share = nitrogen_counted_percent(product) / PERCENT
    p_share = product.p_percent / PERCENT
    safe_n, safe_p = safe_seed_nitrogen(placement), safe_seed_phosphorus(placement)
    over = [
        *_over(rate * n_share, rate * p_share, safe=(safe_n.kg_ha, safe_p.kg_ha)),
        *_never_with_seed(rate, product, placement),
    ]
    unsure = [(rate > 0, text) for text in _not_covered(product, placement)]
    return SeedCheck(
        n_kg_ha=rate * n_share,
        p_kg_ha=rate * p_share,
        row_load_g_m=row_load(rate, placement.row_spacing_mm / MILLIMETRES_PER_METRE),
        utilisation_percent=float(
            seed_bed_utilisation(placement.spread_mm, placement.row_spacing_mm)
        ),
        safe_n=safe_n,
        safe_p=safe_p,
        highest_rate_kg_ha=min(
            safe.kg_ha / share if share > 0 else np.inf
            for safe, share in ((safe_n, n_share), (safe_p, p_share))
        ),
        is_over=np.any([holds for holds, _ in over], axis=0),
        warning=all_claims([*over, *unsure]),
    )


def _over(
    n_kg_ha: NDArray[np.float64], p_kg_ha: NDArray[np.float64], *, safe: tuple[float, float]
) -> list[Claim]:
    """Where nitrogen or phosphorus pass what is safe."""
    slack = 1e-9  # a rate set to the limit keeps it
    return [
        (
            n_kg_ha > safe[0] + slack,
            "more nitrogen than is safe with the seed: it can kill it. Spread it, or place it "
            "apart from the seed",
        ),
        (
            p_kg_ha > safe[1] + slack,
            "more phosphate than is safe with the seed: place part of it apart from the seed",
        ),
    ]


def _never_with_seed(
    rate: NDArray[np.float64], product: Product, placement: SeedPlacement
) -> list[Claim]:
    """What must not lie beside the seed whatever the rate."""
    # boron and the like rest on memory alone [seed-memory], but a warning is the safe side
    is_canola = placement.sensitivity is SeedSensitivity.CANOLA
    return [
        (
            (rate > 0) & (product.b_percent > 0),
            "boron is never placed with the seed (unverified, but the margin is narrow)",
        ),
        (
            (rate > 0) & is_canola & (product.k_percent > 0),
            "potassium belongs outside the seed row of canola",
        ),
    ]


def _not_covered(product: Product, placement: SeedPlacement) -> list[str]:
    """What no guide that was read tells of."""
    told = []
    if product.k_percent > 0 and placement.sensitivity is not SeedSensitivity.CANOLA:
        told.append("no guide for potassium with the seed was read; its salt harms seed too")
    if placement.sensitivity is SeedSensitivity.PULSE:
        told.append("the guide is for flax, pea and forage; lupin, chickpea and lentil bear less")
    return told
