"""A small paddock made in the tests, so that every sum can be done by hand."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, box

import vrxapp.files  # noqa: F401  (before any test loads GDAL)
from vrxapp.agronomy.critical_values import critical_value
from vrxapp.ground.exclusions import Exclusion, ExclusionKind
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zones import Zones
from vrxapp.inputs.products import Product
from vrxapp.need_plans import CropPlan, PhosphorusPlan
from vrxapp.season import Operation, Season
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn, ResultsTable
from vrxapp.spreading.machine import Machine
from vrxapp.trials.strips import CheckStrip

EAST, NORTH = 682_000.0, 6_124_000.0  # a corner in zone 55 of the map grid


def block(west, south, east, north):
    return box(EAST + west, NORTH + south, EAST + east, NORTH + north)


def sheet(rows, *, key="colwell_p"):
    """A lab sheet: (sample, zone, value) a row."""
    count = len(rows)
    column = AnalyteColumn(
        analyte(key), np.array([row[2] for row in rows], dtype=float), np.full(count, "", "<U1")
    )
    return ResultsTable(
        file="sheet.csv",
        file_rows=np.arange(2, count + 2),
        sample_ids=tuple(row[0] for row in rows),
        zone_names=tuple(row[1] for row in rows),
        longitude_degree=np.full(count, np.nan),
        latitude_degree=np.full(count, np.nan),
        depths_cm=("0-10",) * count,
        columns=(column,),
    )


@pytest.fixture(scope="session", autouse=True)
def private_data(tmp_path_factory):
    """Keep what the program remembers for its user away from the user's own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        yield


@pytest.fixture
def season():
    """80 ha in two zones with a dam and a strip; Colwell P 20.5 in the west, none in the east."""
    boundary = block(0, 0, 1000, 800)
    dam = Exclusion("Dam", ExclusionKind.DAM, block(100, 100, 150, 150), 20.0)
    strip = CheckStrip("Strip", LineString([(EAST, NORTH + 500), (EAST + 1000, NORTH + 500)]), 48.0)
    shapes = np.array([block(0, 0, 500, 800), block(500, 0, 1000, 800)], dtype=object)
    operation = Operation(
        id="op-1",
        name="MAP before sowing",
        timing="April",
        product=Product("map", "MAP", 11.0, 22.0, 0.0, 1.5, 900.0, "AUD", nitrate_n_percent=0.0),
        machine=Machine("Spreader", 24.0, 1.0, 0.0, 400.0),
    )
    return Season(
        id="s",
        name="Season",
        paddock=Paddock("Flat", "EPSG:7855", boundary, (dam,)),
        zones=Zones(("w", "e"), ("West", "East"), shapes),
        tests=sheet([("1", "West", 20.5)]),
        row_matches=(),
        crop=CropPlan("wheat", 4.0),
        phosphorus=PhosphorusPlan(critical_value("wheat-southern-nsw"), 3.0, 3.0),
        strips=(strip,),
        operations=(operation,),
    )


@pytest.fixture
def with_results():
    """The season with another lab sheet, given as rows of sample, zone and value."""

    def change(season, rows, **named):
        return replace(season, tests=sheet(rows, **named))

    return change


@pytest.fixture(name="block")
def block_fixture():
    """Makes a rectangle in metres from the paddock's south-west corner."""
    return block


@pytest.fixture(name="sheet")
def sheet_fixture():
    """Makes a lab sheet from rows of sample, zone and value."""
    return sheet


@pytest.fixture
def corner():
    """Easting and northing of the paddock's south-west corner. [m]"""
    return EAST, NORTH
