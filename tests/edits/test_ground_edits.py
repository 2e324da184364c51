"""Exclusions and ground points: added, changed, removed, with the zones left whole."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from vrxapp.edits.ground import (
    add_exclusions,
    add_points,
    change_exclusion,
    change_point,
    exclusion_row,
    move_point,
    point_row,
    remove_exclusion,
    remove_point,
)
from vrxapp.errors import GroundError, MissingInputError, UnknownChoiceError
from vrxapp.ground.exclusions import Exclusion, ExclusionKind
from vrxapp.ground.ground_facts import ground_facts
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind
from vrxapp.ground.zone_repair import do_tile
from vrxapp.prescription.pipeline import prescription
from vrxapp.workflows.sample_plan import planned_samples
from vrxapp.workflows.sample_settings import SampleSettings


@pytest.fixture
def trees(block):
    return Exclusion("", ExclusionKind.TREES, block(600, 600, 700, 700), 0.0)


@pytest.fixture
def gate(corner):
    return GroundPoint("North gate", GroundPointKind.GATE, corner[0] + 10, corner[1] + 800)


def test_more_excluded_ground_is_spread_no_more_and_the_zones_stay(season, trees):
    after = add_exclusions(season, [trees])
    assert [e.name for e in after.paddock.exclusions] == ["Dam", "Trees"]
    assert after.zones is season.zones
    assert do_tile(after.zones, after.paddock)
    before_ha, after_ha = (ground_facts(s.paddock).excluded_ha for s in (season, after))
    # 100 m × 100 m is a hectare on the grid, and 0.08 % from it on the ellipsoid
    assert after_ha - before_ha == pytest.approx(1.0, rel=2e-3)
    totals = [prescription(s, s.operations[0]).totals for s in (season, after)]
    assert totals[1].excluded_ha - totals[0].excluded_ha == pytest.approx(1.0, rel=2e-3)


def test_hectares_of_a_paddock_are_those_excluded_and_those_to_spread(season):
    facts = ground_facts(season.paddock)
    assert facts.excluded_ha + facts.spreadable_ha == pytest.approx(facts.paddock_ha)
    # a dam of 50 m × 50 m with 20 m round it: 2500 + 4 × 50 × 20 + π 20² m²
    assert facts.excluded_ha == pytest.approx((2500 + 4000 + np.pi * 400) / 1e4, rel=5e-3)
    assert facts.exclusion_ha == pytest.approx([facts.excluded_ha])


def test_two_of_one_name_are_numbered(season, trees):
    after = add_exclusions(season, [trees, trees, replace(trees, name="dam")])
    assert [e.name for e in after.paddock.exclusions] == ["Dam", "Trees", "Trees 2", "dam 2"]


def test_kind_name_and_setback_are_changed_and_the_same_again_changes_nothing(season):
    after = change_exclusion(
        season, 0, name="Old dam", kind=ExclusionKind.WATERCOURSE, setback_m=50.0
    )
    (changed,) = after.paddock.exclusions
    assert (changed.name, changed.kind, changed.setback_m) == ("Old dam", "watercourse", 50.0)
    assert changed.shape is season.paddock.exclusions[0].shape
    assert change_exclusion(after, 0, setback_m=50.0) is after


def test_a_removed_exclusion_is_spread_again(season):
    after = remove_exclusion(season, exclusion_row(season, " DAM "))
    assert ground_facts(after.paddock).excluded_ha == 0.0


@pytest.mark.parametrize(
    ("shape", "setback_m", "said"),
    [
        (shapely.Point(0, 0), 10.0, "takes no ground"),
        (shapely.Point(0, 0), 0.0, "without a setback"),
    ],
)
def test_what_would_exclude_nothing_is_refused(season, shape, setback_m, said):
    with pytest.raises(GroundError, match=said):
        add_exclusions(season, [Exclusion("Tree", ExclusionKind.TREES, shape, setback_m)])


def test_an_outline_that_crosses_itself_and_one_that_leaves_nothing_are_refused(
    season, block, corner
):
    x, y = corner
    bow = shapely.Polygon([(x, y), (x + 90, y + 90), (x + 90, y), (x, y + 50)])
    with pytest.raises(GroundError, match="crosses itself"):
        add_exclusions(season, [Exclusion("Bow", ExclusionKind.OTHER, bow, 0.0)])
    with pytest.raises(GroundError, match="no ground to spread"):
        change_exclusion(season, 0, setback_m=5_000.0)


def test_a_name_that_is_taken_or_empty_is_refused(season, trees):
    two = add_exclusions(season, [trees])
    with pytest.raises(UnknownChoiceError, match="taken"):
        change_exclusion(two, 1, name="dam")
    with pytest.raises(MissingInputError, match="needs a name"):
        change_exclusion(two, 1, name="  ")
    with pytest.raises(UnknownChoiceError, match="no exclusion is called 'Shed'"):
        exclusion_row(two, "Shed")


def test_points_are_added_moved_changed_and_removed(season, gate):
    two = add_points(season, [gate, gate])
    assert [p.name for p in two.ground_points] == ["North gate", "North gate 2"]
    moved = move_point(two, 1, gate.easting_m + 5, gate.northing_m)
    assert moved.ground_points[1].easting_m == gate.easting_m + 5
    assert move_point(moved, 1, gate.easting_m + 5, gate.northing_m) is moved
    noted = change_point(moved, 0, replace(gate, note="locked"))
    assert noted.ground_points[0].note == "locked"
    with pytest.raises(UnknownChoiceError, match="taken"):
        change_point(noted, 1, gate)
    left = remove_point(noted, point_row(noted, "north gate"))
    assert [p.name for p in left.ground_points] == ["North gate 2"]


def test_a_point_far_from_the_paddock_is_taken_for_a_slip(season, gate):
    with pytest.raises(GroundError, match="km from 'Flat'"):
        add_points(season, [replace(gate, easting_m=gate.easting_m - 90_000)])


def test_the_walk_to_sample_begins_at_the_gate_of_the_season(season, gate, corner):
    far = replace(gate, easting_m=corner[0] + 1000, northing_m=corner[1] + 800)
    plan = planned_samples(add_points(season, [far]), SampleSettings(stops=4))
    assert plan.points == (far,)
    # the gate is in the north-east; without one the walk begins in the south-west
    assert plan.zone_names[0] == "East"
    assert planned_samples(season, SampleSettings(stops=4)).zone_names[0] == "West"


def test_a_hole_of_the_boundary_is_told_apart_from_what_is_excluded(season, block):
    holed = season.paddock.boundary.difference(block(600, 600, 700, 700))
    paddock = replace(season.paddock, boundary=holed)
    facts, before = ground_facts(paddock), ground_facts(season.paddock)
    assert before.hole_ha == 0.0
    assert facts.hole_ha == pytest.approx(1.0, rel=2e-3)
    assert facts.paddock_ha + facts.hole_ha == pytest.approx(before.paddock_ha)
    assert facts.excluded_ha == pytest.approx(before.excluded_ha)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.floats(-50, 950), st.floats(-50, 750), st.floats(5, 300), st.floats(5, 300),
    st.floats(0, 60),
)  # fmt: skip
def test_whatever_is_excluded_the_zones_tile_and_hectares_add_up(
    season, west, south, wide, high, setback_m
):
    shape = shapely.box(682_000 + west, 6_124_000 + south, 682_000 + west + wide,
                        6_124_000 + south + high)  # fmt: skip
    assume(shape.buffer(setback_m).intersection(season.paddock.boundary).area > 0.0)
    after = add_exclusions(season, [Exclusion("", ExclusionKind.DAM, shape, setback_m)])
    assert after.zones is season.zones
    assert do_tile(after.zones, after.paddock)
    facts, before = ground_facts(after.paddock), ground_facts(season.paddock)
    assert facts.excluded_ha >= before.excluded_ha - 1e-9
    assert facts.excluded_ha <= sum(facts.exclusion_ha) + 1e-9
    assert facts.excluded_ha + facts.spreadable_ha == pytest.approx(before.paddock_ha)
    back = remove_exclusion(after, 1)
    assert ground_facts(back.paddock).excluded_ha == pytest.approx(before.excluded_ha)
