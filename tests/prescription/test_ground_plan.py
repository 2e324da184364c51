"""What happens on each part of the paddock, however the zones were drawn."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon

from vrxapp.errors import GroundError
from vrxapp.ground.partition import partition
from vrxapp.ground.zone_repair import do_tile
from vrxapp.ground.zones import Zones
from vrxapp.prescription import ground_plan as whole_plan
from vrxapp.prescription.ground_plan import ground_plan
from vrxapp.spreading.rate_map import GroundUse
from vrxapp.trials.strips import CheckStrip


def zones_of(*shapes):
    names = tuple(f"Zone {n + 1}" for n in range(len(shapes)))
    return Zones(names, names, np.array(shapes, dtype=object))


def area_of(plan, use):
    return plan.area_ha[plan.uses == use].sum()


def test_zones_that_overlap_are_refused_with_the_place(season, block):
    zones = zones_of(block(0, 0, 600, 800), block(500, 0, 1000, 800))
    with pytest.raises(
        GroundError, match=r"'Zone 1' and 'Zone 2' overlap by .* ha, near longitude"
    ):
        ground_plan(season.paddock, zones, ())


def test_a_sliver_between_two_zones_goes_to_one_of_them(season, block):
    zones = zones_of(block(0, 0, 500, 800), block(500.02, 0, 1000, 800))
    plan = ground_plan(season.paddock, zones, ())
    assert not (plan.uses == GroundUse.NO_RATE).any()
    assert shapely.coverage_is_valid(plan.shapes)


def test_ground_without_a_zone_gets_nothing_and_is_told(season, block):
    plan = ground_plan(season.paddock, zones_of(block(0, 0, 900, 800)), ())
    assert area_of(plan, GroundUse.NO_RATE) == pytest.approx(8.0, rel=2e-3)
    assert any("8.0" in str(note) and "lie in no zone" in str(note) for note in plan.notes)


def test_zones_beyond_the_boundary_are_cut_at_it(season, block):
    plan = ground_plan(season.paddock, zones_of(block(-500, -500, 1500, 1500)), ())
    assert plan.area_ha.sum() == pytest.approx(80.0, rel=2e-3)


def test_a_zone_outside_the_paddock_is_told(season, block):
    zones = zones_of(block(0, 0, 1000, 800), block(3000, 0, 4000, 800))
    plan = ground_plan(season.paddock, zones, ())
    assert any("'Zone 2' has no ground to spread on" in str(note) for note in plan.notes)


def test_a_hole_of_the_boundary_is_a_part_with_nothing_on_it(season, block):
    holed = Polygon(
        block(0, 0, 1000, 800).exterior.coords, [block(600, 600, 700, 700).exterior.coords]
    )
    paddock = replace(season.paddock, boundary=holed, exclusions=())
    plan = ground_plan(paddock, zones_of(block(0, 0, 1000, 800)), ())
    assert area_of(plan, GroundUse.EXCLUDED) == pytest.approx(1.0, rel=2e-3)
    assert area_of(plan, GroundUse.SPREAD) == pytest.approx(79.0, rel=2e-3)


def test_an_exclusion_wins_over_a_strip(season, block):
    plan = ground_plan(season.paddock, season.zones, season.strips)
    dam_ha = shapely.buffer(block(100, 100, 150, 150), 20.0).area / 1e4
    assert area_of(plan, GroundUse.EXCLUDED) == pytest.approx(dam_ha, rel=2e-3)


def test_the_parts_are_one_valid_coverage(season, block):
    plan = ground_plan(season.paddock, season.zones, season.strips)
    assert shapely.is_valid(plan.shapes).all()
    assert shapely.coverage_is_valid(plan.shapes)


def drawn_apart(boundary, seeds):
    """Zones that tile a paddock, one around each seed."""
    cells = shapely.get_parts(
        shapely.voronoi_polygons(shapely.multipoints(seeds), extend_to=boundary)
    )
    noded = shapely.union_all(shapely.boundary(np.array([*cells, boundary], dtype=object)))
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    shapely.prepare(boundary)
    faces = faces[shapely.contains_properly(boundary, shapely.point_on_surface(faces))]
    return zones_of(*faces[shapely.area(faces) > 1.0])


PLACE = st.tuples(st.floats(0, 1000), st.floats(0, 800))


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    st.lists(PLACE, min_size=2, max_size=30, unique=True),
    PLACE,
    PLACE,
    st.booleans(),
)
def test_cutting_only_what_is_near_gives_what_cutting_all_gives(
    season, block, corner, places, start, end, has_hole
):
    east, north = corner
    boundary = block(0, 0, 1000, 800)
    if has_hole:
        boundary = boundary.difference(block(600, 600, 700, 701.5))
    paddock = replace(season.paddock, boundary=boundary)
    try:
        zones = drawn_apart(boundary, np.array(places) + np.array([east, north]))
    except ValueError:
        return  # places so near each other that no zones lie around them
    track = LineString([(east + start[0], north + start[1]), (east + end[0], north + end[1])])
    strips = (CheckStrip("Strip", track, 24.0),) if track.length > 1.0 else ()
    # a corner of less than a square metre that no zone has counts as tiled, and is given to a
    # neighbour by one way and to nobody by the other
    uncovered_m2 = boundary.area - shapely.area(zones.shapes).sum()
    if not do_tile(zones, paddock) or uncovered_m2 > 1e-3:
        return
    quick = ground_plan(paddock, zones, strips)
    assert shapely.coverage_is_valid(quick.shapes)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(whole_plan, "do_tile", lambda *_: False)
        full = ground_plan.__wrapped__(paddock, zones, strips)
    assert quick.uses.tolist() == full.uses.tolist()
    assert quick.labels == full.labels
    assert quick.zone_rows.tolist() == full.zone_rows.tolist()
    assert quick.notes == full.notes
    # corners lie on the same grid of a millimetre: nothing but rounding in degrees is left
    assert quick.area_ha == pytest.approx(full.area_ha, abs=1e-6)
    assert shapely.hausdorff_distance(quick.shapes, full.shapes).max() < 2e-8


def test_zones_far_from_every_cutter_are_not_cut(season, block, monkeypatch):
    quarters = zones_of(
        block(0, 0, 500, 400), block(500, 0, 1000, 400),
        block(0, 400, 500, 800), block(500, 400, 1000, 800),
    )  # fmt: skip
    seen = []

    def noting(zones, *others):
        seen.append(len(zones))
        return partition(zones, *others)

    monkeypatch.setattr(whole_plan, "partition", noting)
    ground_plan(season.paddock, quarters, ())  # the dam lies in the first alone
    assert seen == [1]
