"""Magnesium: need by the exchangeable test and removal; never to chase a ratio."""

from vrxapp.agronomy.critical_ranges import CriticalRange
from vrxapp.agronomy.rule_need import RuleNeed
from vrxapp.agronomy.sufficiency import sufficiency_need
from vrxapp.agronomy.sufficiency_values import (
    ElementWords,
    HarvestRemoval,
    LayerTest,
    NeedChoices,
)

EVIDENCE_NOTE = (
    "Magnesium shortage is rare in field crops, and no loss of canola yield has been recorded "
    "in Victoria; confirm it with a leaf test before any is spread."
)
"""Told with every need of magnesium [croppro-magnesium]."""

_CAUTIONS = (
    EVIDENCE_NOTE,
    "Grass tetany is a question of its own: giving magnesium to the stock costs less than "
    "fertilising for it; ask a veterinarian.",  # mayland-wilkinson-1989
    "Labels, local codes and licensed advice come before this sheet.",
)


def magnesium_need(
    test: LayerTest,
    critical: CriticalRange,
    *,
    harvest: HarvestRemoval,
    choices: NeedChoices | None = None,
) -> RuleNeed:
    """Magnesium that each place needs, by sufficiency or by replacement.

    No critical range was read anywhere, so none is the default.

    Parameters
    ----------
    test : LayerTest
        Exchangeable magnesium.
    critical : CriticalRange
        A range for the same test and layer.
    harvest : HarvestRemoval
        Yield and the magnesium in it.
    choices : NeedChoices or None
        Policy, years and limit.

    Returns
    -------
    RuleNeed
        Magnesium. [kg Mg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range, or the test is not the calibration's.

    References
    ----------
    .. [1] croppro-magnesium. Shortages are rare and pass.
    .. [2] mayland-wilkinson-1989. Journal of Animal Science 67, 3437-3444.

    Examples
    --------
    >>> from vrxapp.agronomy.critical_ranges import critical_range_of
    >>> need = magnesium_need(
    ...     LayerTest("exch_mg", "0-10", [0.15, 1.0], bulk_density_t_m3=1.3),
    ...     critical_range_of("mg-any"), harvest=HarvestRemoval(3.0, 1.0))
    >>> need.amount.round(1)
    array([18.8,  0. ])
    """
    words = ElementWords(cautions=_CAUTIONS)
    return sufficiency_need(test, critical, harvest=harvest, choices=choices, words=words)
