"""Exchangeable cations that do not add up to their exchange capacity, or do not fit the pH."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from vrxapp.errors import Note
from vrxapp.soil.queries import ASK_THE_LABORATORY, first_told, numbers_of, query, shown
from vrxapp.soil.results_table import Limit, ResultsTable, column_of
from vrxapp.units import PERCENT

# program-choice
SUM_OFF_BY = 0.05
ECEC_OVER_CEC = 1.15
ALKALINE_PH_WATER, SODIC_ESP_PERCENT = 8.5, 6.0  # rayment-lyons-2011, method 15N1, for the ESP
_BASES = ("exch_ca", "exch_mg", "exch_k", "exch_na")
_ACIDS = ("exch_al", "exch_h")


def cation_notes(table: ResultsTable) -> Iterator[Note]:
    """Cations of one sheet that a careful reader would query.

    The sum of cations more than 5 % off the effective exchange capacity; that capacity more
    than 15 % above the whole one; a pH in water above 8.5 without sodium to explain it.

    References
    ----------
    .. [1] program-choice. The limits, and hydrogen up to the aluminium where it is not told.
    .. [2] rayment-lyons-2011. Method 15N1: sodic from an ESP of 6.
    """
    yield from _sum_notes(table)
    yield from _capacity_notes(table)
    yield from _sodium_notes(table)


def _sum_notes(table: ResultsTable) -> Iterator[Note]:
    """Effective exchange capacity is the sum of the cations."""
    ecec = column_of(table, "ecec")
    if ecec is None or any(column_of(table, key) is None for key in _BASES):
        return
    least, most = _sum_of_cations(table)
    told = numbers_of(table, "ecec")
    too_much = least > (1 + SUM_OFF_BY) * told
    too_little = most < (1 - SUM_OFF_BY) * told
    for row in np.flatnonzero(too_much | too_little):
        total = least[row] if too_much[row] else most[row]
        yield query(
            table,
            row,
            ecec,
            message=f"the cations of sample {table.sample_ids[row]!r} add up to {total:.3g} "
            f"cmol(+)/kg, but its {ecec.analyte.name} is {shown(ecec, row)}; they differ by "
            f"more than {PERCENT * SUM_OFF_BY:g} %",
            mend="Check the unit of each cation, and that the column is not the whole CEC",
        )


def _sum_of_cations(table: ResultsTable) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Least and most that the cations can add up to. [cmol(+)/kg]

    A result below its limit counts as nothing or as the limit. Hydrogen that the sheet leaves
    out counts as no more than the aluminium beside it; without aluminium too the most is
    unknown, for the capacity may hold both.
    """
    ends = {key: _least_and_most(table, key) for key in (*_BASES, *_ACIDS)}
    low, high = ends["exch_h"]
    ends["exch_h"] = low, np.where(np.isnan(high), ends["exch_al"][1], high)
    least = sum(np.nan_to_num(low) if key in _ACIDS else low for key, (low, _) in ends.items())
    most = sum(
        np.where(np.isnan(high), np.inf, high) if key in _ACIDS else high
        for key, (_, high) in ends.items()
    )
    return np.asarray(least), np.asarray(most)


def _least_and_most(
    table: ResultsTable, key: str
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Ends between which a cation lies; NaN where it is not told. [cmol(+)/kg]"""
    column = column_of(table, key)
    if column is None:
        untold = np.full(len(table.sample_ids), np.nan)
        return untold, untold
    told = ~np.isnan(column.values)
    low = np.where(told & (column.limits == Limit.BELOW), 0.0, column.values)
    high = np.where(told & (column.limits == Limit.ABOVE), np.inf, column.values)
    return low, high


def _capacity_notes(table: ResultsTable) -> Iterator[Note]:
    """The cations cannot take more places than there are."""
    ecec = column_of(table, "ecec")
    if ecec is None:
        return
    effective, whole = numbers_of(table, "ecec"), numbers_of(table, "cec")
    for row in np.flatnonzero(effective > ECEC_OVER_CEC * whole):
        yield query(
            table,
            row,
            ecec,
            message=f"{ecec.analyte.name} of sample {table.sample_ids[row]!r} is more than "
            f"{PERCENT * (ECEC_OVER_CEC - 1):.0f} % above its CEC ({whole[row]:g}): free salt, "
            "lime or gypsum was counted among the cations",
            mend="Do not go by its cations and their shares; ask for a method that washes the "
            "salts out",
        )


def _sodium_notes(table: ResultsTable) -> Iterator[Note]:
    """Lime alone holds the pH below about 8.5; sodium lifts it above."""
    water = column_of(table, "ph_water")
    if water is None:
        return
    sodium_percent = _sodium_percent(table)
    ph = numbers_of(table, "ph_water")
    odd = (ph > ALKALINE_PH_WATER) & (sodium_percent < SODIC_ESP_PERCENT)
    for row in np.flatnonzero(odd):
        yield query(
            table,
            row,
            water,
            message=f"sample {table.sample_ids[row]!r} has a pH in water of {ph[row]:g} but only "
            f"{sodium_percent[row]:.1f} % sodium among its cations; so high a pH mostly means "
            f"{SODIC_ESP_PERCENT:g} % or more",
            mend=ASK_THE_LABORATORY,
        )


def _sodium_percent(table: ResultsTable) -> NDArray[np.float64]:
    """Sodium as the sheet gives it, or as a share of its exchange capacity. [% of CEC]"""
    capacity = first_told(numbers_of(table, "cec"), numbers_of(table, "ecec"))
    share = np.full(capacity.shape, np.nan)
    np.divide(numbers_of(table, "exch_na"), capacity, out=share, where=capacity > 0)
    return first_told(numbers_of(table, "esp"), PERCENT * share)
