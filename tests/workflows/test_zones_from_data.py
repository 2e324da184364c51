"""Zones from data as they would stand in a season: nothing is changed, all is told."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from vrxapp.edits.zones import lock
from vrxapp.errors import GroundError
from vrxapp.ground.zoning_grid import zoning_grid
from vrxapp.progress import Cancelled
from vrxapp.shipped_files import shipped_folder
from vrxapp.workflows.lab_sheets import lab_results
from vrxapp.workflows.make_zones import TidyRules, ZoneMethod, ZoneRecipe
from vrxapp.workflows.sample_farm import sample_farm
from vrxapp.workflows.zone_layers import LayerFiles, columns_of_points, layers_from
from vrxapp.workflows.zones_from_data import ZonesAsked, with_found_zones, zones_from_data

SAMPLE = shipped_folder("sample_fields")


@pytest.fixture(scope="module")
def long_bend():
    return sample_farm().seasons[0]


@pytest.fixture(scope="module")
def placed():
    return lab_results(SAMPLE / "lab_georeferenced.csv")


def asked(**recipe):
    return ZonesAsked(
        files=LayerFiles(linked=("Apparent conductivity",)), recipe=ZoneRecipe(**recipe)
    )


def test_means_and_areas_are_of_the_zones_as_they_would_stand(long_bend):
    found = zones_from_data(lock(long_bend, "Red rise"), asked(zones=3))
    assert found.zones.names == ("Red rise", "Zone 1", "Zone 2", "Zone 3")
    assert found.area_ha.sum() == pytest.approx(81.33, abs=0.02)
    # the locked zone is 17.87 ha in the list of zones of the sample farm
    assert found.area_ha[0] == pytest.approx(17.87, abs=0.01)
    assert np.isnan(found.sureness[0])
    assert (found.sureness[1:] > 0.5).all()
    assert found.layers == (("Apparent conductivity", "mS/m"),)
    assert (np.diff(found.means[1:, 0]) > 0).all()
    assert found.change.kept == ("Red rise",)


def test_what_is_used_is_what_was_shown(long_bend):
    season = lock(long_bend, "Red rise")
    found = zones_from_data(season, asked(zones=3))
    used = with_found_zones(season, found)
    assert shapely.equals_identical(used.zones.shapes, found.zones.shapes).all()


def test_no_scraps_are_left_where_zones_are_made_again_beside_a_locked_one(long_bend):
    stepped = asked(zones=5, tidy=TidyRules(smooth_m=0.0))  # rounded zones beside it leave scraps
    first = with_found_zones(long_bend, zones_from_data(long_bend, stepped))
    locked = lock(first, "Zone 2")
    found = zones_from_data(locked, asked(zones=4))
    parts = shapely.get_parts(found.zones.shapes[1:])
    assert shapely.area(parts).min() > 5_000.0  # half a hectare
    assert found.change.joined > 0
    assert any("small parts beside locked zones" in str(note) for note in found.notes)


class StopsWhileMapping:
    """Asks to stop once the test has been read and its map is being worked out."""

    def step(self, done, total, stage):
        if not stage.startswith("Reading"):
            raise Cancelled


def test_a_soil_test_that_is_being_mapped_can_be_stopped(long_bend, placed):
    grid = zoning_grid(long_bend.paddock, 5.0)
    files = LayerFiles(tests=("colwell_p",))
    with pytest.raises(Cancelled):
        layers_from(files, long_bend, grid, tests=placed, progress=StopsWhileMapping())


def test_a_soil_test_is_mapped_between_enough_samples(long_bend, placed):
    wanted = ZonesAsked(
        files=LayerFiles(tests=("colwell_p",)),
        recipe=ZoneRecipe(ZoneMethod.QUANTILES, zones=3),
    )
    found = zones_from_data(long_bend, wanted, tests=placed)
    assert found.layers == (("Colwell P", "mg/kg"),)
    assert any("mapped by kriging from 36 samples" in str(n) for n in found.notes)


def test_a_soil_test_of_few_samples_is_not_mapped(long_bend, placed):
    rows = np.isin(placed.sample_ids, sorted(set(placed.sample_ids))[:20])
    few = replace(
        placed,
        longitude_degree=np.where(rows, placed.longitude_degree, np.nan),
        latitude_degree=np.where(rows, placed.latitude_degree, np.nan),
    )
    wanted = ZonesAsked(files=LayerFiles(tests=("colwell_p",)))
    with pytest.raises(GroundError, match="cannot be mapped between 20 samples"):
        zones_from_data(long_bend, wanted, tests=few)


def test_columns_of_numbers_are_offered_and_texts_are_not(tmp_path):
    path = tmp_path / "points.csv"
    path.write_text("longitude,latitude,crop,yield_t_ha\n147.2,-35.1,wheat,3.1\n")
    columns = columns_of_points(path)
    assert "yield_t_ha" in columns
    assert "crop" not in columns
