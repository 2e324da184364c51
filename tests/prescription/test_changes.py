"""Changes since the season before: the same paddock, the same zones, the same layer."""

from dataclasses import replace

import pytest

from vrxapp.farm import Farm
from vrxapp.prescription.changes import (
    earlier_season,
    matches_before,
    sample_changes,
    zone_changes,
)
from vrxapp.soil.by_place import RowMatch
from vrxapp.soil.history import Change


@pytest.fixture
def two_seasons(season, with_results):
    """The paddock twice, and another paddock between."""
    older = replace(with_results(season, [("1", "West", 10.0), ("2", "East", 20.0)]), id="old")
    other = replace(season, id="other", paddock=replace(season.paddock, name="Hill"))
    newer = with_results(season, [("9", "West", 20.5), ("8", "East", 21.0)])
    return Farm("Farm", (older, other, newer), (), ()), older, newer


def test_the_season_before_is_one_of_the_same_paddock(two_seasons):
    farm, older, newer = two_seasons
    assert earlier_season(farm, newer) is older
    assert earlier_season(farm, older) is None
    assert earlier_season(replace(farm, seasons=(newer, older)), newer) is None


def test_a_season_without_tests_is_passed_over(two_seasons):
    farm, older, newer = two_seasons
    empty = replace(older, id="empty", tests=None)
    assert earlier_season(replace(farm, seasons=(older, empty, newer)), newer) is older


def test_zones_rise_only_by_more_than_laboratories_differ(two_seasons):
    # least difference: 1.96 x 1.414 x 13.8 % of the mean: 5.8 of 15.25, and 7.8 of 20.5
    _, older, newer = two_seasons
    (since,) = zone_changes(newer, older.tests, depth_cm="0-10")
    assert since.change.tolist() == [Change.RISEN, Change.NOT_TOLD_APART]
    assert since.least_difference == pytest.approx([5.83, 7.84], abs=0.01)


def test_another_layer_is_not_compared(two_seasons):
    _, older, newer = two_seasons
    deeper = replace(older.tests, depths_cm=("10-30", "10-30"))
    (since,) = zone_changes(newer, deeper, depth_cm="0-10")
    assert set(since.change) == {Change.NOT_TESTED_BEFORE}


def test_samples_joined_by_hand_follow_the_name_of_the_zone(two_seasons):
    _, older, newer = two_seasons
    zones = replace(older.zones, ids=("a", "b"))
    matches = (RowMatch("1", "b"), RowMatch("2", "gone"))
    earlier = replace(older, zones=zones, row_matches=matches)
    assert matches_before(earlier, newer) == (RowMatch("1", "e"),)


def test_samples_of_two_sheets_are_joined_by_their_id(sheet):
    now, before = sheet([("A", "", 40.0), ("B", "", 20.0)]), sheet([("a", "", 10.0)])
    (since,) = sample_changes(now, before, samples=("A", "B"), depth_cm="0-10")
    assert since.change.tolist() == [Change.RISEN, Change.NOT_TESTED_BEFORE]
