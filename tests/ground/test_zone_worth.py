import numpy as np
import pytest
import shapely

from vrxapp.errors import GroundError
from vrxapp.ground.grid_layers import PointValues
from vrxapp.ground.zone_worth import (
    worth_by_raster,
    worth_by_samples,
    worth_in_words,
    zone_means,
)
from vrxapp.ground.zoning_grid import cell_middles

EAST, NORTH = 682_000.0, 6_124_000.0
CORNER = np.array([EAST, NORTH])
HALVES = np.array(
    [shapely.box(EAST, NORTH, EAST + 150, NORTH + 200),
     shapely.box(EAST + 150, NORTH, EAST + 300, NORTH + 200)], dtype=object
)  # fmt: skip


def samples(values, east):
    return PointValues("colwell_p", "mg/kg", EAST + np.array(east, float),
                       NORTH + 10 + np.arange(len(values), dtype=float),
                       np.array(values, dtype=float))  # fmt: skip


def test_the_share_is_that_of_a_sum_on_paper():
    # means 11 and 19 around 15: between 4 * 16 = 64; inside 1 + 1 + 1 + 1 = 4; 64 / 68
    worth = worth_by_samples(samples([10, 12, 18, 20], [10, 20, 200, 210]), HALVES)
    assert worth.share == pytest.approx(64 / 68)
    # what is left is 4 of 68 in all, on 2 and on 3 degrees of freedom
    assert worth.adjusted_share == pytest.approx(1 - 4 / 68 * 3 / 2)
    assert (worth.samples, worth.zones) == (4, 2)


def test_zones_that_differ_in_a_test_are_worth_having_for_it():
    rng = np.random.default_rng(1)
    east = rng.uniform(0, 300, 40)
    values = np.where(east < 150, 20.0, 40.0) + rng.normal(0, 4, 40)
    worth = worth_by_samples(samples(values, east), HALVES)
    assert worth.share > 0.7
    assert worth.chance == pytest.approx(1 / 1000)
    assert worth_in_words(worth).endswith("worth having for it")


def test_zones_that_only_look_different_are_called_no_evidence():
    rng = np.random.default_rng(2)
    chances = []
    for _ in range(40):
        east = rng.uniform(0, 300, 12)
        worth = worth_by_samples(samples(rng.normal(30, 8, 12), east), HALVES)
        chances.append(worth.chance)
    # where zones tell nothing, few are called evidence: about one in twenty
    assert np.mean(np.array(chances) <= 0.05) < 0.2
    unlikely = worth_by_samples(
        samples([30, 41, 28, 35, 36, 29], [10, 20, 30, 200, 210, 220]), HALVES
    )
    assert "no evidence" in worth_in_words(unlikely)


def test_shuffling_has_a_seed():
    rng = np.random.default_rng(3)
    given = samples(rng.normal(30, 8, 15), rng.uniform(0, 300, 15))
    assert worth_by_samples(given, HALVES, seed=4) == worth_by_samples(given, HALVES, seed=4)


@pytest.mark.parametrize(
    ("values", "east", "said"),
    [
        ([10, 12], [10, 200], "2 values in 2 zones"),
        ([10, 12, 14], [10, 20, 30], "3 values in 1 zones"),
        ([10, 10, 10], [10, 20, 200], "the same everywhere"),
        ([10, np.nan, 12, 14], [10, 20, 200, 5000], "2 values in 2 zones"),
    ],
)
def test_samples_that_cannot_judge_zones_are_refused(values, east, said):
    with pytest.raises(GroundError, match=said):
        worth_by_samples(samples(values, east), HALVES)


def test_a_raster_says_what_zones_explain_and_claims_no_chance(flat_grid, layer_of):
    x, _ = np.meshgrid(*cell_middles(flat_grid))
    worth = worth_by_raster(layer_of(np.where(x < EAST + 150, 1.0, 2.0)), flat_grid, HALVES)
    assert worth.share == pytest.approx(1.0)
    assert np.isnan(worth.chance)
    assert "over 2,400 cells" in worth_in_words(worth)


def test_edge_cells_count_by_the_share_of_them_in_a_zone(flat_grid, layer_of):
    # the edge cuts column 1 (value 1) at 2 m of its 5 m: zone 0 has 5 m of 0 and 2 m of 1
    x, _ = np.meshgrid(np.arange(60.0), np.arange(40.0))
    cut = EAST + 7.0
    zones = np.array(
        [
            shapely.box(EAST, NORTH, cut, NORTH + 200),
            shapely.box(cut, NORTH, EAST + 10, NORTH + 200),
        ],
        dtype=object,
    )
    means = zone_means(layer_of(x), flat_grid, zones)
    assert means == pytest.approx([2 / 7, 1.0])


def test_cells_without_a_value_are_left_out_of_a_mean(flat_grid, layer_of):
    values = np.ones(flat_grid.shape)
    values[:, :10], values[:, 40:] = 5.0, np.nan
    assert zone_means(layer_of(values), flat_grid, HALVES) == pytest.approx([7 / 3, 1.0])
    far = np.array([shapely.box(0, 0, 1, 1), HALVES[0]], dtype=object)
    assert np.isnan(zone_means(layer_of(values), flat_grid, far)[0])


def test_means_equal_those_of_an_exact_implementation(flat_grid, layer_of, tmp_path):
    import exactextract as exact
    import geopandas as gpd
    import rasterio
    from rasterio import Affine

    values = np.random.default_rng(5).uniform(0, 1, flat_grid.shape)
    values[3:9, 11:17] = np.nan
    spots = np.random.default_rng(6).uniform((0, 0), (300, 200), (25, 2)) + CORNER
    frame = shapely.union_all(HALVES)
    cells = shapely.get_parts(shapely.voronoi_polygons(shapely.multipoints(spots), extend_to=frame))
    zones = shapely.intersection(cells, frame)
    path = tmp_path / "values.tif"
    lie = Affine(5.0, 0.0, flat_grid.west_m, 0.0, -5.0, flat_grid.north_m)
    with rasterio.open(path, "w", driver="GTiff", height=40, width=60, count=1, dtype="float64",
                       crs="EPSG:7855", transform=lie, nodata=np.nan) as out:  # fmt: skip
        out.write(values, 1)
    table = exact.exact_extract(
        str(path), gpd.GeoDataFrame(geometry=zones, crs="EPSG:7855"), ["mean"], output="pandas"
    )
    assert zone_means(layer_of(values), flat_grid, zones) == pytest.approx(table["mean"], abs=1e-6)
