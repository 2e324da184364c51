"""Sheets whose samples have positions on the small paddock."""

from dataclasses import replace

import numpy as np
import pytest

from vrxapp.ground.projected_crs import LON_LAT, transformed_xy
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn, ResultsTable


def placed_sheet(east_m, north_m, values, *, key="colwell_p", **columns):
    """A sheet of one test: a row for each place in metres of the paddock's system."""
    count = len(values)
    lon, lat = transformed_xy(
        np.asarray(east_m, float), np.asarray(north_m, float), from_crs="EPSG:7855", to_crs=LON_LAT
    )
    limits = columns.pop("limits", np.full(count, "", "<U1"))
    table = ResultsTable(
        file="grid.csv",
        file_rows=np.arange(2, count + 2),
        sample_ids=tuple(f"G{row}" for row in range(count)),
        zone_names=("",) * count,
        longitude_degree=lon,
        latitude_degree=lat,
        depths_cm=("0-10",) * count,
        columns=(AnalyteColumn(analyte(key), np.asarray(values, float), np.asarray(limits)),),
    )
    return replace(table, **columns)


@pytest.fixture(name="placed_sheet")
def placed_sheet_fixture():
    """Makes a sheet of one test from places in metres and values."""
    return placed_sheet


@pytest.fixture
def smooth_season(season, corner):
    """The small paddock with so many samples of a test that swings over some hundred metres."""

    def made(count, *, seed=3, scatter=1.0, key="colwell_p"):
        rng = np.random.default_rng(seed)
        east, north = rng.uniform(0.0, 1000.0, count), rng.uniform(0.0, 800.0, count)
        values = 30.0 + 9.0 * np.sin(east / 160.0) + 7.0 * np.cos(north / 140.0)
        values += rng.normal(0.0, scatter, count)
        return replace(
            season, tests=placed_sheet(corner[0] + east, corner[1] + north, values, key=key)
        )

    return made
