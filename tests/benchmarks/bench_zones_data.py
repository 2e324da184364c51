"""Speed of making zones from data, beside named peers doing the same work in the same run."""

import time

import geopandas as gpd
import numpy as np
import pytest
import shapely
from scipy import ndimage

from vrxapp.ground.clipped_shapes import clipped
from vrxapp.ground.grid import Grid
from vrxapp.ground.grid_layers import GridLayer
from vrxapp.ground.label_tidying import majority_labels
from vrxapp.ground.points_in_zones import zone_of_points
from vrxapp.ground.zone_clustering import fuzzy_groups, k_means_groups
from vrxapp.ground.zone_shapes import shapes_of_labels

pytestmark = pytest.mark.benchmark
CRS = "EPSG:7855"
SIDE_M = 5_000.0
EAST, NORTH = 680_000.0, 6_120_000.0
CORNER = np.array([EAST, NORTH])
FRAME = shapely.box(EAST, NORTH, EAST + SIDE_M, NORTH + SIDE_M)


def best_of(times, work):
    """Shortest of several runs in seconds, and what the last gave."""
    taken, given = [], None
    for _ in range(times):
        start = time.perf_counter()
        given = work()
        taken.append(time.perf_counter() - start)
    return min(taken), given


def many_zones():
    """5,000 zones around random points."""
    spots = np.random.default_rng(1).uniform(0, SIDE_M, (5_000, 2)) + CORNER
    cells = shapely.get_parts(shapely.voronoi_polygons(shapely.multipoints(spots), extend_to=FRAME))
    return shapely.intersection(cells, FRAME)


def drawn_zones():
    """Eight zones with the long bent edges that data gives."""
    rows = 1_000
    field = ndimage.gaussian_filter(np.random.default_rng(2).normal(size=(rows, rows)), 25)
    labels = np.digitize(field, np.quantile(field, np.arange(1, 8) / 8)).astype(np.int16)
    grid = Grid(CRS, EAST, NORTH + SIDE_M, 5.0, np.ones((rows, rows), dtype=bool))
    labels = majority_labels(labels, grid.inside, width_cells=5)
    return shapes_of_labels(labels, grid, FRAME, smooth_m=5.0).shapes


@pytest.mark.parametrize(
    ("what", "zones"), [("5,000 small zones", many_zones), ("8 drawn zones", drawn_zones)]
)
def test_a_million_points_find_their_zones_5_times_faster_than_a_spatial_join(what, zones, capsys):
    zones = zones()
    x, y = np.random.default_rng(3).uniform(-20, SIDE_M + 20, (2, 1_000_000)) + CORNER[:, None]
    frame = gpd.GeoDataFrame(geometry=zones, crs=CRS)

    def made_points():
        return gpd.GeoDataFrame(geometry=gpd.points_from_xy(x, y, crs=CRS))

    points_s, points = best_of(3, made_points)
    join_s, joined = best_of(3, lambda: gpd.sjoin(points, frame, how="left"))
    own_s, own = best_of(5, lambda: zone_of_points(x, y, zones))
    theirs = joined.index_right[~joined.index.duplicated()].fillna(-1).to_numpy().astype(int)
    differing = int(np.sum(theirs != own))
    with capsys.disabled():
        print(
            f"\n1 M points in {what} ({shapely.get_num_coordinates(zones).sum():,} corners): "
            f"own {own_s:.3f} s; join {join_s:.3f} s ({join_s / own_s:.1f} x), with making its "
            f"points {join_s + points_s:.3f} s ({(join_s + points_s) / own_s:.1f} x); "
            f"{differing} differ"
        )
    assert differing == 0
    assert join_s / own_s >= 5.0


def test_a_clip_by_the_boundary_is_10_times_faster_than_an_overlay(capsys):
    zones = many_zones()
    angle = np.linspace(0, 2 * np.pi, 2_000, endpoint=False)
    radius = 2_300 * (1 + 0.04 * np.sin(9 * angle) + 0.01 * np.cos(37 * angle))
    middle = CORNER + SIDE_M / 2
    ring = middle + radius[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    boundary = shapely.polygons(ring)
    frames = (
        gpd.GeoDataFrame(geometry=zones, crs=CRS),
        gpd.GeoDataFrame(geometry=[boundary], crs=CRS),
    )
    overlay_s, overlaid = best_of(3, lambda: gpd.overlay(*frames, keep_geom_type=True))
    own_s, own = best_of(7, lambda: clipped(zones, shapely.polygons(ring)))
    missing_m2 = abs(float(shapely.area(own).sum()) - float(overlaid.area.sum()))
    with capsys.disabled():
        print(
            f"\nclip of 5,000 zones: own {own_s * 1e3:.1f} ms, overlay {overlay_s * 1e3:.0f} ms "
            f"({overlay_s / own_s:.1f} x); areas differ by {missing_m2:.1e} m²"
        )
    assert missing_m2 < 1e-6 * len(zones)
    assert overlay_s / own_s >= 10.0


def test_four_million_cells_of_four_layers_are_grouped(capsys):
    side = 2_000
    grid = Grid(CRS, EAST, NORTH + SIDE_M, 2.5, np.ones((side, side), dtype=bool))
    rng = np.random.default_rng(4)
    layers = [
        GridLayer(str(k), "", ndimage.gaussian_filter(rng.normal(size=(side, side)), 15))
        for k in range(4)
    ]
    hard_s, hard = best_of(2, lambda: k_means_groups(layers, grid, groups=5))
    soft_s, _ = best_of(2, lambda: fuzzy_groups(layers, grid, groups=5))
    said = f"\n4 M cells of 4 layers in 5 groups: k-means {hard_s:.2f} s, fuzzy {soft_s:.2f} s"
    from sklearn import cluster

    ends = [np.percentile(layer.values, [1, 99]) for layer in layers]
    points = np.column_stack(
        [np.clip(x.values.ravel(), *e) for x, e in zip(layers, ends, strict=True)]
    )
    points = (points - points.mean(0)) / points.std(0)

    def peer():
        return cluster.KMeans(5, n_init=1, random_state=0).fit(points)

    peer_s, full = best_of(1, peer)
    label = hard.labels.ravel()
    left = 0.0
    for k in range(5):
        mine = points[label == k]
        left += float(((mine - mine.mean(axis=0)) ** 2).sum())
    with capsys.disabled():
        print(
            f"{said}; one full run of a peer on the same points {peer_s:.2f} s "
            f"({peer_s / hard_s:.1f} x); what is left inside groups: {left / full.inertia_:.4f} of "
            "the peer's"
        )
    assert left / full.inertia_ <= 1.005


def test_the_majority_filter_is_25_times_faster_than_a_filter_of_python(capsys):
    labels = np.random.default_rng(5).integers(0, 5, (1_000, 1_000)).astype(np.int16)
    inside = np.ones(labels.shape, dtype=bool)
    own_s, _ = best_of(3, lambda: majority_labels(labels, inside, width_cells=7))

    def most(window):
        return np.bincount(window.astype(int), minlength=5).argmax()

    part = labels[:100, :100]
    peer_s, _ = best_of(1, lambda: ndimage.generic_filter(part, most, size=7))
    ratio = 100.0 * peer_s / own_s
    with capsys.disabled():
        print(f"\nmajority of 1 M cells: own {own_s * 1e3:.0f} ms, generic filter {ratio:.0f} x")
    assert ratio >= 25.0
