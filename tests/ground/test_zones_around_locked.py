"""Made zones around locked ones: the locked stay, the rest is tiled, or it is refused."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import box

from vrxapp.errors import GroundError
from vrxapp.ground.zone_editing import draw_zone, whole_paddock
from vrxapp.ground.zone_names import lock_zone
from vrxapp.ground.zones import Zones
from vrxapp.ground.zones_around_locked import zones_around_locked


def made_of(*shapes):
    numbers = range(1, len(shapes) + 1)
    return Zones(
        tuple(f"zone-{n}" for n in numbers),
        tuple(f"Zone {n}" for n in numbers),
        np.array(shapes, dtype=object),
    )


def striped(boundary, width_m, turn):
    """Zones that tile a paddock in turned strips."""
    west, south, east, north = boundary.bounds
    middle = ((west + east) / 2, (south + north) / 2)
    reach = max(east - west, north - south)
    lines = [
        shapely.affinity.rotate(
            shapely.LineString([(middle[0] + x, middle[1] - reach),
                                (middle[0] + x, middle[1] + reach)]), turn, origin=middle)
        for x in np.arange(-reach, reach, width_m)
    ]  # fmt: skip
    noded = shapely.union_all(np.array([*lines, boundary.boundary], dtype=object))
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    shapely.prepare(boundary)
    return made_of(*faces[shapely.contains_properly(boundary, shapely.point_on_surface(faces))])


def test_without_a_lock_the_made_zones_are_taken_as_they_are(quarters, flat):
    made = made_of(flat.boundary)
    assert zones_around_locked(quarters, made, flat) == (made, 0)


def test_made_zones_take_the_ground_that_is_not_locked(quarters, flat, tiles):
    before = lock_zone(quarters, "North east")
    halves = made_of(box(0, 0, 200, 130), box(0, 130, 200, 200))
    after, _ = zones_around_locked(before, halves, flat)
    assert after.names == ("North east", "Zone 1", "Zone 2")
    assert after.ids == ("ne", "zone-1", "zone-2")
    assert after.locked_ids == {"ne"}
    # 200 m × 130 m without the 100 m × 30 m that lie in the locked quarter; the rest likewise
    assert shapely.area(after.shapes).tolist() == pytest.approx([10_000.0, 23_000.0, 7_000.0])
    tiles(after, flat)


def test_a_made_zone_wholly_in_locked_ground_is_gone(quarters, flat, tiles):
    before = lock_zone(quarters, "sw")
    after, _ = zones_around_locked(
        before, made_of(box(0, 0, 50, 50), flat.boundary.difference(box(0, 0, 50, 50))), flat
    )
    assert after.names == ("South west", "Zone 2")
    tiles(after, flat)


def test_a_made_zone_called_like_a_locked_one_gets_the_next_number(quarters, flat):
    named = replace(quarters, names=("Zone 1", "B", "C", "D"))
    halves = made_of(box(0, 0, 200, 150), box(0, 150, 200, 200))
    after, _ = zones_around_locked(lock_zone(named, "Zone 1"), halves, flat)
    assert after.names == ("Zone 1", "Zone 3", "Zone 2")


def test_where_all_is_locked_it_is_refused_with_a_mend(quarters, flat):
    for name in quarters.names:
        quarters = lock_zone(quarters, name)
    with pytest.raises(GroundError, match="take all the ground") as raised:
        zones_around_locked(quarters, made_of(flat.boundary), flat)
    assert "Unlock" in raised.value.note.mend


def test_a_locked_zone_that_reaches_beyond_the_paddock_is_refused(flat):
    outer = Zones(("a",), ("Outer",), np.array([box(-50, 0, 90, 200)], dtype=object), {"a"})
    with pytest.raises(GroundError, match="'Outer' would not stay as it is"):
        zones_around_locked(outer, made_of(flat.boundary), flat)


def test_small_parts_beside_locked_ground_go_to_a_made_zone_never_to_a_locked_one(
    quarters, flat, tiles
):
    # of Zone 1 the locked quarter leaves 100 m x 4 m, which is 400 m²
    before = lock_zone(quarters, "South west")
    made = made_of(box(0, 0, 100, 104), flat.boundary.difference(box(0, 0, 100, 104)))
    after, joined = zones_around_locked(before, made, flat, least_m2=500.0)
    assert joined == 1
    assert after.names == ("South west", "Zone 2")
    assert shapely.area(after.shapes).tolist() == pytest.approx([10_000.0, 30_000.0])
    tiles(after, flat)


PLACE = st.floats(-280.0, 280.0)


@settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.lists(
        st.tuples(PLACE, PLACE, st.floats(20, 150), st.floats(20, 150), st.floats(0, 90)),
        min_size=1,
        max_size=3,
    ),
    st.floats(40.0, 200.0),
    st.floats(0.0, 180.0),
    st.sampled_from([0.0, 500.0, 5_000.0]),
)
def test_locked_ground_is_the_same_before_and_after_whatever_is_made(
    crooked, tiles, boxes, width_m, turn, least_m2
):
    zones = whole_paddock(crooked)
    middle = crooked.boundary.centroid
    for x, y, wide, high, angle in boxes:
        outline = shapely.affinity.rotate(
            box(middle.x + x, middle.y + y, middle.x + x + wide, middle.y + y + high), angle
        )
        try:
            zones = draw_zone(zones, crooked, outline)
        except GroundError:
            continue
        zones = lock_zone(zones, zones.names[-1])
    if not zones.locked_ids:
        return
    try:
        after, _ = zones_around_locked(
            zones, striped(crooked.boundary, width_m, turn), crooked, least_m2=least_m2
        )
    except GroundError as error:
        assert error.note.mend  # noqa: PT017
        return
    tiles(after, crooked)
    assert after.locked_ids == zones.locked_ids
    for row, zone_id in enumerate(zones.ids):
        if zone_id in zones.locked_ids:
            shape = after.shapes[after.ids.index(zone_id)]
            assert after.names[after.ids.index(zone_id)] == zones.names[row]
            assert shapely.symmetric_difference(shape, zones.shapes[row]).area < 1e-4
            corners = set(map(tuple, shapely.get_coordinates(shape).tolist()))
            assert set(map(tuple, shapely.get_coordinates(zones.shapes[row]).tolist())) <= corners
