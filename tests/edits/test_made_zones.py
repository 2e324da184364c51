"""Made zones taken into the season: locks, samples and strips are minded and told."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from vrxapp.edits.made_zones import change_notes, replace_zones
from vrxapp.edits.zones import lock
from vrxapp.ground.projected_crs import LON_LAT, transformed_xy
from vrxapp.ground.zones import Zones
from vrxapp.soil.by_place import RowMatch


@pytest.fixture
def halves(block):
    """A south and a north half."""
    shapes = np.array([block(0, 0, 1000, 300), block(0, 300, 1000, 800)], dtype=object)
    return Zones(("zone-1", "zone-2"), ("Zone 1", "Zone 2"), shapes)


def test_a_locked_zone_and_what_is_joined_to_it_stay(season, halves, with_results):
    joined = with_results(season, [("1", "", 20.5), ("2", "", 30.0)])
    joined = replace(joined, row_matches=(RowMatch("1", "w"), RowMatch("2", "e")))
    after, change = replace_zones(lock(joined, "West"), halves)
    assert after.zones.names == ("West", "Zone 1", "Zone 2")
    assert after.row_matches == (RowMatch("1", "w"),)
    assert shapely.equals(after.zones.shapes[0], season.zones.shapes[0])
    assert (change.kept, change.replaced, change.unjoined) == (("West",), 1, 1)
    told = " ".join(map(str, change_notes(change)))
    assert "locked and kept as they are: 'West'" in told
    assert "1 sample was joined by hand to zones that are no more" in told


def test_a_strip_across_two_made_zones_is_told(season, block):
    # the strip runs from west to east at 500 m: through both of these, and one of the halves
    sides = np.array([block(0, 0, 300, 800), block(300, 0, 1000, 800)], dtype=object)
    _, change = replace_zones(season, Zones(("a", "b"), ("A", "B"), sides))
    assert change.crossed == 1
    assert "1 check strip lies in more than one of the zones" in str(change_notes(change)[-1])


def test_a_strip_within_one_made_zone_is_not(season, halves):
    _, change = replace_zones(season, halves)
    assert change.crossed == 0


def test_samples_with_a_position_are_counted_once_each(season, halves, corner, with_results):
    sampled = with_results(season, [("1", "", 20.5), ("1", "", 21.0), ("2", "", 30.0)])
    east, north = corner
    lon, lat = transformed_xy(
        np.array([east + 50, east + 50, east + 5_000]),
        np.array([north + 50, north + 50, north]),
        from_crs=season.paddock.crs,
        to_crs=LON_LAT,
    )
    tests = replace(sampled.tests, longitude_degree=lon, latitude_degree=lat)
    _, change = replace_zones(replace(sampled, tests=tests), halves)
    assert change.placed == 1


def test_nothing_is_told_where_nothing_is_touched(season, halves):
    _, change = replace_zones(replace(season, strips=(), tests=None), halves)
    assert change_notes(change) == ()
