"""Draw, split, merge and cut out: the zones tile the paddock before and after."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from vrxapp.errors import GroundError, UnknownChoiceError, VrxError
from vrxapp.ground.exclusions import Exclusion, ExclusionKind
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zone_corners import insert_corner, move_corner, remove_corner
from vrxapp.ground.zone_editing import cut_out, draw_zone, merge_zones, split_zone, whole_paddock
from vrxapp.ground.zone_linework import edges_of, linework
from vrxapp.ground.zone_names import lock_zone, rename_zone, unlock_zone
from vrxapp.ground.zones import Zones

SNAKE = Polygon(
    [(0, 0), (200, 0), (200, 200), (120, 200), (120, 80), (80, 80), (80, 200), (0, 200)]
)


def area_of(zones, name):
    return zones.shapes[zones.names.index(name)].area


def test_a_whole_paddock_is_split_and_the_parts_are_numbered(flat, tiles):
    zones = split_zone(
        whole_paddock(flat), flat, "Whole paddock", LineString([(80, -9), (80, 209)])
    )
    assert zones.names == ("Zone 1", "Zone 2")
    assert shapely.area(zones.shapes).tolist() == pytest.approx([24_000.0, 16_000.0])
    assert zones.ids[0] == "zone-1"
    tiles(zones, flat)


def test_the_larger_part_keeps_name_and_id(quarters, flat):
    zones = split_zone(quarters, flat, "South west", LineString([(30, -1), (30, 101)]))
    assert area_of(zones, "South west") == pytest.approx(7000.0)
    assert area_of(zones, "South west 2") == pytest.approx(3000.0)
    assert zones.ids[:4] == quarters.ids


def test_a_split_puts_a_corner_into_the_neighbour_and_leaves_the_others_alone(
    quarters, flat, tiles
):
    zones = split_zone(quarters, flat, "sw", LineString([(30, -1), (30, 101)]))
    assert shapely.get_num_coordinates(zones.shapes[2]) == 6
    assert zones.shapes[3] is quarters.shapes[3]
    tiles(zones, flat)


def test_a_line_across_a_bent_zone_makes_a_part_of_each_piece(tiles):
    paddock = Paddock("Snake", "EPSG:7855", SNAKE)
    zones = split_zone(
        whole_paddock(paddock), paddock, "zone-1", LineString([(-9, 150), (209, 150)])
    )
    assert zones.names == ("Zone 1", "Zone 2", "Zone 3")
    tiles(zones, paddock)


def test_a_line_that_ends_near_the_edge_reaches_it_by_snapping(flat):
    line = LineString([(80, 3), (80, 198)])
    with pytest.raises(GroundError, match="does not divide"):
        split_zone(whole_paddock(flat), flat, "zone-1", line)
    zones = split_zone(whole_paddock(flat), flat, "zone-1", line, snap_m=5.0)
    assert shapely.area(zones.shapes).tolist() == pytest.approx([24_000.0, 16_000.0])


def test_a_part_of_a_zone_that_the_line_misses_stays_with_the_largest(flat, tiles):
    shapes = np.array(
        [shapely.union_all([box(0, 0, 60, 200), box(140, 0, 200, 200)]), box(60, 0, 140, 200)],
        dtype=object,
    )
    zones = Zones(("sides", "middle"), ("Sides", "Middle"), shapes)
    zones = split_zone(zones, flat, "Sides", LineString([(-5, 150), (100, 150)]))
    assert area_of(zones, "Sides") == pytest.approx(12_000.0 + 9_000.0)
    assert area_of(zones, "Sides 2") == pytest.approx(3_000.0)
    tiles(zones, flat)


def test_merged_zones_keep_the_first_name_and_the_others_vanish(quarters, flat, tiles):
    zones = merge_zones(quarters, flat, ("North east", "se"))
    assert zones.ids == ("sw", "nw", "ne")
    assert area_of(zones, "North east") == pytest.approx(20_000.0)
    assert zones.shapes[zones.ids.index("ne")].geom_type == "Polygon"
    tiles(zones, flat)


def test_zones_that_do_not_touch_may_be_one_zone(quarters, flat, tiles):
    zones = merge_zones(quarters, flat, ("sw", "ne"))
    assert zones.shapes[0].geom_type == "MultiPolygon"
    tiles(zones, flat)


def test_merging_one_zone_with_itself_changes_nothing(quarters, flat):
    assert merge_zones(quarters, flat, ("sw", "South west")) is quarters


def test_a_drawn_zone_takes_its_ground_from_all_that_lie_there(quarters, flat, tiles):
    zones = draw_zone(quarters, flat, box(50, 50, 150, 150), name="Middle")
    assert area_of(zones, "Middle") == pytest.approx(10_000.0)
    assert shapely.area(zones.shapes[:4]).tolist() == pytest.approx([7500.0] * 4)
    tiles(zones, flat)


def test_what_is_drawn_beyond_the_boundary_is_left_away(quarters, flat, tiles):
    zones = draw_zone(quarters, flat, box(-50, -50, 50, 50))
    assert area_of(zones, "Zone 1") == pytest.approx(2500.0)
    tiles(zones, flat)


def test_a_zone_that_is_covered_wholly_vanishes(quarters, flat, tiles):
    zones = draw_zone(quarters, flat, box(-5, -5, 100, 120), name="New")
    assert zones.ids == ("se", "nw", "ne", "zone-1")
    tiles(zones, flat)


def test_drawing_a_zone_that_is_there_already_changes_nothing(quarters, flat):
    assert draw_zone(quarters, flat, box(-5, -5, 100, 100)) is quarters


def test_a_hand_drawn_outline_is_drawn_to_corners_and_edges(quarters, flat, tiles):
    rough = Polygon([(1.5, -1), (98, 2), (101, 51), (2, 48)])
    zones = draw_zone(quarters, flat, rough, snap_m=3.0)
    assert area_of(zones, "South east") == pytest.approx(10_000.0)
    assert zones.shapes[-1].bounds == pytest.approx((0.0, 0.0, 100.0, 51.0))
    tiles(zones, flat)


def test_slivers_beside_a_drawn_edge_go_where_they_belong(quarters, flat, tiles):
    # its right side runs 0.6 m left and right of the edge at 100 m by turns
    rough = Polygon([(20, 20), (99.4, 20), (100.6, 50), (99.4, 80), (20, 80)])
    zones = draw_zone(quarters, flat, rough, snap_m=0.7)
    assert area_of(zones, "South east") == pytest.approx(10_000.0)
    tiles(zones, flat)


def test_ground_is_cut_out_of_one_zone_alone(quarters, flat, tiles):
    zones = cut_out(quarters, flat, "South west", box(50, 50, 150, 150), name="Corner")
    assert area_of(zones, "Corner") == pytest.approx(2500.0)
    assert area_of(zones, "North east") == pytest.approx(10_000.0)
    tiles(zones, flat)


def test_an_island_is_cut_out_and_becomes_a_hole(quarters, flat, tiles):
    zones = cut_out(quarters, flat, "sw", Point(50, 50).buffer(20))
    assert len(zones.shapes[0].interiors) == 1
    tiles(zones, flat)


BOW_TIE = Polygon([(10, 10), (90, 90), (90, 10), (10, 90)])
FLATTENED = Polygon([(1, 1), (98, 2), (99, 1)])  # two of its corners snap to the same one
LOCKED_EDITS = {
    "split": lambda z, p: split_zone(z, p, "sw", LineString([(30, -1), (30, 101)])),
    "merge": lambda z, p: merge_zones(z, p, ("se", "sw")),
    "draw": lambda z, p: draw_zone(z, p, box(50, 50, 150, 150)),
    "cut out": lambda z, p: cut_out(z, p, "sw", box(10, 10, 50, 50)),
    "rename": lambda z, _: rename_zone(z, "sw", "Other"),
    "move": lambda z, p: move_corner(z, p, (100, 100), (110, 105)),
    "insert": lambda z, p: insert_corner(z, p, (100, 50)),
    "slide": lambda z, p: move_corner(z, p, (100, 0), (90, 0)),
}


@pytest.mark.parametrize("edit", LOCKED_EDITS.values(), ids=LOCKED_EDITS.keys())
def test_a_locked_zone_is_changed_by_no_edit(quarters, flat, edit):
    locked = lock_zone(quarters, "sw")
    with pytest.raises(GroundError, match="'South west' is locked"):
        edit(locked, flat)
    assert edit(unlock_zone(locked, "sw"), flat).names


def test_beside_a_locked_zone_its_neighbours_can_be_split(quarters, flat, tiles):
    locked = lock_zone(quarters, "se")
    zones = split_zone(locked, flat, "sw", LineString([(-1, 30), (101, 30)]))
    assert shapely.equals(zones.shapes[1], locked.shapes[1])
    assert zones.locked_ids == {"se"}
    tiles(zones, flat)


def test_locking_twice_and_the_same_name_are_no_edits(quarters):
    locked = lock_zone(quarters, "sw")
    assert lock_zone(locked, "South west") is locked
    assert unlock_zone(quarters, "sw") is quarters
    assert rename_zone(quarters, "sw", " South  west ") is quarters


def test_a_new_name_must_be_free(quarters):
    assert rename_zone(quarters, "sw", "Creek flat").names[0] == "Creek flat"
    with pytest.raises(GroundError, match="more than one zone"):
        rename_zone(quarters, "sw", "NORTH  west")
    with pytest.raises(VrxError, match="needs a name"):
        rename_zone(quarters, "sw", "  ")


@pytest.mark.parametrize(
    ("edit", "told"),
    [
        (lambda z, p: draw_zone(z, p, BOW_TIE), "crosses itself"),
        (lambda z, p: draw_zone(z, p, box(300, 300, 400, 400)), "no ground"),
        (lambda z, p: cut_out(z, p, "sw", box(120, 120, 150, 150)), "no ground"),
        (lambda z, p: draw_zone(z, p, box(1, 1, 4, 3), snap_m=5.0), "no longer than a point"),
        (lambda z, p: draw_zone(z, p, FLATTENED, snap_m=5.0), "5 m of snapping"),
        (lambda z, p: draw_zone(z, p, box(20, 20, 23, 80), snap_m=5.0), "5 m of snapping"),
        (lambda z, p: split_zone(z, p, "sw", LineString([(10, 10), (50, 50)])), "not divide"),
        (lambda z, p: split_zone(z, p, "sw", LineString([(300, 0), (300, 9)])), "not divide"),
    ],
)
def test_what_makes_no_zone_is_refused_in_plain_words(quarters, flat, edit, told):
    with pytest.raises(GroundError, match=told):
        edit(quarters, flat)


def test_an_unknown_zone_is_told_with_those_that_there_are(quarters, flat):
    with pytest.raises(UnknownChoiceError, match="South west"):
        split_zone(quarters, flat, "Middle", LineString([(0, 0), (9, 9)]))


def test_a_zone_wholly_within_a_setback_is_refused(quarters):
    dam = Exclusion("Dam", ExclusionKind.DAM, box(40, 40, 60, 60), 20.0)
    paddock = Paddock("Flat", "EPSG:7855", box(0, 0, 200, 200), (dam,))
    with pytest.raises(GroundError, match="outside exclusions and setbacks"):
        cut_out(quarters, paddock, "sw", box(30, 30, 70, 70))
    # the same dam with 5 m round it leaves ground between
    nearer = Paddock(
        "Flat", "EPSG:7855", box(0, 0, 200, 200),
        (Exclusion("Dam", ExclusionKind.DAM, box(40, 40, 60, 60), 5.0),),
    )  # fmt: skip
    assert len(cut_out(quarters, nearer, "sw", box(30, 30, 70, 70)).ids) == 5


def test_zones_that_overlap_are_not_edited_but_sent_to_be_mended(flat):
    shapes = np.array([box(0, 0, 110, 200), box(100, 0, 200, 200)], dtype=object)
    zones = Zones(("a", "b"), ("Left", "Right"), shapes)
    with pytest.raises(GroundError, match="'Left' and 'Right' overlap"):
        split_zone(zones, flat, "a", LineString([(-5, 100), (150, 100)]))
    with pytest.raises(GroundError, match="'Left' and 'Right' overlap"):
        merge_zones(zones, flat, ("a", "b"))


def around(centre, angle, length):
    """A line through a place, given as a share of a circle."""
    east, north = math.cos(angle * math.tau) * length, math.sin(angle * math.tau) * length
    return LineString([(centre.x - east, centre.y - north), (centre.x + east, centre.y + north)])


def edited(zones, paddock, kind, which, a, b):
    """One random edit; one that is refused leaves the zones as they were."""
    row = int(which * len(zones.ids)) % len(zones.ids)
    zone, inner = zones.ids[row], zones.shapes[row].representative_point()
    lines = linework(zones.shapes)
    corner = lines.points[int(a * len(lines.points)) % len(lines.points)]
    ends = lines.points[edges_of(lines).ends]
    middle = ends[int(b * len(ends)) % len(ends)].mean(axis=0)
    step = np.array([a - 0.5, b - 0.5]) * 60
    acts = {
        "split": lambda: split_zone(zones, paddock, zone, around(inner, a, 900), snap_m=b),
        "merge": lambda: merge_zones(
            zones, paddock, (zone, zones.ids[int(a * len(zones.ids)) - 1])
        ),
        "draw": lambda: draw_zone(zones, paddock, inner.buffer(10 + 90 * a, quad_segs=3), snap_m=b),
        "cut": lambda: cut_out(zones, paddock, zone, inner.buffer(5 + 40 * a), snap_m=3 * b),
        "move": lambda: move_corner(zones, paddock, tuple(corner), tuple(corner + step)),
        "insert": lambda: insert_corner(zones, paddock, tuple(middle), reach_m=1.0),
        "remove": lambda: remove_corner(zones, paddock, tuple(corner)),
    }
    try:
        return acts[kind]()
    except GroundError:
        return zones


SHARE = st.floats(0.0, 0.999)
KINDS = st.sampled_from(["split"] * 3 + ["move"] * 2 + ["merge", "draw", "cut", "insert", "remove"])


@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.lists(st.tuples(KINDS, SHARE, SHARE, SHARE), min_size=3, max_size=14))
def test_whatever_is_edited_the_zones_tile_the_paddock(crooked, tiles, edits):
    zones = whole_paddock(crooked)
    for edit in edits:
        zones = edited(zones, crooked, *edit)
        tiles(zones, crooked)


def test_a_long_row_of_edits_is_mostly_carried_out(crooked, tiles):
    draw = np.random.default_rng(3)
    kinds = ["split", "split", "draw", "cut", "move", "move", "insert", "remove", "merge"]
    zones, done = whole_paddock(crooked), dict.fromkeys(kinds, 0)
    for kind in kinds * 20:
        after = edited(zones, crooked, kind, *draw.uniform(0.0, 0.999, 3))
        done[kind] += after is not zones
        zones = after
    tiles(zones, crooked)
    assert min(done.values()) >= 5  # else the property above would hold for want of edits
