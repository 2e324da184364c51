"""Doubtful results of a laboratory sheet, each with its reason. Nothing is changed here."""

from functools import lru_cache

from vrxapp.errors import Note
from vrxapp.soil.cation_checks import cation_notes
from vrxapp.soil.pair_checks import pair_notes
from vrxapp.soil.replicate_checks import replicate_notes
from vrxapp.soil.results_table import ResultsTable
from vrxapp.soil.salt_checks import salt_notes
from vrxapp.soil.unit_checks import unit_notes


@lru_cache(maxsize=16)
def quality_notes(table: ResultsTable) -> tuple[Note, ...]:
    """Results of a sheet that a careful reader would query.

    Parameters
    ----------
    table : ResultsTable
        One laboratory sheet.

    Returns
    -------
    tuple of Note
        Each with file, row, column, value, reason and what to do: units that seem wrong,
        pairs that do not go together, cations that do not add up, chloride against
        conductivity, and replicates that differ by more than laboratories do.

    References
    ----------
    .. [1] program-choice. Which results are queried, and most limits.
    .. [2] rayment-lyons-2011. Table App. 2.1, robust spread between laboratories.
    """
    return (
        *unit_notes(table),
        *pair_notes(table),
        *cation_notes(table),
        *salt_notes(table),
        *replicate_notes(table),
    )
