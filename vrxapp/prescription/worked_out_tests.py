"""Figures that a sheet leaves out and that follow from what it tells: ESP, sums, ratios."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vrxapp.agronomy.exchange_sums import (
    calcium_magnesium_ratio,
    effective_cec,
    exchangeable_bases,
    saturation_percent,
)
from vrxapp.agronomy.sodicity import exchangeable_sodium_percent
from vrxapp.prescription.known_test import KnownTest, known_of
from vrxapp.soil.analytes import Analyte, analyte
from vrxapp.soil.results_table import Limit

_NUMBERS = NDArray[np.float64]
_BASES = ("exch_ca", "exch_mg", "exch_k", "exch_na")
_DIVISORS = ("cec|ecec", "cec", "ecec", "exch_mg")
_SUM_OF_BASES = Analyte(
    "exch_bases",
    "Sum of bases",
    "calcium, magnesium, potassium and sodium",
    "cmol(+)/kg",
    "",
    0.0,
    300.0,
    "cmol(+)/kg",
    (),
)


@dataclass(frozen=True, slots=True)
class _Figure:
    """One figure: its inputs by key, which of them make it worth a line, and its sum.

    One that is `only_with` an analyte has no line where that was not measured at all.
    """

    analyte: Analyte
    inputs: tuple[str, ...]
    shown_with: tuple[str, ...]
    basis: str
    of: Callable[..., _NUMBERS]
    only_with: str = ""


def worked_out_tests(measured: tuple[KnownTest, ...]) -> tuple[KnownTest, ...]:
    """Figures that follow from the results, where the laboratory did not tell them itself.

    Parameters
    ----------
    measured : tuple of KnownTest
        Results of the same places.

    Returns
    -------
    tuple of KnownTest
        Sum of bases, effective CEC, ESP, base saturation, calcium to magnesium, aluminium
        saturation, each where at least one of its parts was measured. A part beyond a
        detection limit leaves a figure untold.

    References
    ----------
    .. [1] rayment-lyons-2011. Methods 15J1, 15L1, 15M1, 15N1 and 15O1.
    """
    found = list(measured)
    for figure in (*_sums(), *_shares()):
        own = known_of(found, figure.analyte.key)
        if own is not None and np.any(np.isfinite(own.values)):
            continue
        if _is_worth_a_line(figure, measured):
            found = [test for test in found if test is not own]
            found.append(_worked_out(figure, found))
    return tuple(test for test in found if test not in measured)


def _is_worth_a_line(figure: _Figure, measured: tuple[KnownTest, ...]) -> bool:
    """Whether enough of a figure was measured to tell it, or what it lacks."""
    if figure.only_with and known_of(measured, figure.only_with) is None:
        return False
    return any(known_of(measured, key) is not None for key in figure.shown_with)


def _sums() -> tuple[_Figure, ...]:
    """What is worked out before the shares, which read it."""
    return (
        _Figure(
            _SUM_OF_BASES,
            _BASES,
            ("exch_ca", "exch_mg"),
            "the sum of calcium, magnesium, potassium and sodium",
            lambda ca, mg, k, na: exchangeable_bases(
                ca, mg, potassium_cmol_kg=k, sodium_cmol_kg=na
            ),
        ),
        _Figure(
            analyte("ecec"),
            ("exch_bases", "exch_al", "exch_h"),
            ("exch_al", "exch_h"),
            "the bases, aluminium and hydrogen",
            lambda bases, al, h: effective_cec(bases, aluminium_cmol_kg=al, hydrogen_cmol_kg=h),
        ),
    )


def _shares() -> tuple[_Figure, ...]:
    """Shares of the exchange, and the ratio of two cations."""
    return (
        _Figure(
            analyte("esp"),
            ("exch_na", "cec|ecec"),
            ("exch_na",),
            "sodium over the CEC, or over the effective CEC where no CEC is told",
            exchangeable_sodium_percent,
        ),
        _Figure(
            analyte("base_saturation"),
            ("exch_bases", "cec"),
            ("exch_ca", "exch_mg"),
            "the bases over the CEC; with free lime, gypsum or salt it is too high",
            saturation_percent,
            only_with="cec",
        ),
        _Figure(
            analyte("al_saturation"),
            ("exch_al", "ecec"),
            ("exch_al",),
            "aluminium over the effective CEC",
            saturation_percent,
        ),
        _Figure(
            analyte("ca_mg_ratio"),
            ("exch_ca", "exch_mg"),
            ("exch_ca", "exch_mg"),
            "calcium over magnesium, by charge",
            calcium_magnesium_ratio,
        ),
    )


def _worked_out(figure: _Figure, tests: list[KnownTest]) -> KnownTest:
    """One figure for each place, and what it lacks where it cannot be told."""
    count = len(tests[0].values)
    lacking = np.full(count, "", dtype=object)
    columns = []
    for choice in figure.inputs:
        numbers, why = _numbers(tests, choice)
        columns.append(np.where(numbers > 0, numbers, np.nan) if choice in _DIVISORS else numbers)
        missing = np.isnan(columns[-1])
        lacking = np.where(missing & (lacking == ""), f"it lacks {why}", lacking)
    values = figure.of(*columns)
    outside = (values < figure.analyte.lowest) | (values > figure.analyte.highest)
    values = np.where(outside, np.nan, values)
    impossible = np.isnan(values) & (lacking == "")
    lacking = np.where(impossible, "its parts do not go together: free salt or lime?", lacking)
    return KnownTest(
        figure.analyte,
        values,
        np.full(count, Limit.NONE, dtype="<U1"),
        figure.basis,
        lacking.astype(object),
        np.full(count, "", dtype=object),
        _is_estimate(figure, tests),
        is_worked_out=True,
    )


def _is_estimate(figure: _Figure, tests: list[KnownTest]) -> bool:
    """Whether a part of a figure is an estimate."""
    keys = {key for choice in figure.inputs for key in choice.split("|")}
    return any(test.is_estimate for test in tests if test.analyte.key in keys)


def _numbers(tests: list[KnownTest], choice: str) -> tuple[_NUMBERS, str]:
    """The first of some analytes that tells a number, and their names."""
    numbers = np.full(len(tests[0].values), np.nan)
    names, is_limited = [], False
    for key in choice.split("|"):
        test = known_of(tests, key)
        names.append((test.analyte if test else _called(key)).name)
        if test is not None:
            told = np.where(test.limits == Limit.NONE, test.values, np.nan)
            is_limited = is_limited or bool(np.any(test.limits != Limit.NONE))
            numbers = np.where(np.isnan(numbers), told, numbers)
    said = " or ".join(
        name[0].lower() + name[1:] if name[1:2].islower() else name for name in names
    )
    return numbers, f"{said} as a number" if is_limited else said


def _called(key: str) -> Analyte:
    return _SUM_OF_BASES if key == _SUM_OF_BASES.key else analyte(key)
