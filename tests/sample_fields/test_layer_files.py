"""Conductivity, vegetation index and two harvests of Long Bend, as they could have been."""

import csv
import json
from datetime import datetime
from itertools import pairwise

import numpy as np
import pyogrio.raw
import pyproj
import pytest
import rasterio
import shapely
from shapely.geometry import shape

from vrxapp.files.geotiff import describe_raster, open_raster

RASTERS = {
    "conductivity": ("apparent conductivity", "mS/m"),
    "vegetation_index": ("vegetation index", ""),
}
TO_METRES = pyproj.Transformer.from_crs("EPSG:4326", "EPSG:7855", always_xy=True)


def in_metres(geometry):
    return shapely.transform(
        geometry, lambda xy: np.column_stack(TO_METRES.transform(xy[:, 0], xy[:, 1]))
    )


def shapes(remade, name):
    features = json.loads((remade / f"{name}.geojson").read_text("utf-8"))["features"]
    return [(in_metres(shape(f["geometry"])), f["properties"]) for f in features]


@pytest.fixture(scope="module")
def long_bend(remade):
    ((boundary, _),) = shapes(remade, "boundary")
    return boundary


@pytest.fixture(scope="module")
def wheat(remade):
    lines = (remade / "harvests" / "wheat_2024_invented.csv").read_text("utf-8").splitlines()
    rows = list(csv.DictReader(lines))
    return {name: np.array([row[name] for row in rows]) for name in rows[0]}


@pytest.fixture(scope="module")
def canola(remade):
    path = remade / "harvests" / "canola_2025_invented.gpkg"
    meta, _, points, columns = pyogrio.raw.read(path)
    spots = shapely.get_coordinates(shapely.from_wkb(points))
    named = dict(zip(meta["fields"], columns, strict=True))
    return {"longitude": spots[:, 0], "latitude": spots[:, 1], **named}


@pytest.fixture(params=["wheat", "canola"])
def harvest(request):
    return request.getfixturevalue(request.param)


def spots_m(harvest):
    lon_lat = [harvest[name].astype(float) for name in ("longitude", "latitude")]
    return np.column_stack(TO_METRES.transform(*lon_lat))


def yields(harvest):
    return harvest["yield_t_ha"].astype(float)


@pytest.mark.parametrize("name", RASTERS)
def test_a_layer_is_a_small_geotiff_in_the_metric_system(remade, name):
    path = remade / "layers" / f"{name}.tif"
    with rasterio.open(path, driver="GTiff") as dataset:
        assert (dataset.count, dataset.dtypes, dataset.nodata) == (1, ("float32",), -9999.0)
        assert (dataset.crs.to_epsg(), dataset.res) == (7855, (10.0, 10.0))
        assert dataset.compression.name == "deflate"
        assert (dataset.descriptions[0], dataset.units[0] or "") == RASTERS[name]
        assert dataset.tags()["AREA_OR_POINT"] == "Area"
        assert dataset.tags()["TIFFTAG_IMAGEDESCRIPTION"].startswith("Invented")
        assert dataset.transform.c % 10 == dataset.transform.f % 10 == 0
    assert path.stat().st_size < 60_000


@pytest.mark.parametrize("name", RASTERS)
def test_a_layer_covers_the_paddock_and_not_the_homestead(remade, long_bend, name):
    source = open_raster(remade / "layers" / f"{name}.tif")
    part = source.window(source.bounds, 100_000)
    a, _, c, _, e, f = part.transform
    rows, columns = part.values.shape
    east, north = np.meshgrid(c + a * (np.arange(columns) + 0.5), f + e * (np.arange(rows) + 0.5))
    inside = shapely.contains_xy(long_bend, east, north)
    far = ~shapely.contains_xy(long_bend.buffer(30.0), east, north)
    assert np.all(np.isfinite(part.values[inside]))
    assert far.sum() > 500
    assert np.all(np.isnan(part.values[far]))
    homestead = shapely.Polygon(long_bend.interiors[0])
    assert np.isnan(source.values_at(homestead.centroid.x, homestead.centroid.y))
    assert describe_raster(remade / "layers" / f"{name}.tif").notes == ()


def zone_means(remade, name):
    source = open_raster(remade / "layers" / f"{name}.tif")
    means = {}
    for zone, fields in shapes(remade, "zones"):
        spots = shapely.get_coordinates(zone.buffer(-40.0).segmentize(5.0))
        means[fields["zone"]] = float(np.nanmean(source.values_at(*spots.T)))
    return means


def test_clay_conducts_and_sand_does_not(remade):
    means = zone_means(remade, "conductivity")
    assert max(means, key=means.get) == "Creek flat"
    assert min(means, key=means.get) == "Sandy top"
    assert means["Creek flat"] > 3 * means["Sandy top"]
    assert all(5.0 < mean < 150.0 for mean in means.values())


def test_plants_grow_best_on_the_flat_and_worst_on_the_sand(remade):
    means = zone_means(remade, "vegetation_index")
    assert max(means, key=means.get) == "Creek flat"
    assert min(means, key=means.get) == "Sandy top"
    assert all(0.3 < mean < 0.95 for mean in means.values())
    told = describe_raster(remade / "layers" / "vegetation_index.tif").bands[0]
    assert 0.0 <= told.lowest < told.highest <= 1.0


def test_both_harvests_together_stay_below_30000_points(wheat, canola):
    assert 20_000 < len(yields(wheat)) + len(yields(canola)) <= 30_000


def test_a_harvest_covers_the_paddock(harvest, long_bend):
    points = shapely.points(spots_m(harvest))
    cut = shapely.union_all(shapely.buffer(points[::2], 9.0, quad_segs=2)).intersection(long_bend)
    assert cut.area > 0.9 * long_bend.area
    assert 0.9985 < np.mean(shapely.dwithin(long_bend, points, 1.0)) < 1.0


def test_a_harvest_is_driven_in_passes_at_a_likely_speed(harvest):
    step_m = np.hypot(*np.diff(spots_m(harvest), axis=0).T)
    same_pass = np.diff(harvest["pass"].astype(int)) == 0
    assert np.median(step_m[same_pass]) == pytest.approx(
        3 * np.median(harvest["speed_m_s"].astype(float)), rel=0.1
    )
    assert 80 < len(np.unique(harvest["pass"])) < 200
    assert np.all(harvest["width_m"].astype(float) == 12.0)


def test_neighbouring_passes_run_in_opposite_directions(harvest):
    number = harvest["pass"].astype(int)
    run = [np.diff(spots_m(harvest)[number == n][[0, -1], 0])[0] for n in np.unique(number)]
    long = [east for east in run if abs(east) > 700.0]
    assert len(long) > 20
    assert sum(a * b < 0 for a, b in pairwise(long)) > 0.8 * (len(long) - 1)


def test_points_are_logged_one_after_another_in_the_harvest(wheat, canola):
    for harvest, year in ((wheat, 2024), (canola, 2025)):
        text = [
            str(stamp).removesuffix("Z").removesuffix("+00:00") for stamp in harvest["time_utc"]
        ]
        times = [datetime.fromisoformat(stamp.split(".")[0]) for stamp in text]
        seconds = np.array([(later - times[0]).total_seconds() for later in times])
        assert (times[0].year, times[0].month >= 11) == (year, True)
        assert np.diff(seconds).min() == 3.0
        assert seconds[-1] < 16 * 3600


def test_a_harvest_has_likely_yields_and_a_few_points_that_are_plainly_wrong(wheat, canola):
    for harvest, low, high in ((wheat, 3.0, 5.5), (canola, 1.4, 2.8)):
        t_ha = yields(harvest)
        assert low < np.median(t_ha) < high
        wrong = (t_ha == 0.0) | (t_ha > 2.0 * np.median(t_ha))
        assert 0.003 < wrong.mean() < 0.03
        assert t_ha.max() > 3.0 * np.median(t_ha)


def test_a_machine_fills_at_the_start_of_each_pass(harvest):
    number, t_ha = harvest["pass"].astype(int), yields(harvest)
    first = np.flatnonzero(np.diff(number, prepend=0))
    later = np.minimum(first + 8, len(t_ha) - 1)
    assert np.median(t_ha[first]) < 0.4 * np.median(t_ha[later])


def test_the_two_years_agree_on_the_better_ground(remade, wheat, canola):
    means = []
    for harvest in (wheat, canola):
        points = shapely.points(spots_m(harvest))
        zones = [zone.buffer(-30.0) for zone, _ in shapes(remade, "zones")]
        means.append([np.median(yields(harvest)[shapely.contains(z, points)]) for z in zones])
    assert np.argmin(means[0]) == np.argmin(means[1]) == 3  # the sand
    assert np.corrcoef(means)[0, 1] > 0.8
