from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString

from vrxapp.edits.sample_plan import set_sample_plan
from vrxapp.edits.sheet_rows import RowPlace, use_rows
from vrxapp.edits.zones import rename, split
from vrxapp.errors import MissingInputError, UnknownChoiceError
from vrxapp.farm import Farm, with_season
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.ground.sample_positions import SamplingDesign
from vrxapp.ground.zones import Zones
from vrxapp.workflows.match_rows import proposed_places, told_place
from vrxapp.workflows.sample_plan import planned_samples
from vrxapp.workflows.sample_settings import SampleSettings


@pytest.fixture
def farm(season, block):
    """Two paddocks without tests; Ridge has a zone of its own besides."""
    shapes = np.array([block(0, 0, 500, 800), block(500, 0, 1000, 800)], dtype=object)
    other = replace(
        season,
        id="t",
        paddock=Paddock("Ridge", "EPSG:7855", block(0, 0, 1000, 800), ()),
        zones=Zones(("w", "g"), ("West", "Gum corner"), shapes),
        tests=None,
    )
    return Farm("Farm", (replace(season, tests=None), other), (), ())


def proposed(farm, table):
    return [(found.place, found.question) for found in proposed_places(farm, table)]


def untold(sheet, samples, **changes):
    """A sheet that tells neither zone nor layer."""
    table = sheet([(sample, "", 10.0) for sample in samples])
    return replace(table, depths_cm=("",) * len(samples), **changes)


def test_the_names_of_the_samples_are_read(farm, sheet):
    table = untold(sheet, ["Flat west 0-10", "Ridge East 0-10", "Gum corner 10-20", "S4"])
    assert proposed(farm, table) == [
        (RowPlace("s", "w", "0-10"), ""),
        (RowPlace("t", "", "0-10"), "which zone?"),
        (RowPlace("t", "g", "10-20"), ""),
        (RowPlace(), "which paddock?"),
    ]


def test_what_the_sheet_tells_goes_first_and_other_growers_are_left_out(farm, sheet):
    table = untold(sheet, ["Ridge west 0-10", "West"], paddock_names=("Flat", "Somebody's"))
    table = replace(table, zone_names=("East", "West"), depths_cm=("10-20", "0-10"))
    (mine, question), (other, _) = proposed(farm, table)
    assert (mine, question) == (RowPlace("s", "e", "10-20"), "")
    assert other.season_id == ""
    assert "not of this farm" in proposed_places(farm, table)[1].why


def test_a_sample_confirmed_before_is_known_again(farm, sheet):
    before = use_rows(
        farm,
        untold(sheet, ["C1", "C2"]),
        [RowPlace("t", "g", "0-10"), RowPlace("s", "e", "10-20")],
    )
    table = untold(sheet, ["c1", "C2", "C3"])
    assert proposed(before, table) == [
        (RowPlace("t", "g", "0-10"), ""),
        (RowPlace("s", "e", "10-20"), ""),
        (RowPlace(), "which paddock?"),
    ]
    assert "as last time" in proposed_places(before, table)[0].why


def test_a_paddock_of_one_zone_leaves_no_zone_to_ask(season, sheet):
    zones = Zones(("z",), ("Whole paddock",), np.array([season.paddock.boundary], dtype=object))
    farm = Farm("Farm", (replace(season, zones=zones, tests=None),), (), ())
    assert proposed(farm, untold(sheet, ["S1"])) == [(RowPlace("s", "z", ""), "which layer?")]


def test_a_row_with_a_position_needs_no_zone(season, sheet):
    farm = Farm("Farm", (replace(season, tests=None),), (), ())
    table = sheet([("S1", "", 10.0)])
    table = replace(table, longitude_degree=np.array([149.0]), latitude_degree=np.array([-35.0]))
    assert proposed(farm, table) == [(RowPlace("s", "", "0-10"), "")]


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("East", RowPlace("s", "e", "0-10")),
        ("ridge/gum corner", RowPlace("t", "g", "0-10")),
        ("Ridge/", RowPlace("t", "", "0-10")),
        ("@10-20", RowPlace("s", "w", "10-20")),
        ("East@10 to 20", RowPlace("s", "e", "10-20")),
        (" - ", RowPlace()),
    ],
)
def test_a_place_is_told_in_words_and_what_is_left_out_stays(farm, text, place):
    assert told_place(farm, text, before=RowPlace("s", "w", "0-10")) == place


def test_a_told_place_that_is_not_there_is_refused(farm):
    for text, said in (("North", "West, East"), ("Hill/West", "no season"), ("@x", "layer")):
        with pytest.raises(UnknownChoiceError, match=said):
            told_place(farm, text, before=RowPlace("s", "w", "0-10"))
    with pytest.raises(MissingInputError, match="needs its paddock"):
        told_place(farm, "West", before=RowPlace())


def test_positions_tell_the_paddock_and_whole_names_go_before_parts(season, block, sheet):
    far = replace(
        season,
        id="t",
        paddock=Paddock("Ridge", "EPSG:7855", block(5_000, 0, 6_000, 800), ()),
        zones=Zones(("w",), ("West flat",), np.array([block(5_000, 0, 6_000, 800)], dtype=object)),
        tests=None,
    )
    farm = Farm("Farm", (replace(season, tests=None), far), (), ())
    (spot,) = transformed(
        np.array([far.zones.shapes[0].centroid], dtype=object), from_crs="EPSG:7855", to_crs=LON_LAT
    )
    table = untold(sheet, ["P1", "P2", "West 0-10"])
    table = replace(
        table,
        longitude_degree=np.array([spot.x, 140.0, np.nan]),
        latitude_degree=np.array([spot.y, -35.0, np.nan]),
    )
    found = [place for place, _ in proposed(farm, table)]
    assert found == [RowPlace("t", "w", ""), RowPlace(), RowPlace("s", "w", "0-10")]


def planned(farm, row, **settings):
    """The farm with a sample plan in one of its seasons."""
    season = farm.seasons[row]
    plan = planned_samples(season, SampleSettings(depth_cm="0-10", cores=5, **settings))
    return with_season(farm, set_sample_plan(season, plan))


def test_bags_of_a_plan_are_known_though_the_sheet_tells_nothing_else(farm, sheet):
    with_plan = planned(farm, 1, design=SamplingDesign.SPREAD, stops=2, is_bulked_by_zone=False)
    bags = with_plan.seasons[1].sample_plan
    zones = dict(zip(bags.sample_ids, bags.zone_names, strict=True))
    ids = {"West": "w", "Gum corner": "g"}
    table = untold(sheet, ["s1", "S2", "S9"])
    assert proposed(with_plan, table) == [
        (RowPlace("t", ids[zones["S1"]], "0-10"), ""),
        (RowPlace("t", ids[zones["S2"]], "0-10"), ""),
        (RowPlace(), "which paddock?"),
    ]


def test_a_bag_that_two_paddocks_planned_asks_which(farm, sheet):
    both = farm
    for row in (0, 1):
        both = planned(both, row, design=SamplingDesign.SPREAD, stops=2, is_bulked_by_zone=False)
    assert proposed(both, untold(sheet, ["S1"])) == [(RowPlace(), "which paddock?")]
    told = untold(sheet, ["S1"], paddock_names=("Ridge",))
    (found,) = proposed_places(both, told)
    assert (found.place.season_id, found.place.depth_cm) == ("t", "0-10")
    assert found.place.zone_id


def test_what_the_sheet_says_of_zone_and_layer_goes_before_the_plan(farm, sheet):
    with_plan = planned(farm, 1, stops=3)
    table = replace(sheet([("West", "Gum corner", 10.0)]), depths_cm=("10-20",))
    table = replace(table, paddock_names=("Ridge",))
    assert proposed(with_plan, table) == [(RowPlace("t", "g", "10-20"), "")]


def test_a_renamed_zone_is_found_by_where_its_stops_lie(farm, sheet):
    with_plan = planned(farm, 1, stops=3)
    season = rename(with_plan.seasons[1], "Gum corner", "Box corner")
    renamed = with_season(with_plan, season)
    (found,) = proposed_places(renamed, untold(sheet, ["Gum corner"]))
    assert found.place == RowPlace("t", "g", "0-10")
    assert found.why == "bag of the sample plan; layer as planned"


def test_a_bag_whose_stops_lie_in_several_zones_now_is_left_to_its_name(farm, sheet, block, corner):
    with_plan = planned(farm, 1, stops=6)
    x, y = corner
    cut = LineString([(x + 400, y + 400), (x + 1_100, y + 400)])
    season = split(with_plan.seasons[1], "Gum corner", cut)
    divided = with_season(with_plan, season)
    (found,) = proposed_places(divided, untold(sheet, ["Gum corner"]))
    assert "bag of the sample plan" not in found.why
    assert found.place == RowPlace("t", "g", "0-10")
