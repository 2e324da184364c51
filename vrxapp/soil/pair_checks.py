"""Pairs of results that do not go together: phosphorus tests, the two pH, carbon and nitrogen."""

import math
from collections.abc import Iterator

import numpy as np

from vrxapp.errors import Note
from vrxapp.soil.queries import ASK_THE_LABORATORY, numbers_of, query, shown, told_numbers
from vrxapp.soil.results_table import Limit, ResultsTable, column_of

# program-choice: the usual gap is 0.5 to 1.0 (rayment-lyons-2011, ch. 4)
LEAST_PH_GAP, WIDEST_PH_GAP = 0.2, 1.2
# program-choice
LEAST_CARBON_TO_NITROGEN, WIDEST_CARBON_TO_NITROGEN = 8.0, 20.0
# program-choice
ALUMINIUM_ABOVE_CMOL_KG, ALUMINIUM_BELOW_PH_CACL2 = 0.1, 5.0


def pair_notes(table: ResultsTable) -> Iterator[Note]:
    """Pairs of results of one sheet that a careful reader would query.

    Colwell P below Olsen P; the two pH too far apart or too close; organic carbon to total
    nitrogen outside 8 to 20; exchangeable aluminium above pH(CaCl2) 5.0.

    References
    ----------
    .. [1] program-choice. Which pairs are queried, and their limits.
    """
    yield from _phosphorus_notes(table)
    yield from _ph_notes(table)
    yield from _carbon_notes(table, "organic_carbon")
    yield from _carbon_notes(table, "total_oc")
    yield from _aluminium_notes(table)


def _phosphorus_notes(table: ResultsTable) -> Iterator[Note]:
    """Colwell takes out more than Olsen, so it is never the smaller one."""
    colwell, olsen = column_of(table, "colwell_p"), column_of(table, "olsen_p")
    if colwell is None or olsen is None:
        return
    # a limit counts only where it leaves no doubt which of the two is smaller
    most = np.where(colwell.limits == Limit.ABOVE, math.inf, colwell.values)
    least = np.where(olsen.limits == Limit.BELOW, 0.0, olsen.values)
    for row in np.flatnonzero(most < least):
        yield query(
            table,
            row,
            colwell,
            message=f"{colwell.analyte.name} of sample {table.sample_ids[row]!r} is lower than its "
            f"{olsen.analyte.name} ({shown(olsen, row)}), but the Colwell extract is the "
            "stronger one",
            mend="Check that the two columns are not swapped",
        )


def _ph_notes(table: ResultsTable) -> Iterator[Note]:
    """Water gives a somewhat higher pH than calcium chloride."""
    water, chloride = column_of(table, "ph_water"), column_of(table, "ph_cacl2")
    if water is None or chloride is None:
        return
    gap = np.round(told_numbers(water) - told_numbers(chloride), 6)
    for row in np.flatnonzero((gap < LEAST_PH_GAP) | (gap > WIDEST_PH_GAP)):
        yield query(
            table,
            row,
            water,
            message=f"pH of sample {table.sample_ids[row]!r} in water is {gap[row]:g} above that "
            f"in calcium chloride ({shown(chloride, row)}); {LEAST_PH_GAP:g} to "
            f"{WIDEST_PH_GAP:g} is plausible",
            mend=ASK_THE_LABORATORY,
        )


def _carbon_notes(table: ResultsTable, carbon_key: str) -> Iterator[Note]:
    """Soil organic matter holds nitrogen in a narrow range beside its carbon."""
    carbon = column_of(table, carbon_key)
    if carbon is None:
        return
    nitrogen = numbers_of(table, "total_n")
    ratio = np.full(nitrogen.shape, np.nan)
    np.divide(told_numbers(carbon), nitrogen, out=ratio, where=nitrogen > 0)
    outside = (ratio < LEAST_CARBON_TO_NITROGEN) | (ratio > WIDEST_CARBON_TO_NITROGEN)
    for row in np.flatnonzero(outside):
        yield query(
            table,
            row,
            carbon,
            message=f"sample {table.sample_ids[row]!r} holds {ratio[row]:.1f} times as much "
            f"organic carbon as total nitrogen ({nitrogen[row]:g} %); "
            f"{LEAST_CARBON_TO_NITROGEN:g} to {WIDEST_CARBON_TO_NITROGEN:g} is plausible",
            mend="Check the units of both; charcoal, fresh litter or much mineral nitrogen can "
            "also do it",
        )


def _aluminium_notes(table: ResultsTable) -> Iterator[Note]:
    """Aluminium does not stay exchangeable once the soil is no longer acid."""
    aluminium = column_of(table, "exch_al")
    if aluminium is None:
        return
    ph = numbers_of(table, "ph_cacl2")
    odd = (told_numbers(aluminium) > ALUMINIUM_ABOVE_CMOL_KG) & (ph > ALUMINIUM_BELOW_PH_CACL2)
    for row in np.flatnonzero(odd):
        yield query(
            table,
            row,
            aluminium,
            message=f"sample {table.sample_ids[row]!r} shows exchangeable aluminium at a pH in "
            f"calcium chloride of {ph[row]:g}; above {ALUMINIUM_BELOW_PH_CACL2:g} there is "
            f"seldom more than {ALUMINIUM_ABOVE_CMOL_KG:g} cmol(+)/kg",
            mend=ASK_THE_LABORATORY,
        )
