"""Edits of zones: what hangs on a zone stays with it, and goes with it."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import LineString

from vrxapp.edits.zones import (
    begin_anew,
    cut_from,
    draw,
    insert_vertex,
    lock,
    mend,
    merge,
    move_vertex,
    remove_vertex,
    rename,
    split,
    unlock,
    use_zones,
)
from vrxapp.errors import GroundError
from vrxapp.ground.zones import Zones
from vrxapp.prescription.ground_plan import ground_plan
from vrxapp.prescription.pipeline import prescription
from vrxapp.soil.by_place import RowMatch
from vrxapp.spreading.rate_map import GroundUse


@pytest.fixture
def across(corner):
    """A line across the western zone, 300 m from its south."""
    east, north = corner
    return LineString([(east - 10, north + 300), (east + 510, north + 300)])


@pytest.fixture
def matched(season, with_results):
    """The season with a sample joined by hand to each zone."""
    joined = with_results(season, [("1", "", 20.5), ("2", "", 30.0)])
    return replace(joined, row_matches=(RowMatch("1", "w"), RowMatch("2", "e")))


def test_a_split_zone_keeps_what_is_joined_to_it_and_the_new_part_has_nothing(matched, across):
    after = split(matched, "West", across)
    assert after.zones.names == ("West", "East", "West 2")
    assert after.row_matches == matched.row_matches
    assert after.tests is matched.tests
    plan = prescription(after, after.operations[0])
    assert np.isnan(plan.rates_kg_ha[2])


def test_the_total_area_is_the_same_after_a_split(matched, across, block):
    after = split(matched, "West", across)
    assert shapely.area(after.zones.shapes).sum() == pytest.approx(block(0, 0, 1000, 800).area)


def test_a_merged_zone_answers_for_the_samples_of_all(matched):
    after = merge(matched, ("East", "West"))
    assert after.zones.ids == ("e",)
    assert after.row_matches == (RowMatch("1", "e"), RowMatch("2", "e"))
    assert after.tests is matched.tests


def test_what_is_joined_to_a_zone_that_vanishes_is_dropped(matched, block):
    after = draw(matched, block(-5, -5, 510, 805), name="New")
    assert after.zones.names == ("East", "New")
    assert after.row_matches == (RowMatch("2", "e"),)
    assert after.tests is matched.tests


def test_a_renamed_zone_keeps_what_is_joined_to_it(matched):
    after = rename(matched, "West", "Creek flat")
    assert after.row_matches == matched.row_matches
    assert after.zones.ids == matched.zones.ids


def test_exclusions_stay_cut_away_whatever_zone_lies_over_them(season, block):
    # the dam of 50 m × 50 m with 20 m round it lies in the new zone
    after = cut_from(season, "West", block(50, 50, 300, 300), name="Dam side")
    plan = ground_plan(after.paddock, after.zones, ())
    spread = plan.area_ha[(plan.zone_rows == 2) & (plan.uses == GroundUse.SPREAD)]
    dam_m2 = shapely.box(0, 0, 50, 50).buffer(20).area
    assert spread.sum() == pytest.approx((250 * 250 - dam_m2) / 1e4, rel=2e-3)


def test_a_vertex_is_put_in_moved_and_taken_out(season, corner):
    east, north = corner
    middle = (east + 500.0, north + 400.0)
    bent = insert_vertex(season, middle, reach_m=1.0)
    bent = move_vertex(bent, middle, (east + 550.0, north + 400.0), reach_m=1.0)
    assert bent.zones.shapes[0].area - season.zones.shapes[0].area == pytest.approx(50 * 800 / 2)
    straight = remove_vertex(bent, (east + 550.0, north + 400.0), reach_m=1.0)
    assert shapely.equals(straight.zones.shapes, season.zones.shapes).all()


def same(season, change):
    return change(season) is season


def test_an_edit_that_changes_nothing_gives_the_same_season(season, corner, block):
    east, north = corner
    assert same(season, lambda s: merge(s, ("West", "w")))
    assert same(season, lambda s: draw(s, block(-5, -5, 500, 805)))
    assert same(season, lambda s: rename(s, "West", "West"))
    assert same(season, lambda s: unlock(s, "West"))
    assert same(lock(season, "West"), lambda s: lock(s, "w"))
    assert same(season, lambda s: mend(s)[0])
    assert same(season, lambda s: use_zones(s, s.zones)[0])
    assert same(begin_anew(season), begin_anew)
    assert same(
        season, lambda s: move_vertex(s, (east + 500, north), (east + 500, north), reach_m=1)
    )
    assert same(season, lambda s: insert_vertex(s, (east + 500, north), reach_m=1))


def test_zones_from_elsewhere_keep_what_is_joined_by_their_name(matched, block):
    shapes = np.array([block(0, 0, 400, 800), block(400.5, 0, 1000, 800)], dtype=object)
    after, notes = use_zones(matched, Zones(("zone-1", "zone-2"), ("East", "Middle"), shapes))
    assert after.zones.ids == ("e", "zone-1")
    assert after.row_matches == (RowMatch("2", "e"),)
    assert "gaps narrower than 1 m" in str(notes[0])
    assert after.tests is matched.tests


def test_a_locked_zone_is_not_replaced(matched):
    locked = lock(matched, "East")
    with pytest.raises(GroundError, match="'East' is locked"):
        begin_anew(locked)
    with pytest.raises(GroundError, match="'East' is locked"):
        use_zones(locked, matched.zones)


def test_beginning_anew_gives_one_zone_over_all(matched):
    after = begin_anew(matched)
    assert after.zones.names == ("Whole paddock",)
    assert after.row_matches == ()
    assert after.tests is matched.tests
