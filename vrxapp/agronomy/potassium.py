"""Potassium: need by soil test and removal, and what to mind on sands, loams and with seed."""

from functools import partial

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.claims import Claim
from vrxapp.agronomy.critical_ranges import CriticalRange
from vrxapp.agronomy.rating_bands import rated_by
from vrxapp.agronomy.rule_need import RuleNeed
from vrxapp.agronomy.sufficiency import sufficiency_need
from vrxapp.agronomy.sufficiency_values import (
    ElementWords,
    HarvestRemoval,
    LayerTest,
    NeedChoices,
)
from vrxapp.soil.interpretation_scales import scale
from vrxapp.units import milligrams_per_cmol

SPLIT_ABOVE_ON_SANDS_KG_HA = 60.0
"""One dose of potassium on sands, unverified: a warning, never a cap [potassium-memory]."""

_SANDS = ("sand", "loamy sand", "clayey sand")
_LOAMS = ("loam", "sandy loam", "clay loam", "sandy clay loam")
_CAUTIONS = (
    "Seed burn: potassium chloride is a salt. These amounts are for spreading; keep it away "
    "from seed, above all from canola.",
    "Labels, local codes and licensed advice come before this sheet.",
)


def potassium_rating(extractable_cmol_kg: ArrayLike) -> NDArray[np.str_]:
    """How a bicarbonate- or acid-extractable potassium rates among soils; no crop's need.

    Parameters
    ----------
    extractable_cmol_kg : array_like
        Extractable potassium. [cmol(+)/kg]

    Returns
    -------
    ndarray of str
        Rating, ``"very low"`` to ``"very high"``, ``"unknown"`` where it is missing.

    Raises
    ------
    SoilInputError
        If a value is negative.

    References
    ----------
    .. [1] rayment-lyons-2011. Table 18.2.

    Examples
    --------
    >>> potassium_rating([0.15])
    array(['low'], dtype='<U9')
    """
    by_mass = np.asarray(extractable_cmol_kg, dtype=float) * milligrams_per_cmol("K")
    return rated_by(scale("bicarbonate-k"), by_mass)


def potassium_need(
    test: LayerTest,
    critical: CriticalRange,
    *,
    harvest: HarvestRemoval,
    choices: NeedChoices | None = None,
) -> RuleNeed:
    """Potassium that each place needs, by sufficiency or by replacement.

    Parameters
    ----------
    test : LayerTest
        Colwell or exchangeable potassium, with the texture where it is known.
    critical : CriticalRange
        A range for the same test and layer.
    harvest : HarvestRemoval
        Yield and the potassium in it.
    choices : NeedChoices or None
        Policy, years and limit.

    Returns
    -------
    RuleNeed
        Potassium. [kg K/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range, or the test is not the calibration's.

    References
    ----------
    .. [1] grdc-2023-k-loam. Loams answer above the topsoil values of sands.

    Examples
    --------
    Exchangeable K 0.08 to 0.12 cmol(+)/kg in 10 cm at 1.3 t/m³ is 20.3 kg K/ha, and
    3 t/ha of wheat carry 12 away:

    >>> from vrxapp.agronomy.critical_ranges import critical_range_of
    >>> need = potassium_need(
    ...     LayerTest("exch_k", "0-10", [0.08, 0.30], bulk_density_t_m3=1.3),
    ...     critical_range_of("k-wheat-exchangeable"),
    ...     harvest=HarvestRemoval(3.0, 4.0))
    >>> need.amount.round(1)
    array([32.3,  0. ])
    """
    doubts = partial(_doubts, texture=test.texture, depth_cm=critical.depth_cm)
    words = ElementWords(doubts, _CAUTIONS)
    return sufficiency_need(test, critical, harvest=harvest, choices=choices, words=words)


def _doubts(
    need_kg_ha: NDArray[np.float64], *, texture: ArrayLike, depth_cm: str
) -> tuple[Claim, ...]:
    """What sands and loams ask for beyond the soil test."""
    named = np.char.lower(np.asarray(texture, dtype=str))
    is_much = need_kg_ha > SPLIT_ABOVE_ON_SANDS_KG_HA
    return (
        (
            is_much & np.isin(named, _SANDS),
            f"over {SPLIT_ABOVE_ON_SANDS_KG_HA:g} kg K/ha at once on sand: it leaches, so split "
            "it (unverified limit)",
        ),
        (
            np.isin(named, _LOAMS) & np.array(depth_cm == "0-10"),
            "loams lacked potassium above such topsoil values: test 0-30 cm too",
        ),
    )
