"""Speed of one edit among 2,000 zones, checked, beside noding all of them anew."""

import time
from dataclasses import replace

import geopandas
import numpy as np
import pytest
import shapely
from shapely import LineString, box

from vrxapp.ground.exclusions import Exclusion, ExclusionKind
from vrxapp.ground.geodesic_area import geodesic_area_ha
from vrxapp.ground.paddock import Paddock, excluded_ground
from vrxapp.ground.zone_corners import insert_corner, move_corner
from vrxapp.ground.zone_editing import split_zone
from vrxapp.ground.zone_repair import do_tile
from vrxapp.ground.zones import Zones
from vrxapp.prescription.ground_plan import ground_plan
from vrxapp.trials.strips import CheckStrip, strip_shape

pytestmark = pytest.mark.benchmark
ZONES, SIDE_M = 2_000, 4_000.0
EAST, NORTH = 682_000.0, 6_124_000.0


def best_of(times, work):
    """Shortest of several runs, in seconds, and what the last one gave."""
    taken, made = [], None
    for _ in range(times):
        start = time.perf_counter()
        made = work()
        taken.append(time.perf_counter() - start)
    return min(taken), made


@pytest.fixture(scope="module")
def ground():
    """1,600 ha in 2,000 zones of about 60 corners, and their paddock."""
    paddock = Paddock("Big", "EPSG:7855", box(EAST, NORTH, EAST + SIDE_M, NORTH + SIDE_M))
    draw = np.random.default_rng(5)
    seeds = draw.uniform(0.0, SIDE_M, (ZONES, 2)) + np.array([EAST, NORTH])
    cells = shapely.voronoi_polygons(shapely.multipoints(seeds), extend_to=paddock.boundary)
    edges = shapely.intersection(
        shapely.get_parts(shapely.union_all(shapely.boundary(shapely.get_parts(cells)))),
        paddock.boundary,
    )
    edges = edges[shapely.length(edges) > 0]
    noded = shapely.union_all(np.append(edges, paddock.boundary.exterior))
    fine = shapely.segmentize(shapely.get_parts(noded), 5.0)
    faces = shapely.get_parts(shapely.polygonize(fine))
    names = tuple(f"zone-{number}" for number in range(len(faces)))
    zones = Zones(names, names, np.asarray(faces, dtype=object))
    assert do_tile(zones, paddock)
    assert abs(len(faces) - ZONES) < 5
    return zones, paddock


@pytest.fixture(scope="module")
def inner_edge(ground):
    """A corner that two zones share, and a row of one of them."""
    zones, paddock = ground
    inside = shapely.distance(zones.shapes, paddock.boundary.exterior) > 200.0
    row = int(np.flatnonzero(inside)[0])
    corners = shapely.get_coordinates(zones.shapes[row])[:-1]
    owners = [
        int(np.sum(shapely.distance(zones.shapes, shapely.Point(corner)) < 1e-9))
        for corner in corners
    ]
    return row, corners[owners.index(2)]


def test_a_corner_moved_among_two_thousand_zones_beats_noding_them_anew(capsys, ground, inner_edge):
    zones, paddock = ground
    _, (x, y) = inner_edge
    ours, after = best_of(9, lambda: move_corner(zones, paddock, (x, y), (x + 1.0, y + 0.5)))
    assert do_tile(after, paddock)

    def noded_anew():
        lines = shapely.union_all(shapely.boundary(after.shapes))
        faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
        assert shapely.coverage_is_valid(faces)
        return faces

    peer, faces = best_of(2, noded_anew)
    assert len(faces) == len(zones.ids)
    checked, _ = best_of(3, lambda: shapely.coverage_is_valid(after.shapes))
    corners = int(shapely.get_num_coordinates(zones.shapes).sum())
    with capsys.disabled():
        print(
            f"\none corner moved among {len(zones.ids)} zones ({corners:,} corners), checked: "
            f"{ours * 1e3:.1f} ms; noding all anew with shapely {peer * 1e3:.0f} ms "
            f"({peer / ours:.0f} x); checking all of them alone {checked * 1e3:.0f} ms"
        )
    assert peer / ours > 20.0


def test_a_split_among_two_thousand_zones_beats_an_overlay(capsys, ground, inner_edge):
    zones, paddock = ground
    row, _ = inner_edge
    point = zones.shapes[row].representative_point()
    line = LineString([(point.x - 500, point.y), (point.x + 500, point.y)])
    ours, after = best_of(9, lambda: split_zone(zones, paddock, zones.ids[row], line))
    assert do_tile(after, paddock)
    frame = geopandas.GeoDataFrame(geometry=zones.shapes, crs=paddock.crs)
    half = geopandas.GeoDataFrame(geometry=[box(EAST, NORTH, EAST + SIDE_M, point.y)],
                                  crs=paddock.crs)  # fmt: skip
    peer, _ = best_of(2, lambda: geopandas.overlay(frame, half, how="identity"))
    with capsys.disabled():
        print(
            f"\none of {len(zones.ids)} zones split, checked: {ours * 1e3:.1f} ms; "
            f"geopandas.overlay of all {peer * 1e3:.0f} ms ({peer / ours:.0f} x)"
        )
    assert peer / ours > 10.0


def test_a_corner_is_put_into_an_edge_as_quickly(capsys, ground, inner_edge):
    zones, paddock = ground
    row, corner = inner_edge
    corners = shapely.get_coordinates(zones.shapes[row])
    at = int(np.flatnonzero((corners == corner).all(axis=1))[0])
    middle = tuple((corners[at] + corners[at + 1]) / 2.0)
    ours, after = best_of(9, lambda: insert_corner(zones, paddock, middle))
    peer, _ = best_of(3, lambda: shapely.coverage_is_valid(after.shapes))
    with capsys.disabled():
        print(
            f"\none corner put in, checked: {ours * 1e3:.1f} ms; "
            f"the check of all zones alone {peer * 1e3:.0f} ms ({peer / ours:.0f} x)"
        )
    assert do_tile(after, paddock)
    assert peer / ours > 2.0


def test_the_ground_of_two_thousand_zones_is_cut_only_near_exclusions_and_strips(capsys, ground):
    zones, paddock = ground
    dam = shapely.Point(EAST + 1_000.0, NORTH + 900.0).buffer(60.0)
    creek = LineString([(EAST + 50, NORTH + 2_000), (EAST + SIDE_M - 50, NORTH + 2_100)]).buffer(
        3.0
    )
    kinds = (ExclusionKind.DAM, ExclusionKind.WATERCOURSE)
    exclusions = tuple(
        Exclusion(str(kind), kind, shape, 15.0)
        for kind, shape in zip(kinds, (dam, creek), strict=True)
    )
    paddock = replace(paddock, exclusions=exclusions)
    track = LineString([(EAST + 300.3, NORTH + 100), (EAST + 300.3, NORTH + 3_500)])
    strips = (CheckStrip("Strip", track, 24.0),)
    ours, quick = best_of(3, lambda: ground_plan.__wrapped__(paddock, zones, strips))

    def cut_anew():
        lines = shapely.boundary(
            np.array([paddock.boundary, *zones.shapes, excluded_ground(paddock),
                      strip_shape(strips[0])], dtype=object)
        )  # fmt: skip
        noded = shapely.union_all(lines, grid_size=1e-3)
        faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
        return geodesic_area_ha(faces, paddock.crs)

    peer, areas = best_of(2, cut_anew)
    with capsys.disabled():
        print(
            f"\nground of {len(zones.ids)} zones, cut and measured: {ours * 1e3:.0f} ms; noding "
            f"and measuring all of it {peer * 1e3:.0f} ms ({peer / ours:.1f} x)"
        )
    assert quick.area_ha.sum() == pytest.approx(areas.sum(), rel=1e-9)
    assert peer / ours > 1.5
