"""Rows of one sample and layer that repeat each other, and what they say together."""

import numpy as np
from numpy.typing import NDArray

from vrxapp.ground.zones import comparable
from vrxapp.soil.queries import told_numbers
from vrxapp.soil.results_table import AnalyteColumn, ResultsTable


def replicate_groups(table: ResultsTable) -> NDArray[np.intp] | None:
    """The group of each row, one for each sample and layer; None where no row repeats another.

    Parameters
    ----------
    table : ResultsTable
        One laboratory sheet.
    """
    pairs = zip(table.sample_ids, table.depths_cm, strict=True)
    keys = [f"{comparable(sample)}\n{depth}" for sample, depth in pairs]
    names, group = np.unique(np.array(keys, dtype=str), return_inverse=True)
    return None if len(names) == len(keys) else group.astype(np.intp)


def replicate_mean(
    column: AnalyteColumn, group: NDArray[np.intp]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.intp]]:
    """Mean, its standard error and the number of results of the group of each row.

    Parameters
    ----------
    column : AnalyteColumn
        Results; those beyond a detection limit do not count.
    group : ndarray of int
        As `replicate_groups` gives it.

    Returns
    -------
    tuple of ndarrays
        Mean and standard error, NaN for fewer than two results, and the number of them.
        [analyte.unit]
    """
    values = told_numbers(column)
    told = np.isfinite(values)
    count = np.bincount(group[told], minlength=int(group.max(initial=-1)) + 1)
    mean, error = np.full(count.shape, np.nan), np.full(count.shape, np.nan)
    several = count > 1
    total = np.bincount(group[told], weights=values[told], minlength=len(count))
    np.divide(total, count, out=mean, where=several)
    apart = np.bincount(
        group[told], weights=(values[told] - mean[group[told]]) ** 2, minlength=len(count)
    )
    np.divide(apart, count * (count - 1.0), out=error, where=several)
    return mean[group], np.sqrt(error)[group], count[group]
