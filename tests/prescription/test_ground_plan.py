"""What happens on each part of the paddock, however the zones were drawn."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import Polygon

from vrxapp.errors import GroundError
from vrxapp.ground.zones import Zones
from vrxapp.prescription.ground_plan import ground_plan
from vrxapp.spreading.rate_map import GroundUse


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
