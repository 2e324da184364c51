"""Sulfur: need by the KCl-40 test and removal; sulfate moves, so the depth matters."""

from functools import partial

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.claims import Claim
from vrxapp.agronomy.critical_ranges import CriticalRange
from vrxapp.agronomy.rule_need import RuleNeed
from vrxapp.agronomy.sufficiency import sufficiency_need
from vrxapp.agronomy.sufficiency_values import (
    ElementWords,
    HarvestRemoval,
    LayerTest,
    NeedChoices,
)

_CAUTIONS = (
    "Fire: dust of elemental sulfur explodes. No flame, no sparks, and never with a nitrate.",
    "Elemental sulfur and ammonium sulphate acidify the soil; gypsum does not.",
    "Labels, local codes and licensed advice come before this sheet.",
)


def sulfur_need(
    test: LayerTest,
    critical: CriticalRange,
    *,
    harvest: HarvestRemoval,
    choices: NeedChoices | None = None,
) -> RuleNeed:
    """Sulfur that each place needs, by sufficiency or by replacement.

    MCP and KCl-40 are two tests; neither is read against the other's range.

    Parameters
    ----------
    test : LayerTest
        KCl-40 sulfur.
    critical : CriticalRange
        A range for the same test and layer.
    harvest : HarvestRemoval
        Yield and the sulfur in it.
    choices : NeedChoices or None
        Policy, years and limit.

    Returns
    -------
    RuleNeed
        Sulfur. [kg S/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range, or the test is not the calibration's.

    References
    ----------
    .. [1] anderson-2013. Crop and Pasture Science 64, 523-530.
    .. [2] grdc-2013-sulfur. Canola in central New South Wales hardly answered.

    Examples
    --------
    KCl-40 6.0 to 7.15 mg/kg in 30 cm at 1.4 t/m³ is 4.8 kg S/ha, and 2 t/ha of canola
    carry 10 away:

    >>> from vrxapp.agronomy.critical_ranges import critical_range_of
    >>> need = sulfur_need(
    ...     LayerTest("sulfur_kcl40", "0-30", [6.0], bulk_density_t_m3=1.4),
    ...     critical_range_of("s-canola-30"), harvest=HarvestRemoval(2.0, 5.0))
    >>> need.amount.round(1)
    array([14.8])
    """
    words = ElementWords(partial(_doubts, critical=critical), _CAUTIONS)
    return sufficiency_need(test, critical, harvest=harvest, choices=choices, words=words)


def _doubts(need_kg_ha: NDArray[np.float64], *, critical: CriticalRange) -> tuple[Claim, ...]:
    """What a shallow test and a calibration from elsewhere leave open."""
    is_needed = need_kg_ha > 0
    return (
        (
            is_needed & np.array(critical.depth_cm == "0-10"),
            "sulfate lies deeper too: a test of 0-10 cm alone may call soil poor",
        ),
        (
            is_needed & np.array(critical.crop == "canola"),
            "trials in central New South Wales found such values too high, and canola hardly "
            "answered to sulfur",
        ),
    )
