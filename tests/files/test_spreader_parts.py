from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import GroundError
from vrxapp.files.spreader_parts import MOST_POINTS, parts_notes, spreader_parts
from vrxapp.ground.geodesic_area import lon_lat_area_ha
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.spreading.rate_map import GroundUse, RateMap, total_kg

MGA55 = "EPSG:7855"


def rate_map(shapes_m, *, rates, uses=None, labels=None):
    """A map of shapes in metres."""
    column = np.empty(len(shapes_m), dtype=object)
    column[:] = shapes_m
    return RateMap(
        product="Starter 10-22",
        unit="kg/ha",
        shapes=transformed(column, from_crs=MGA55, to_crs=LON_LAT),
        labels=labels or tuple(f"Zone {n + 1}" for n in range(len(shapes_m))),
        uses=np.array(uses or [GroundUse.SPREAD] * len(shapes_m)),
        rates=np.array(rates, dtype=float),
    )


def sliver_map(rectangle, **columns):
    """A sliver of 0.8 m² between a part above it (4 m of shared edge) and one beside it."""
    sliver, above, beside = (
        rectangle(0, 0, 4, 0.2),
        rectangle(0, 0.2, 4, 100),
        rectangle(4, 0, 50, 0.2),
    )
    beside = shapely.union(beside, rectangle(4, 0.2, 50, 50))
    return rate_map([sliver, above, beside], **columns)


def test_a_multipart_record_becomes_one_record_a_part_with_the_same_rate(rectangle):
    two = shapely.MultiPolygon([rectangle(0, 0, 50, 50), rectangle(100, 0, 50, 50)])
    parts = spreader_parts(rate_map([two, rectangle(50, 0, 50, 50)], rates=[80.0, 120.0]))
    assert [shape.geom_type for shape in parts.shapes] == ["Polygon"] * 3
    assert parts.rates.tolist() == [80.0, 80.0, 120.0]
    assert parts.labels == ("Zone 1", "Zone 1", "Zone 2")
    assert parts.uses.tolist() == ["spread"] * 3


def test_no_part_has_a_hole_and_each_keeps_its_rate(paddock_map):
    assert any(len(s.interiors) for s in shapely.get_parts(paddock_map.shapes))
    parts = spreader_parts(paddock_map)
    assert not any(len(shape.interiors) for shape in parts.shapes)
    assert total_kg(parts) == pytest.approx(total_kg(paddock_map), abs=1e-6)


def test_heights_are_left_out(rectangle):  # SHP-10
    plan = rate_map([rectangle(0, 0, 50, 50)], rates=[80.0])
    high = replace(plan, shapes=shapely.force_3d(plan.shapes, z=612.0))
    parts = spreader_parts(high)
    assert not shapely.has_z(parts.shapes).any()
    assert shapely.equals_exact(parts.shapes[0], plan.shapes[0])


def test_a_part_with_too_many_points_is_cut_without_changing_its_ground(rectangle):
    lake = shapely.Point(680_000, 6_125_000).buffer(300, quad_segs=700)
    plan = rate_map([lake], rates=[80.0])
    parts = spreader_parts(plan)
    assert len(parts.rates) > 1
    assert max(len(shape.exterior.coords) for shape in parts.shapes) <= MOST_POINTS
    assert total_kg(parts) == pytest.approx(total_kg(plan), abs=1e-6)


def test_repeated_points_are_left_out(rectangle):
    ring = list(rectangle(0, 0, 50, 50).exterior.coords)
    plan = rate_map([shapely.Polygon([ring[0], *ring])], rates=[80.0])
    assert len(spreader_parts(plan).shapes[0].exterior.coords) == 5


def test_a_sliver_joins_the_neighbour_with_the_longest_shared_edge(rectangle):
    plan = sliver_map(rectangle, rates=[80.0, 120.0, 40.0])
    parts = spreader_parts(plan)
    assert parts.labels == ("Zone 2", "Zone 3")
    areas_ha, before_ha = lon_lat_area_ha(parts.shapes), lon_lat_area_ha(plan.shapes)
    assert areas_ha[0] == pytest.approx(before_ha[0] + before_ha[1], abs=1e-7)
    assert areas_ha[1] == pytest.approx(before_ha[2], abs=1e-9)


def test_a_sliver_never_joins_ground_with_another_use(rectangle):
    spread, strip = GroundUse.SPREAD, GroundUse.CHECK_STRIP
    plan = sliver_map(rectangle, rates=[0.0, 120.0, 0.0], uses=[strip, spread, strip])
    parts = spreader_parts(plan)
    assert parts.labels == ("Zone 2", "Zone 3")
    assert parts.rates.tolist() == [120.0, 0.0]
    assert lon_lat_area_ha(parts.shapes)[0] == pytest.approx(
        lon_lat_area_ha(plan.shapes)[1], abs=1e-9
    )


def test_an_excluded_sliver_without_a_like_neighbour_stays(rectangle):
    uses = [GroundUse.EXCLUDED, GroundUse.SPREAD, GroundUse.SPREAD]
    parts = spreader_parts(sliver_map(rectangle, rates=[0.0, 120.0, 40.0], uses=uses))
    assert parts.rates.tolist() == [0.0, 120.0, 40.0]


def test_slivers_that_together_are_large_enough_stay_a_part(rectangle):
    # two of 0.6 m² share 1 m with each other and 0.6 m with the large part above
    slivers = [rectangle(0, 0, 0.6, 1), rectangle(0.6, 0, 0.6, 1)]
    large = shapely.snap(rectangle(0, 1, 60, 60), shapely.MultiPolygon(slivers), 0.01)
    parts = spreader_parts(rate_map([*slivers, large], rates=[1.0, 1.0, 5.0]))
    assert parts.rates.tolist() == [1.0, 5.0]
    assert lon_lat_area_ha(parts.shapes)[0] * 1e4 == pytest.approx(1.2, abs=0.01)


def test_a_sliver_beside_one_that_was_given_away_follows_it(rectangle):
    small, large = rectangle(0.2, 0, 0.3, 1), rectangle(0.5, 0, 60, 1)
    follower = rectangle(-1.4, 0, 1.4, 0.5)
    smallest = shapely.snap(rectangle(0, 0, 0.2, 1), follower, 0.01)  # shares its corner
    plan = rate_map([smallest, small, large, follower], rates=[1.0, 2.0, 5.0, 3.0])
    parts = spreader_parts(plan)
    assert parts.rates.tolist() == [5.0]
    # 0.2 + 0.3 + 60 + 0.7 m²
    assert lon_lat_area_ha(parts.shapes)[0] * 1e4 == pytest.approx(61.2, abs=0.05)


def test_a_lone_sliver_stays(rectangle):
    parts = spreader_parts(rate_map([rectangle(0, 0, 0.5, 0.5)], rates=[80.0]))
    assert parts.rates.tolist() == [80.0]


@pytest.mark.parametrize(
    ("shape", "words"),
    [
        (shapely.from_wkt("POLYGON ((0 0, 2 2, 2 0, 0 2, 0 0))"), "is not valid"),
        (shapely.from_wkt("POLYGON EMPTY"), "encloses no ground"),
        (shapely.from_wkt("LINESTRING (0 0, 2 2)"), "is no polygon"),
        (None, "is no polygon"),
    ],
)
def test_a_shape_that_is_no_ground_is_refused_by_name(shape, words):
    plan = RateMap(
        product="Starter 10-22",
        unit="kg/ha",
        shapes=np.array([shapely.box(5, 5, 6, 6), shape], dtype=object),
        labels=("North", "South"),
        uses=np.array([GroundUse.SPREAD] * 2),
        rates=np.array([1.0, 2.0]),
    )
    with pytest.raises(GroundError, match=f"part 2 \\('South'\\) {words}") as caught:
        spreader_parts(plan)
    assert caught.value.note.row == 2


def test_a_map_without_parts_is_refused():
    with pytest.raises(GroundError, match="no parts"):
        spreader_parts(rate_map([], rates=[], uses=[], labels=()))


def test_columns_of_other_lengths_are_refused(paddock_map):
    with pytest.raises(GroundError, match="differ in length"):
        spreader_parts(replace(paddock_map, rates=paddock_map.rates[:-1]))


def test_what_was_changed_is_told(rectangle):
    plan = sliver_map(rectangle, rates=[80.0, 120.0, 40.0])
    told = [str(note) for note in parts_notes(plan, spreader_parts(plan))]
    assert told[0].startswith("the 3 parts of the map are written as 2 plain polygons")
    # 0.8 m² at 40 kg/ha more: 0.00008 ha × 40 kg/ha = 0.0032 kg
    assert "by +0.003 kg" in told[1]


def test_nothing_is_told_where_nothing_changed(rectangle):
    plan = rate_map([rectangle(0, 0, 50, 50)], rates=[80.0])
    assert parts_notes(plan, spreader_parts(plan)) == ()


@given(st.data())
def test_any_map_keeps_its_ground_use_by_use_without_hole_or_gap(random_maps, data):
    plan = data.draw(random_maps)
    parts = spreader_parts(plan)
    assert all(s.geom_type == "Polygon" and s.is_valid for s in parts.shapes)
    assert not any(s.interiors for s in parts.shapes)
    assert shapely.coverage_is_valid(parts.shapes)
    for use in set(plan.uses.tolist()):
        before_ha = lon_lat_area_ha(plan.shapes[plan.uses == use]).sum()
        assert lon_lat_area_ha(parts.shapes[parts.uses == use]).sum() == pytest.approx(
            before_ha, abs=1e-9
        )
    assert total_kg(parts) == pytest.approx(total_kg(plan), rel=1e-3, abs=0.1)
