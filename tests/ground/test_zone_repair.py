"""Zones that were drawn elsewhere: mended, told, and afterwards a tiling."""

import re

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, box

from vrxapp.errors import GroundError
from vrxapp.ground.zone_names import lock_zone
from vrxapp.ground.zone_repair import do_tile, mended_zones
from vrxapp.ground.zones import Zones


def drawn(*shapes):
    names = tuple(f"Z{number}" for number in range(1, len(shapes) + 1))
    return Zones(names, names, np.array(shapes, dtype=object))


def told(notes):
    return " | ".join(map(str, notes))


def test_zones_that_tile_are_left_as_they_are(quarters, flat):
    assert do_tile(quarters, flat)
    assert mended_zones(quarters, flat) == (quarters, ())


def test_a_zone_drawn_on_top_of_another_keeps_its_ground(flat, tiles):
    zones, notes = mended_zones(drawn(box(0, 0, 200, 200), box(50, 50, 90, 90)), flat)
    assert shapely.area(zones.shapes).tolist() == pytest.approx([38_400.0, 1600.0])
    # 40 m × 40 m on the grid; the ellipsoid is told
    assert "'Z2' and 'Z1' overlapped by 0.16 ha; that stays with 'Z2'" in told(notes)
    tiles(zones, flat)


def test_a_narrow_gap_goes_to_one_side_whole(flat, tiles):
    zones, notes = mended_zones(drawn(box(0, 0, 99.6, 200), box(100, 0, 200, 200)), flat)
    assert sorted(shapely.area(zones.shapes)) == pytest.approx([19_920.0, 20_080.0])
    assert "in gaps narrower than 1 m" in told(notes)
    tiles(zones, flat)


def test_a_gap_like_a_cross_stretches_no_zone_past_another(flat, tiles):
    shapes = [box(x, y, x + 99.5, y + 99.5) for y in (0, 100.5) for x in (0, 100.5)]
    zones, _ = mended_zones(drawn(*shapes), flat, narrow_m=1.5)
    for shape, before in zip(zones.shapes, shapes, strict=True):
        assert shape.difference(before.buffer(1.5)).area < 0.01
    tiles(zones, flat)


def test_zones_drawn_within_the_boundary_are_carried_to_it(flat, tiles):
    inside = [box(0.4, 0.4, 100, 199.6), box(100, 0.4, 199.6, 199.6)]
    zones, _ = mended_zones(drawn(*inside), flat)
    assert shapely.area(zones.shapes).tolist() == pytest.approx([20_000.0] * 2, rel=1e-3)
    tiles(zones, flat)


def test_a_wide_gap_becomes_a_zone_of_its_own(flat, tiles):
    zones, notes = mended_zones(drawn(box(0, 0, 100, 200), box(140, 0, 200, 200)), flat)
    assert zones.names == ("Z1", "Z2", "Rest of the paddock")
    assert zones.shapes[2].area == pytest.approx(8000.0)
    assert "0.80 ha of the paddock lay in no zone" in told(notes)
    assert "gets nothing" in told(notes)
    tiles(zones, flat)


def test_what_lies_beyond_the_boundary_is_left_away_and_told(flat, tiles):
    zones, notes = mended_zones(drawn(box(-50, 0, 100, 200), box(100, 0, 200, 200)), flat)
    assert re.search(r"[\d.]+ ha drawn beyond the boundary of 'Flat' are left away", told(notes))
    tiles(zones, flat)


def test_a_zone_drawn_twice_is_kept_once(flat, tiles):
    half = box(0, 0, 100, 200)
    zones, notes = mended_zones(drawn(half, box(100, 0, 200, 200), half), flat)
    assert zones.names == ("Z1", "Z2")
    assert "'Z3' had no ground of its own" in told(notes)
    tiles(zones, flat)


def test_corners_that_neighbours_lack_are_put_in(flat, tiles):
    shapes = [box(0, 0, 100, 200), box(100, 0, 200, 80), box(100, 80, 200, 200)]
    assert not shapely.coverage_is_valid(np.array(shapes, dtype=object))
    zones, notes = mended_zones(drawn(*shapes), flat)
    assert "share their corners now; no ground changed hands" in told(notes)
    assert shapely.equals(zones.shapes, shapes).all()
    tiles(zones, flat)


def test_crumbs_go_to_the_zone_around_them(flat, tiles):
    crumb = MultiPolygon([box(100, 0, 200, 200), box(20, 20, 20.5, 20.5)])
    zones, _ = mended_zones(drawn(box(0, 0, 100, 200), crumb), flat)
    assert [shape.geom_type for shape in zones.shapes] == ["Polygon", "Polygon"]
    assert zones.shapes[0].area == pytest.approx(20_000.0)
    tiles(zones, flat)


def test_a_locked_zone_keeps_its_ground_against_a_smaller_one(flat, tiles):
    zones = lock_zone(drawn(box(0, 0, 200, 200).difference(box(0, 150, 50, 200)),
                            box(0, 140, 50, 200)), "Z1")  # fmt: skip
    mended, _ = mended_zones(zones, flat)
    assert mended.shapes[1].area == pytest.approx(2500.0)
    tiles(mended, flat)


def test_a_locked_zone_that_would_have_to_change_is_told(flat):
    zones = lock_zone(drawn(box(-50, 0, 100, 200), box(100, 0, 200, 200)), "Z1")
    with pytest.raises(GroundError, match="'Z1' is locked"):
        mended_zones(zones, flat)


def test_zones_of_another_paddock_are_refused(flat):
    with pytest.raises(GroundError, match="not one of the 1 zones lies in the paddock"):
        mended_zones(drawn(box(900, 900, 950, 950)), flat)


def test_the_corners_of_the_boundary_stay_where_they_were_to_the_last_digit(crooked, tiles):
    west, south, east, north = crooked.boundary.bounds
    zones = drawn(box(west, south, west + 250.3, north), box(west + 250.2, south, east, north))
    mended, _ = mended_zones(zones, crooked)
    corners = {tuple(c) for c in shapely.get_coordinates(mended.shapes)}
    assert {tuple(c) for c in shapely.get_coordinates(crooked.boundary)} <= corners
    tiles(mended, crooked)
    assert shapely.area(mended.shapes).sum() == pytest.approx(crooked.boundary.area, abs=1e-3)


SIZE = st.floats(-20.0, 320.0)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(st.tuples(SIZE, SIZE, SIZE, SIZE, st.floats(0, 90)), min_size=1, max_size=7))
def test_whatever_was_drawn_the_zones_tile_the_paddock_afterwards(crooked, tiles, boxes):
    west, south, *_ = crooked.boundary.bounds
    shapes = [
        shapely.affinity.rotate(
            box(west + a, south + b, west + a + abs(c) + 2, south + b + abs(d) + 2), turn
        )
        for a, b, c, d, turn in boxes
    ]
    zones = drawn(*shapes)
    if not shapely.intersects(zones.shapes, crooked.boundary).any():
        return
    try:
        mended, notes = mended_zones(zones, crooked)
    except GroundError as error:
        assert "in the paddock" in str(error)  # noqa: PT017
        return
    tiles(mended, crooked)
    assert notes
    assert do_tile(mended, crooked)


def noisy(shapes, spread_m, seed):
    """Each zone digitised by itself: its corners are off by a little of their own."""
    draw = np.random.default_rng(seed)
    return [
        Polygon(
            np.asarray(s.exterior.coords)[:-1]
            + draw.normal(0, spread_m, (len(s.exterior.coords) - 1, 2))
        )
        for s in shapes
    ]


@pytest.mark.parametrize("seed", range(8))
def test_zones_digitised_apart_become_a_tiling_with_little_moved(flat, tiles, seed):
    true = [box(x, y, x + 50, y + 50) for y in range(0, 200, 50) for x in range(0, 200, 50)]
    mended, notes = mended_zones(drawn(*noisy(true, 0.2, seed)), flat)
    tiles(mended, flat)
    assert len(mended.ids) == 16
    assert np.abs(shapely.area(mended.shapes) - 2500.0).max() < 0.02 * 2500.0
    assert "more pairs of zones overlapped" in told(notes)
    assert "gaps narrower" in told(notes)
    assert len(notes) <= 8
