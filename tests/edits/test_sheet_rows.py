from dataclasses import replace

import numpy as np
import pytest

from vrxapp.edits.sheet_rows import RowPlace, use_rows
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.farm import Farm
from vrxapp.ground.paddock import Paddock
from vrxapp.need_plans import Purpose
from vrxapp.prescription.pipeline import needs
from vrxapp.prescription.zone_results import row_places
from vrxapp.soil.by_place import RowMatch


@pytest.fixture
def farm(season, block):
    """Two paddocks, each with a west and an east zone."""
    other = replace(
        season,
        id="t",
        paddock=Paddock("Ridge", "EPSG:7855", block(0, 0, 1000, 800), ()),
        tests=None,
    )
    return Farm("Farm", (season, other), (), ())


def test_rows_go_to_their_paddocks_zones_and_layers(farm, sheet):
    table = sheet([("a", "", 10.0), ("b", "", 20.0), ("c", "", 30.0), ("d", "", 40.0)])
    places = [
        RowPlace("t", "e", "0-10"),
        RowPlace("s", "w", "10 to 20 cm"),
        RowPlace(),
        RowPlace("t", "w", "0-10"),
    ]
    after = use_rows(farm, table, places)
    one, two = after.seasons
    assert one.tests.sample_ids == ("b",)
    assert one.tests.depths_cm == ("10-20",)
    assert two.tests.sample_ids == ("a", "d")
    np.testing.assert_array_equal(two.tests.columns[0].values, [10.0, 40.0])
    places_of_two = row_places(two.tests, two.zones, two.paddock, two.row_matches).rows
    assert places_of_two.tolist() == [1, 0]
    assert farm.seasons[0].tests.sample_ids == ("1",)  # the older value is whole


def test_a_match_outlives_a_new_name_of_the_zone(farm, sheet):
    after = use_rows(farm, sheet([("a", "", 10.0)]), [RowPlace("s", "w", "0-10")])
    season = after.seasons[0]
    assert season.row_matches == (RowMatch("a", "w"),)
    renamed = replace(season, zones=replace(season.zones, names=("Sunset", "East")))
    assert needs(renamed, Purpose.PHOSPHORUS).reasons[0] == ""


def test_a_sample_name_that_stands_for_two_zones_keeps_each_row_in_its_own(farm, sheet):
    table = sheet([("0-10", "", 10.0), ("0-10", "", 30.0)])
    after = use_rows(farm, table, [RowPlace("s", "w", "0-10"), RowPlace("s", "e", "0-10")])
    season = after.seasons[0]
    rows = row_places(season.tests, season.zones, season.paddock, season.row_matches).rows
    assert rows.tolist() == [0, 1]


def test_a_paddock_that_gets_no_row_stays_as_it_was(farm, sheet):
    after = use_rows(farm, sheet([("a", "", 10.0)]), [RowPlace("t", "w", "0-10")])
    assert after.seasons[0] is farm.seasons[0]


def test_leaving_every_row_out_is_refused(farm, sheet):
    with pytest.raises(MissingInputError, match="no row"):
        use_rows(farm, sheet([("a", "", 10.0)]), [RowPlace()])


@pytest.mark.parametrize(
    ("place", "said"),
    [
        (RowPlace("x", "w", "0-10"), "no season"),
        (RowPlace("s", "north", "0-10"), "West, East"),
        (RowPlace("s", "w", "deep"), "not a layer"),
    ],
)
def test_a_place_that_is_not_there_is_refused(farm, sheet, place, said):
    with pytest.raises(UnknownChoiceError, match=said):
        use_rows(farm, sheet([("a", "", 10.0)]), [place])


def test_places_must_fit_the_rows(farm, sheet):
    with pytest.raises(UnknownChoiceError, match="2 places do not fit"):
        use_rows(farm, sheet([("a", "", 10.0)]), [RowPlace("s"), RowPlace("s")])
