"""Sufficiency: lift a poor layer to its critical range, replace the harvest, leave rich soil be.

Potassium, sulfur and magnesium share it; what is particular to each stands in its own file.
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.claims import Claim
from vrxapp.agronomy.critical_ranges import CriticalRange, layer_thickness_cm
from vrxapp.agronomy.input_checks import require_above_zero, require_at_least_zero
from vrxapp.agronomy.rule_need import Findings, RuleNeed, settled_need
from vrxapp.agronomy.soil_mass import soil_mass
from vrxapp.agronomy.sufficiency_values import (
    ElementWords,
    HarvestRemoval,
    LayerTest,
    NeedChoices,
    NeedPolicy,
)
from vrxapp.agronomy.trail import TrailStep
from vrxapp.errors import SoilInputError, UnknownChoiceError
from vrxapp.soil.analytes import analyte
from vrxapp.sources import Grade
from vrxapp.units import KILOGRAMS_PER_TONNE, milligrams_per_cmol

CHARGE_UNIT = "cmol(+)/kg"


def capital_by_layer_mass(
    test_mg_kg: ArrayLike,
    target_mg_kg: ArrayLike,
    *,
    depth_cm: ArrayLike,
    bulk_density_t_m3: ArrayLike,
    gravel_fraction: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    r"""The element that a layer lacks to a target: the least, for nothing is fixed or leached.

    Parameters
    ----------
    test_mg_kg, target_mg_kg : array_like
        Result and the value to be reached, by the same test. [mg/kg]
    depth_cm : array_like
        Thickness of the layer that was sampled. [cm]
    bulk_density_t_m3 : array_like
        Bulk density of the layer. [t/m³]
    gravel_fraction : array_like, default 0
        Share of stones in its volume. [-]

    Returns
    -------
    ndarray of float
        What is lacking; zero at or above the target. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range; the message names the parameter.

    Notes
    -----
    .. math:: q = \max(0, target - test) \, 0.1 \, d \, \rho \, (1 - g)

    References
    ----------
    .. [1] rayment-lyons-2011. Method 16A1: 10 cm at 1.0 g/cm³ is 1000 t/ha.

    Examples
    --------
    >>> capital_by_layer_mass([40.0, 70.0], 60.0, depth_cm=10.0, bulk_density_t_m3=1.5)
    array([30.,  0.])
    """
    require_at_least_zero(test_mg_kg=test_mg_kg, target_mg_kg=target_mg_kg)
    lack = np.maximum(np.subtract(target_mg_kg, test_mg_kg, dtype=float), 0.0)
    mass_t_ha = soil_mass(depth_cm, bulk_density_t_m3, gravel_fraction=gravel_fraction)
    return np.asarray(np.where(lack == 0, 0.0, lack * mass_t_ha / KILOGRAMS_PER_TONNE))


def range_standing(values: ArrayLike, *, low: float, high: float) -> NDArray[np.str_]:
    """Where a soil test stands against its critical range, in words.

    Parameters
    ----------
    values : array_like
        Results of the test.
    low, high : float
        Ends of the critical range, by the same test.

    Returns
    -------
    ndarray of str
        ``"below"``, ``"inside"``, ``"above"``, or ``"unknown"`` where there is no result.

    Examples
    --------
    >>> range_standing([6.0, 7.0], low=6.8, high=7.5)
    array(['below', 'inside'], dtype='<U7')
    """
    numbers = np.asarray(values, dtype=float)
    return np.select(
        [numbers < low, numbers > high, numbers >= low],
        ["below", "above", "inside"],
        default="unknown",
    )


def sufficiency_need(
    test: LayerTest,
    critical: CriticalRange,
    *,
    harvest: HarvestRemoval,
    choices: NeedChoices | None = None,
    words: ElementWords | None = None,
) -> RuleNeed:
    r"""What each place needs of an element this season, by sufficiency or by replacement.

    By sufficiency a layer below the middle of its range is lifted to it, the harvest is
    replaced up to the top of the range, and above it there is no need. By replacement
    the harvest is put back whatever the test tells.

    Parameters
    ----------
    test : LayerTest
        Results of the soil test.
    critical : CriticalRange
        The calibration; made for the same test and layer.
    harvest : HarvestRemoval
        What the harvest carries away.
    choices : NeedChoices or None
        Policy, years and limit; None for sufficiency in one year without a limit.
    words : ElementWords or None
        Doubts and cautions of the element.

    Returns
    -------
    RuleNeed
        The need of the element. [kg/ha]

    Raises
    ------
    SoilInputError
        If a value lies outside its range, or the test is not the calibration's.
    UnknownChoiceError
        If the policy is cation balance, which has a rule of its own.

    Notes
    -----
    .. math:: need = yield \times removal + \max(0, target - test) \, W / years

    References
    ----------
    .. [1] mclean-1983. Sufficient but not excessive levels of each cation.
    .. [2] rayment-lyons-2011. Method 16A1, mass of a layer.

    Examples
    --------
    To the middle of 0.12 exchangeable potassium it lacks 0.04 × 391 mg × 1.3 t/m³; 4 t/ha
    carry 16 kg away.

    >>> from vrxapp.agronomy.critical_ranges import critical_range_of
    >>> test = LayerTest("exch_k", "0-10", [0.08, 0.5], bulk_density_t_m3=1.3)
    >>> harvest = HarvestRemoval(4.0, 4.0, "", "the agronomist's own", Grade.YOURS)
    >>> wheat = critical_range_of("k-wheat-exchangeable")
    >>> sufficiency_need(test, wheat, harvest=harvest).amount.round(2)
    array([36.33,  0.  ])
    """
    set_to = choices or NeedChoices()
    told = words or ElementWords()
    values = _checked(test, critical, choices=set_to)
    capital = _capital(test, critical, choices=set_to)
    removed = _removed(harvest)
    values, capital, removed = np.broadcast_arrays(values, capital, removed)
    is_rich = (values > critical.high) & np.array(_reads_test(set_to))
    wanted = np.where(is_rich, 0.0, capital + removed)
    most = np.inf if math.isnan(set_to.most_kg_ha) else set_to.most_kg_ha
    return settled_need(
        np.minimum(wanted, most),
        f"kg {critical.element}/ha",
        findings=Findings(
            none=(
                (
                    is_rich,
                    f"the test is above its critical {_span(critical)}: none is needed",
                ),
            ),
            untold=_untold(values, capital, removed, critical=critical, choices=set_to),
            doubts=(
                (wanted > most, f"the most that was set, {most:g} kg/ha, is less than the need"),
                *told.doubts(wanted),
                (
                    (wanted > 0) & np.array(_is_unverified(critical, set_to)),
                    "the critical range is from memory and unverified: use a local one where "
                    "you have it",
                ),
            ),
        ),
        steps=(
            *_test_steps(values, critical),
            *_part_steps(
                capital, removed, harvest=harvest, choices=set_to, symbol=critical.element
            ),
        ),
        cautions=told.cautions,
    )


def _reads_test(choices: NeedChoices) -> bool:
    """Whether the policy goes by the soil test."""
    return choices.policy is NeedPolicy.SUFFICIENCY


def _checked(
    test: LayerTest, critical: CriticalRange, *, choices: NeedChoices
) -> NDArray[np.float64]:
    """The results, once test, layer and choices fit."""
    if choices.policy is NeedPolicy.CATION_BALANCE:
        raise UnknownChoiceError(
            "cation balance is not worked out from a critical range",
            mend="Choose sufficiency or replacement, or use the rule of cation balance",
        )
    if (test.analyte, test.depth_cm) != (critical.analyte, critical.depth_cm):
        raise SoilInputError(
            f"{_name(test.analyte)} of {test.depth_cm} cm is not read against a range made for "
            f"{_name(critical.analyte)} of {critical.depth_cm} cm",
            mend="Choose a range for this test and layer; there is no safe conversion",
        )
    require_at_least_zero(values=test.values)
    require_above_zero(build_up_years=choices.build_up_years, most_kg_ha=choices.most_kg_ha)
    return np.asarray(test.values, dtype=float)


def _capital(
    test: LayerTest, critical: CriticalRange, *, choices: NeedChoices
) -> NDArray[np.float64]:
    """What lifts the layer to the middle of its range, this year's share. [kg/ha]"""
    values = np.asarray(test.values, dtype=float)
    if not (choices.is_built_up and _reads_test(choices)):
        return np.zeros_like(values)
    per_unit = milligrams_per_cmol(critical.element) if critical.unit == CHARGE_UNIT else 1.0
    lacking = capital_by_layer_mass(
        values * per_unit,
        (critical.low + critical.high) / 2.0 * per_unit,
        depth_cm=layer_thickness_cm(critical.depth_cm),
        bulk_density_t_m3=test.bulk_density_t_m3,
        gravel_fraction=test.gravel_fraction,
    )
    return lacking / choices.build_up_years


def _removed(harvest: HarvestRemoval) -> NDArray[np.float64]:
    """What the harvest carries away. [kg/ha]"""
    require_at_least_zero(
        target_yield_t_ha=harvest.target_yield_t_ha, removal_kg_t=harvest.removal_kg_t
    )
    return np.multiply(harvest.target_yield_t_ha, harvest.removal_kg_t, dtype=float)


def _untold(
    values: NDArray[np.float64],
    capital: NDArray[np.float64],
    removed: NDArray[np.float64],
    *,
    critical: CriticalRange,
    choices: NeedChoices,
) -> tuple[Claim, ...]:
    """Where the need cannot be told."""
    no_test = np.isnan(values) & np.array(_reads_test(choices))
    return (
        (
            no_test,
            f"no {_name(critical.analyte)} result at {critical.depth_cm} cm; a result by "
            "another test is never read in its place",
        ),
        (np.isnan(removed), "the yield or its removal is not known"),
        (np.isnan(capital) & ~np.isnan(values), "no bulk density to turn mg/kg into kg/ha"),
    )


def _is_unverified(critical: CriticalRange, choices: NeedChoices) -> bool:
    """Whether the need goes by a critical range that nobody has read."""
    return critical.grade is Grade.UNVERIFIED and _reads_test(choices)


def _test_steps(values: NDArray[np.float64], critical: CriticalRange) -> tuple[TrailStep, ...]:
    """What was found, and what it is read against."""
    unit = critical.unit
    standing = range_standing(values, low=critical.low, high=critical.high)
    return (
        TrailStep("test", f"{_name(critical.analyte)}, mean", unit, values, ""),
        TrailStep("critical_low", "critical range, low end", unit, np.array(critical.low), ""),
        TrailStep("critical_high", "critical range, high end", unit, np.array(critical.high), ""),
        TrailStep(
            "standing",
            "against the critical range",
            "",
            standing,
            f"The test, {{test}} {unit}, is {{standing}} the critical {_span(critical)} "
            f"({critical.name}, {critical.depth_cm} cm: {critical.where}).",
            source=critical.source,
            grade=critical.grade,
            told=np.isfinite(values),
        ),
    )


def _part_steps(
    capital: NDArray[np.float64],
    removed: NDArray[np.float64],
    *,
    harvest: HarvestRemoval,
    choices: NeedChoices,
    symbol: str,
) -> tuple[TrailStep, ...]:
    """What the layer lacks and what the harvest takes."""
    unit = f"kg {symbol}/ha"
    return (
        TrailStep(
            "capital",
            "to lift the layer to the middle of its range",
            unit,
            capital,
            f"Lacking in the layer to the middle of the range, a share of 1 in "
            f"{choices.build_up_years:g} this year: {{capital}} {unit}.",
            source="rayment-lyons-2011",
            grade=Grade.PUBLISHED,
            told=capital > 0,
        ),
        TrailStep(
            "replacement",
            "carried away by the harvest",
            unit,
            removed,
            f"The harvest carries away {{replacement}} {unit} ({harvest.where or 'as set'}).",
            source=harvest.source,
            grade=harvest.grade,
            told=np.isfinite(removed),
        ),
    )


def _span(critical: CriticalRange) -> str:
    """A critical range in words; one number is a value."""
    if critical.low == critical.high:
        return f"value of {critical.low:g} {critical.unit}"
    return f"range of {critical.low:g} to {critical.high:g} {critical.unit}"


def _name(key: str) -> str:
    """What people call a soil test."""
    return analyte(key).name
