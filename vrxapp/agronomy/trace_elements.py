"""Zinc, copper, manganese, iron, boron, molybdenum: a class by method, and caution.

Soil tests tell trace elements weakly: each class asks for a leaf test. A rate is given
only where the agronomist chose one, and only for soil that tested low.
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vrxapp.agronomy.claims import Claim
from vrxapp.agronomy.rating_bands import UNKNOWN, rated, rating_scale
from vrxapp.agronomy.rule_need import Findings, RuleNeed, settled_need
from vrxapp.agronomy.trace_rates import (
    Placement,
    TraceElement,
    TraceRate,
    require_safe_rate,
    trace_rates,
)
from vrxapp.agronomy.trail import TrailStep
from vrxapp.errors import SoilInputError, UnknownChoiceError

BORON_HARMS_CANOLA_KG_HA = 0.34
"""Least boron at sowing, as borax, that thinned canola on sands [mason-brennan-1995]."""


_TESTS = {
    TraceElement.ZINC: ("dtpa_zn",),
    TraceElement.COPPER: ("dtpa_cu",),
    TraceElement.MANGANESE: ("dtpa_mn",),
    TraceElement.IRON: ("dtpa_fe",),
    TraceElement.BORON: ("boron_water", "boron_cacl2"),
    TraceElement.MOLYBDENUM: (),
}
_SHORT, _MARGINAL, _TOXIC = ("very low", "low"), "marginal", "very high"
_LEAF = "confirm with a leaf test"
_CAUTIONS = (
    "Soil tests tell trace elements weakly: confirm with a leaf test at the right stage.",
    "Labels, local codes and licensed advice come before this sheet.",
)
_OWN_CAUTIONS = {
    TraceElement.BORON: (
        "Boron: little parts enough from too much. 0.34 to 1 kg B/ha as borax at sowing thinned "
        "canola on sands (mason-brennan-1995). Never with the seed; test leaves before any more.",
    ),
    TraceElement.COPPER: (
        "Copper stays in the soil for many years, and too much harms crops and soil life. Keep it "
        "from waterways, and sheep from what was freshly spread: copper poisons them.",
    ),
    TraceElement.MANGANESE: (
        "Soil soon binds manganese that is broadcast, so it is mostly wasted (msu-manganese).",
    ),
    TraceElement.MOLYBDENUM: (
        "Molybdenum can bring on copper shortage in stock; ask a veterinarian before any.",
    ),
}


def trace_tests(element: TraceElement) -> tuple[str, ...]:
    """Soil tests that this element has classes for; none for molybdenum."""
    return _TESTS[element]


def trace_cautions(element: TraceElement) -> tuple[str, ...]:
    """What to mind when a trace element is spread or sprayed; labels and law come first."""
    return (*_OWN_CAUTIONS.get(element, ()), *_CAUTIONS)


def trace_class(test: str, values_mg_kg: ArrayLike) -> NDArray[np.str_]:
    """The class of each result by one method; the classes of another never stand in.

    Parameters
    ----------
    test : str
        Key of the soil test, for instance ``"dtpa_zn"``. EDTA, DTPA, hydrochloric acid
        and Mehlich-3 differ several-fold, and only tests with classes of their own are known.
    values_mg_kg : array_like
        Results. [mg/kg]

    Returns
    -------
    ndarray of str
        The class, ``"unknown"`` where there is no result. A value between two printed
        bands falls into the lower one.

    Raises
    ------
    SoilInputError
        If a value is negative.
    UnknownChoiceError
        If there are no classes for this test.

    References
    ----------
    .. [1] havlin-1999. DTPA zinc, copper, manganese and iron.
    .. [2] rayment-lyons-2011. Method 12C1, boron.

    Examples
    --------
    >>> trace_class("dtpa_zn", [0.40, 0.55, 0.8])
    array(['low', 'low', 'marginal'], dtype='<U8')
    """
    if test not in {known for tests in _TESTS.values() for known in tests}:
        raise UnknownChoiceError(
            f"no classes are known for the soil test {test!r}",
            mend="Use a leaf test; results of another method are never read in its place",
        )
    return rated(test, values_mg_kg)


def trace_element_need(
    element: TraceElement,
    test: str,
    values_mg_kg: ArrayLike,
    *,
    rate: TraceRate | None = None,
) -> RuleNeed:
    """What each place needs of a trace element: the class first, a rate only if chosen.

    Parameters
    ----------
    element : TraceElement
        The element.
    test : str
        Key of the soil test; empty for molybdenum, which has none.
    values_mg_kg : array_like
        Results. [mg/kg]
    rate : TraceRate or None
        The rate for places that tested low; None gives the class alone.

    Returns
    -------
    RuleNeed
        The rate where soil tested low, zero where it is well supplied, NaN with a reason
        elsewhere. [kg/ha of the element]

    Raises
    ------
    SoilInputError
        If a value is negative, or the rate is above the cap or for another element.
    UnknownChoiceError
        If the test is not one of the element's.
    RefusedMixError
        If boron was to go into the furrow with the seed.

    References
    ----------
    .. [1] grdc-2014-trace. Soil tests are weak; tissue tests come first.
    .. [2] flynn-gardner-1987. Copper on Wimmera soils.
    .. [3] ipni-2015-zinc. Zinc in the furrow.
    .. [4] msu-manganese. Soil binds broadcast manganese.

    Examples
    --------
    >>> from vrxapp.agronomy.trace_rates import trace_rates
    >>> copper = trace_rates(TraceElement.COPPER)[0]
    >>> need = trace_element_need(TraceElement.COPPER, "dtpa_cu", [0.2, 0.5, 0.9], rate=copper)
    >>> need.amount
    array([ 2., nan,  0.])
    """
    values = np.asarray(values_mg_kg, dtype=float)
    _require_fitting(element, test, rate=rate)
    classes = np.full(values.shape, UNKNOWN) if not test else trace_class(test, values)
    is_low = np.isin(classes, _SHORT)
    given = math.nan if rate is None else rate.rate_kg_ha
    return settled_need(
        np.where(is_low, given, np.where(classes == UNKNOWN, np.nan, 0.0)),
        f"kg {element}/ha",
        findings=Findings(
            none=_no_need(element, classes),
            untold=_untold(element, classes, is_low=is_low, rate=rate),
            doubts=_doubts(element, classes, is_low=is_low, rate=rate),
        ),
        steps=_steps(test, values, classes, rate=rate),
        cautions=trace_cautions(element),
    )


def _require_fitting(element: TraceElement, test: str, *, rate: TraceRate | None) -> None:
    """Refuse a test or a rate that is not the element's, and a rate that may harm."""
    if test not in (_TESTS[element] or ("",)):
        raise UnknownChoiceError(
            f"{test!r} is no soil test of {element} with classes",
            mend=f"Use one of: {', '.join(_TESTS[element]) or 'a leaf test'}",
        )
    if rate is None:
        return
    if rate.element is not element:
        raise SoilInputError(
            f"a rate of {rate.element} is not one of {element}", mend="Choose a rate of its own"
        )
    require_safe_rate(rate)


def _no_need(element: TraceElement, classes: NDArray[np.str_]) -> tuple[Claim, ...]:
    """Where the soil holds enough by its test."""
    is_toxic = (classes == _TOXIC) & np.array(element is TraceElement.BORON)
    poor = (*_SHORT, _MARGINAL, UNKNOWN)
    return (
        (is_toxic, "boron is very high and may be toxic: give none, and test the subsoil"),
        (~np.isin(classes, poor), "the soil test shows no shortage"),
    )


def _untold(
    element: TraceElement,
    classes: NDArray[np.str_],
    *,
    is_low: NDArray[np.bool_],
    rate: TraceRate | None,
) -> tuple[Claim, ...]:
    """Where no rate can be told, and what to do instead."""
    if not _TESTS[element]:
        return ((classes == UNKNOWN, f"no soil test tells {element}: {_LEAF}"),)
    is_known = bool(trace_rates(element))
    lacks = "none of the published rates was chosen" if is_known else "no published rate is known"
    return (
        (classes == UNKNOWN, f"no result: {_LEAF}"),
        (classes == _MARGINAL, f"marginal by the soil test: {_LEAF}"),
        (is_low & np.array(rate is None), f"low by the soil test, and {lacks}: {_LEAF}"),
    )


def _doubts(
    element: TraceElement,
    classes: NDArray[np.str_],
    *,
    is_low: NDArray[np.bool_],
    rate: TraceRate | None,
) -> tuple[Claim, ...]:
    """What makes a class or a rate less sure."""
    given = 0.0 if rate is None else rate.rate_kg_ha
    is_boron = element is TraceElement.BORON and given >= BORON_HARMS_CANOLA_KG_HA
    is_broadcast = rate is not None and rate.placement is Placement.BROADCAST
    is_weakest = element in (TraceElement.IRON, TraceElement.MANGANESE)
    return (
        (is_low & np.array(rate is not None), f"a soil test alone is weak: {_LEAF} first"),
        (
            is_low & np.array(is_boron),
            "as much boron at sowing has thinned canola on sands: not before canola",
        ),
        (
            is_low & np.array(is_broadcast and element is TraceElement.MANGANESE),
            "soil binds broadcast manganese: spray leaves instead",
        ),
        (
            (classes != UNKNOWN) & np.array(is_weakest),
            f"soil tests of {element} are the weakest of all",
        ),
    )


def _steps(
    test: str,
    values: NDArray[np.float64],
    classes: NDArray[np.str_],
    *,
    rate: TraceRate | None,
) -> tuple[TrailStep, ...]:
    """The result, its class, and where the rate is from."""
    origin = rating_scale(test) if test else None
    steps = (
        TrailStep("test", test or "no soil test", "mg/kg", values, ""),
        TrailStep(
            "class",
            "class by this method",
            "",
            classes,
            f"{{test}} mg/kg by {test} is {{class}} ({origin.steps[0].where}).",
            source=origin.source,
            grade=origin.grade,
            told=np.isfinite(values),
        )
        if origin
        else TrailStep("class", "class by this method", "", classes, ""),
    )
    if rate is None:
        return steps
    return (
        *steps,
        TrailStep(
            "rate",
            f"rate, {rate.placement}",
            f"kg {rate.element}/ha",
            np.array(rate.rate_kg_ha),
            f"The rate is {{rate}} kg {rate.element}/ha, {rate.placement} ({rate.where}).",
            source=rate.source,
            grade=rate.grade,
            told=np.isin(classes, _SHORT),
        ),
    )
