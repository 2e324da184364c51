"""Lab sheets that the tests of needs and classes are made with."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn


@pytest.fixture
def with_columns(sheet):
    """A sheet of one row a value with more columns, given by key as values or (limit, value)."""

    def made(count, depths=None, **columns):
        table = sheet([(str(i + 1), "West", 20.0) for i in range(count)])
        found = []
        for key, cells in columns.items():
            pairs = [cell if isinstance(cell, tuple) else ("", cell) for cell in cells]
            values = np.array([value for _, value in pairs], dtype=float)
            limits = np.array([limit for limit, _ in pairs], dtype="<U1")
            found.append(AnalyteColumn(analyte(key), values, limits))
        depths = ("0-10",) * count if depths is None else depths
        return replace(table, columns=tuple(found), depths_cm=depths)

    return made
