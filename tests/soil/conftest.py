"""Laboratory tables made by hand."""

from collections.abc import Callable, Mapping, Sequence

import numpy as np
import pytest

from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn, ResultsTable

MakeTable = Callable[..., ResultsTable]


@pytest.fixture
def make_table() -> MakeTable:
    """A function that makes a table out of results such as ``"<5"``."""

    def make(
        results: Mapping[str, Sequence[str]],
        *,
        samples: Sequence[str] = (),
        zones: Sequence[str] = (),
        depths_cm: Sequence[str] = (),
        positions: Sequence[tuple[float, float]] = (),
    ) -> ResultsTable:
        count = len(next(iter(results.values())))
        places = np.array(positions or [(np.nan, np.nan)] * count).reshape(count, 2)
        return ResultsTable(
            file="lab.csv",
            file_rows=np.arange(2, count + 2),
            sample_ids=tuple(samples) or tuple(f"S{i + 1}" for i in range(count)),
            zone_names=tuple(zones) or ("",) * count,
            longitude_degree=places[:, 0],
            latitude_degree=places[:, 1],
            depths_cm=tuple(depths_cm) or ("0-10",) * count,
            columns=tuple(_column(key, texts) for key, texts in results.items()),
        )

    return make


def _column(key: str, texts: Sequence[str]) -> AnalyteColumn:
    numbers = [float(text.lstrip("<>")) if text else np.nan for text in texts]
    limits = [text[0] if text[:1] in ("<", ">") else "" for text in texts]
    return AnalyteColumn(analyte(key), np.array(numbers), np.array(limits, dtype="<U1"))
