"""The grid samples of Two Mile Sands: where they lie, and what they are good for."""

import numpy as np
import pytest
import shapely

from vrxapp.files.formats import read_features
from vrxapp.ground.paddock import excluded_ground
from vrxapp.ground.projected_crs import LON_LAT, transformed_xy
from vrxapp.soil.results_table import paddocks_of
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.open_files import paddock_from

FOLDER, PARTS = "two_mile_sands", ("boundary", "exclusions")


@pytest.fixture(scope="module")
def sheet(remade):
    return lab_results(remade / FOLDER / "lab_grid_samples.csv")


@pytest.fixture(scope="module")
def spots_m(sheet, paddock):
    lon_lat = sheet.longitude_degree, sheet.latitude_degree
    return np.column_stack(transformed_xy(*lon_lat, from_crs=LON_LAT, to_crs=paddock.crs))


@pytest.fixture(scope="module")
def paddock(remade):
    shapes = [read_features(remade / FOLDER / f"{part}.geojson") for part in PARTS]
    return paddock_from(*shapes)


def test_the_sheet_says_that_it_is_invented(remade):
    first = (remade / FOLDER / "lab_grid_samples.csv").read_text("utf-8").splitlines()[0]
    assert first.startswith("Invented grid samples of Two Mile Sands")


def test_it_is_read_without_a_question(sheet):
    assert sheet.notes == ()
    assert paddocks_of(sheet) == ("Two Mile Sands",)
    assert [c.analyte.key for c in sheet.columns] == ["colwell_p", "colwell_k", "ph_cacl2"]
    assert len(sheet.sample_ids) == len(set(sheet.sample_ids)) == 63
    assert set(sheet.depths_cm) == {"0-10"}


def test_samples_lie_on_ground_that_is_spread(spots_m, paddock):
    ground = shapely.difference(paddock.boundary, excluded_ground(paddock))
    assert shapely.contains_xy(ground, spots_m).all()


def test_most_stand_a_square_apart_and_some_close_together(spots_m):
    away = np.hypot(*(spots_m[:, None] - spots_m[None]).transpose(2, 0, 1))
    np.fill_diagonal(away, np.inf)
    nearest = away.min(axis=0)
    assert np.sum(nearest < 20.0) == 16  # eight pairs
    assert np.all(nearest[nearest > 20.0] > 100.0)
