"""The sample farm: three paddocks, each with its own samples, passes and rates."""

import numpy as np
import pytest

from vrxapp.errors import MissingInputError
from vrxapp.farm import season_called, season_titles
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.ground.geodesic_area import geodesic_area_ha
from vrxapp.prescription.pipeline import prescription
from vrxapp.season import Purpose
from vrxapp.soil.results_table import column_of
from vrxapp.workflows.sample_farm import sample_farm


@pytest.fixture(scope="module")
def farm():
    return sample_farm()


def test_it_holds_the_three_paddocks_of_the_notes_beside_its_files(farm):
    assert season_titles(farm) == ("Long Bend", "Two Mile Sands", "Pan Block")
    areas = [geodesic_area_ha([s.paddock.boundary], s.paddock.crs)[0] for s in farm.seasons]
    assert np.round(areas).tolist() == [81, 139, 237]  # as sample_fields/README.md says


def test_each_paddock_has_the_samples_that_name_it(farm):
    marks = {
        "Long Bend": ("long bend", "lb "),
        "Two Mile Sands": ("two mile", "2 mile"),
        "Pan Block": ("pan block",),
    }
    counts = []
    for season in farm.seasons:
        counts.append(len(season.tests.sample_ids))
        for sample, zone in zip(season.tests.sample_ids, season.tests.zone_names, strict=True):
            assert any(mark in sample.casefold() for mark in marks[season.paddock.name])
            assert zone.casefold() in sample.casefold()
        assert set(season.tests.zone_names) == set(season.zones.names)
        assert all(season.tests.depths_cm)
    assert counts == [8, 6, 8]


def test_every_zone_of_every_pass_has_a_rate(farm):
    for season in farm.seasons:
        for operation in season.operations:
            plan = prescription(season, operation)
            assert not any(plan.reasons), (season.name, operation.name)
            assert plan.totals.product_kg > 0


def test_the_acid_sand_gets_lime_before_its_starter(farm):
    sands = season_called(farm, "Two Mile Sands")
    assert [o.purpose for o in sands.operations] == [Purpose.LIME, Purpose.PHOSPHORUS]
    assert column_of(sands.tests, "ecec").values.max() < 6.0
    need = prescription(sands, sands.operations[0]).need
    aluminium = column_of(sands.tests, "exch_al").values[[0, 2, 4]]  # topsoils, zone by zone
    assert np.all(np.diff(need) <= 0)
    assert np.all(np.diff(aluminium) < 0)
    for name in ("Long Bend", "Pan Block"):
        assert {o.purpose for o in season_called(farm, name).operations} == {Purpose.PHOSPHORUS}


def test_the_farm_file_keeps_all_three(farm, tmp_path):
    path = tmp_path / "farm.gpkg"
    write_farm(farm, path)
    again = read_farm(path)
    assert season_titles(again) == season_titles(farm)
    for before, after in zip(farm.seasons, again.seasons, strict=True):
        assert after.paddock.boundary.equals_exact(before.paddock.boundary, 0.0)
        assert after.tests.sample_ids == before.tests.sample_ids
        assert [o.id for o in after.operations] == [o.id for o in before.operations]
        for old, new in zip(before.operations, after.operations, strict=True):
            rates = prescription(after, new).rates_kg_ha
            np.testing.assert_array_equal(rates, prescription(before, old).rates_kg_ha)


def test_a_season_is_asked_for_only_where_there_are_several(farm):
    with pytest.raises(MissingInputError, match="Long Bend, Two Mile Sands, Pan Block"):
        season_called(farm)
    assert season_called(farm, "pan block").paddock.name == "Pan Block"
