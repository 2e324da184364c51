"""`vrxapp make-zones`: a paddock zoned from the terminal."""

import json
import subprocess
import sys
from functools import partial

import numpy as np
import pytest
import shapely

from vrxapp.farm import season_called
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.shipped_files import shipped_folder
from vrxapp.workflows.sample_farm import sample_farm

SHIPPED = shipped_folder("sample_fields")
CONDUCTIVITY = SHIPPED / "layers" / "conductivity.tif"
WHEAT = SHIPPED / "harvests" / "wheat_2024_invented.csv"
CANOLA = SHIPPED / "harvests" / "canola_2025_invented.gpkg"
GROUND = (
    "--boundary",
    SHIPPED / "boundary.geojson",
    "--exclusions",
    SHIPPED / "exclusions.geojson",
)
LAB = ("--lab", SHIPPED / "lab_georeferenced.csv", "--worth", "colwell_p")


@pytest.fixture
def make_zones(in_terminal):
    return partial(in_terminal, "make-zones")


@pytest.fixture
def farm(tmp_path):
    path = tmp_path / "farm.gpkg"
    write_farm(sample_farm(), path)
    return path


def test_one_command_zones_a_paddock_from_scratch(tmp_path):
    out = tmp_path / "new.gpkg"
    words = (
        *GROUND, "--raster", CONDUCTIVITY, "--raster", SHIPPED / "layers" / "vegetation_index.tif",
        "--harvest", WHEAT, "yield_t_ha", "--harvest", CANOLA, "yield_t_ha", *LAB,
        "--yield", 4, "--out", out, "--json",
    )  # fmt: skip
    ended = subprocess.run(
        [sys.executable, "-m", "vrxapp", "make-zones", *map(str, words)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ended.returncode == 0, ended.stderr
    told = json.loads(ended.stdout)
    season = read_farm(out).seasons[0]
    assert len(season.zones.names) == len(told["zones"]) >= 2
    assert shapely.coverage_is_valid(season.zones.shapes)
    assert shapely.area(season.zones.shapes).sum() == pytest.approx(season.paddock.boundary.area)
    # the invented soil follows the ground that the layers show
    assert told["worth"][0]["share"] > 0.3
    assert told["worth"][0]["chance"] <= 0.05
    assert set(told["tried"]) == {"2", "3", "4", "5", "6"}
    assert all(0.5 < zone["sureness"] <= 1.0 for zone in told["zones"])
    # the swath of a new operation is 24 m or more: parts are no smaller than half a hectare
    assert min(part.area for part in shapely.get_parts(season.zones.shapes)) > 4_000.0


def test_the_same_words_give_the_same_zones(make_zones, farm):
    words = ("--farm", farm, "--paddock", "Long Bend", "--linked", "Apparent conductivity",
             "--zones", 3, "--seed", 5)  # fmt: skip
    assert make_zones(*words).returncode == 0
    first = season_called(read_farm(farm), "Long Bend").zones.shapes
    assert make_zones(*words).returncode == 0
    again = season_called(read_farm(farm), "Long Bend").zones.shapes
    assert shapely.equals_exact(first, again, tolerance=0.0).all()


@pytest.mark.parametrize(
    ("words", "count"),
    [
        (("--method", "quantiles", "--linked", "Apparent conductivity", "--zones", 3), 3),
        (("--method", "natural", "--linked", "Apparent conductivity", "--zones", 3), 3),
        (("--method", "breaks", "--linked", "Apparent conductivity", "--breaks", "40"), 2),
        (("--method", "fuzzy", "--linked", "Vegetation index", "--zones", 2), 2),
        (("--method", "squares", "--hectares", 20, "--bearing", 12), None),
        (("--method", "samples", "--lab", SHIPPED / "lab_georeferenced.csv"), 36),
    ],
)
def test_each_way_of_making_zones_fills_the_paddock(make_zones, farm, words, count):
    ended = make_zones("--farm", farm, "--paddock", "Long Bend", *words)
    assert ended.returncode == 0, ended.stderr
    season = season_called(read_farm(farm), "Long Bend")
    assert count is None or len(season.zones.names) == count
    assert shapely.area(season.zones.shapes).sum() == pytest.approx(season.paddock.boundary.area)
    others = [s for s in read_farm(farm).seasons if s.paddock.name != "Long Bend"]
    assert all(len(s.zones.names) > 1 for s in others)


def test_samples_joined_by_hand_to_zones_that_are_no_more_are_told(make_zones, farm, tmp_path):
    assert season_called(read_farm(farm), "Two Mile Sands").row_matches
    ended = make_zones("--farm", farm, "--paddock", "Two Mile Sands", "--method", "squares")
    assert ended.returncode == 0, ended.stderr
    assert "samples were joined by hand to zones that are no more" in ended.stderr
    assert season_called(read_farm(farm), "Two Mile Sands").row_matches == ()


def test_a_locked_zone_stays_and_the_made_ones_take_the_rest(make_zones, in_terminal, farm):
    words = ("--farm", farm, "--season", "Long Bend")
    assert in_terminal("zones", "lock", "Red rise", *words).returncode == 0
    before = season_called(read_farm(farm), "Long Bend").zones
    ended = make_zones(*words, "--method", "squares", "--hectares", 20)
    assert ended.returncode == 0, ended.stderr
    assert "locked and kept as they are: 'Red rise'" in ended.stderr
    season = season_called(read_farm(farm), "Long Bend")
    assert season.zones.names[0] == "Red rise"
    kept = before.shapes[before.names.index("Red rise")]
    assert shapely.symmetric_difference(season.zones.shapes[0], kept).area < 1e-3
    assert shapely.coverage_is_valid(season.zones.shapes)
    assert shapely.area(season.zones.shapes).sum() == pytest.approx(season.paddock.boundary.area)


def raster(path, *, crs="EPSG:4326", values=None, turned=0.0, dtype="float32", **more):
    import rasterio
    from rasterio import Affine

    values = np.zeros((60, 60)) if values is None else values
    lie = Affine(2e-4, turned, 147.197, turned, -2e-4, -35.093)
    with rasterio.open(path, "w", driver="GTiff", height=60, width=60, count=1, dtype=dtype,
                       crs=crs, transform=lie, nodata=-9999, **more) as out:  # fmt: skip
        out.write(values.astype(dtype), 1)
    return path


@pytest.mark.parametrize(
    ("name", "given", "said"),
    [
        ("no crs", {"crs": None}, "coordinate system"),
        ("all missing", {"values": np.full((60, 60), -9999.0)}, "holds no value in the paddock"),
        ("turned", {"turned": 5e-5}, "turned"),
        ("constant", {"values": np.full((60, 60), 7.0)}, "the same value all over the paddock"),
    ],
)
def test_rasters_that_cannot_make_zones_are_refused_and_the_farm_stays(
    make_zones, farm, tmp_path, name, given, said
):
    before = farm.read_bytes()
    path = raster(tmp_path / f"{name}.tif", **given)
    ended = make_zones("--farm", farm, "--paddock", "Long Bend", "--raster", path)
    assert ended.returncode == 1
    assert "Traceback" not in ended.stderr
    assert said in " ".join(ended.stderr.split())
    assert farm.read_bytes() == before


def test_a_scaled_raster_of_16_bits_is_cut_at_its_true_values(make_zones, farm, tmp_path):
    import rasterio

    stored = np.tile(np.where(np.arange(60) < 30, 1000, 3000), (60, 1))  # 10 and 30 after scaling
    path = raster(tmp_path / "scaled.tif", values=stored, dtype="int16")
    with rasterio.open(path, "r+") as written:
        written.scales, written.offsets = (0.01,), (0.0,)
    ended = make_zones(
        "--farm", farm, "--paddock", "Long Bend", "--raster", path,
        "--method", "breaks", "--breaks", "20",
    )  # fmt: skip
    assert ended.returncode == 0, ended.stderr
    assert len(season_called(read_farm(farm), "Long Bend").zones.names) == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "there is no layer to make zones from"),
        (("--linked", "Moon"), "Apparent conductivity, Vegetation index"),
        (("--points", WHEAT, "grain"), "no column is called 'grain'"),
        (("--points", SHIPPED / "zones.geojson", "name"), "it holds no points"),
        (("--method", "samples"), "there are no samples"),
        (("--method", "breaks", "--linked", "Vegetation index", "--breaks", "a"), "cannot read"),
        (("--linked", "Vegetation index", "--zones", 99), "no number of zones"),
        (("--linked", "Vegetation index", "--cell", 0), "must be above 0"),
        (("--linked", "Vegetation index", "--smooth", -1), "must be zero or more"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_sentence(make_zones, farm, words, said):
    before = farm.read_bytes()
    ended = make_zones("--farm", farm, "--paddock", "Long Bend", *words)
    assert ended.returncode == 1
    assert "Traceback" not in ended.stderr
    assert said in " ".join(ended.stderr.split())
    assert farm.read_bytes() == before


def test_a_file_that_exists_is_not_overwritten_untold(make_zones, tmp_path):
    out = tmp_path / "new.gpkg"
    out.write_bytes(b"mine")
    ended = make_zones(*GROUND, "--raster", CONDUCTIVITY, "--yield", 4, "--out", out)
    assert ended.returncode == 1
    assert out.read_bytes() == b"mine"


def test_it_says_in_a_table_how_sure_it_is(make_zones, farm):
    ended = make_zones(
        "--farm", farm, "--paddock", "Long Bend", "--linked", "Apparent conductivity", *LAB
    )
    assert "sureness" in ended.stdout
    assert "Crispness by number of groups: 2:" in ended.stdout
    assert "of the variance of colwell_p in 36 samples" in ended.stdout


def test_one_command_zones_every_paddock_of_a_farm(make_zones, farm):
    words = ("--every-paddock", "--method", "squares", "--hectares", "10", "--json")
    told = json.loads(make_zones("--farm", farm, *words).stdout)
    seasons = read_farm(farm).seasons
    assert [record["paddock"] for record in told] == [s.paddock.name for s in seasons]
    for record, season in zip(told, seasons, strict=True):
        assert len(season.zones.names) == len(record["zones"]) > 5
        area = shapely.area(season.zones.shapes).sum()
        assert area == pytest.approx(season.paddock.boundary.area)
        assert shapely.coverage_is_valid(season.zones.shapes)


def test_of_every_paddock_none_is_changed_where_one_cannot_be_zoned(make_zones, farm):
    before = farm.read_bytes()
    words = ("--every-paddock", "--linked", "Apparent conductivity")
    assert make_zones("--farm", farm, *words).returncode == 1
    assert farm.read_bytes() == before
