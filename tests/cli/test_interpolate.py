"""`vrxapp interpolate`: a soil test mapped from the terminal."""

import json
from functools import partial

import numpy as np
import pytest
import rasterio

from vrxapp.farm import season_called
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.shipped_files import shipped_folder
from vrxapp.workflows.sample_farm import sample_farm

SHIPPED = shipped_folder("sample_fields")
SANDS = ("--paddock", "Two Mile Sands", "--lab", SHIPPED / "two_mile_sands/lab_grid_samples.csv")
LONG_BEND = ("--paddock", "Long Bend", "--lab", SHIPPED / "lab_georeferenced.csv")
P = ("--test", "colwell_p")


@pytest.fixture
def farm(tmp_path):
    path = tmp_path / "farm.gpkg"
    write_farm(sample_farm(), path)
    return path


@pytest.fixture
def interpolate(in_terminal, farm):
    return partial(in_terminal, "interpolate", "--farm", farm)


@pytest.fixture
def sheet(tmp_path):
    """Makes a sheet of Colwell P for Long Bend from spots and results."""

    def made(spots, results):
        path = tmp_path / "own.csv"
        rows = [
            f"S{n},{lon:.7f},{lat:.7f},0-10,{value}"
            for n, ((lon, lat), value) in enumerate(zip(spots, results, strict=True))
        ]
        head = "Sample,Longitude,Latitude,Depth (cm),Colwell P (mg/kg)"
        path.write_text("\n".join([head, *rows]), "utf-8")
        return "--paddock", "Long Bend", "--lab", path

    return made


def spots(count, *, seed=2):
    rng = np.random.default_rng(seed)
    return [(147.2 + 0.003 * x, -35.1 + 0.002 * y) for x, y in rng.uniform(-1, 1, (count, 2))]


def test_the_ways_are_compared_and_the_advised_one_is_told_with_its_reason(interpolate):
    ended = interpolate(*SANDS, *P)
    assert ended.returncode == 0, ended.stderr
    lines = ended.stdout.splitlines()
    assert "Colwell P 0-10 cm: 63 samples left out in turn" in lines[0]
    advised = next(line for line in lines if line.rstrip().endswith("advised"))
    assert advised.split()[0] == "kriging"
    assert "Advised: kriging (least off at samples left out" in ended.stdout
    assert "practical range" in ended.stdout
    assert "times its standard error" in ended.stdout
    assert "skewed" in ended.stderr


def test_zones_are_told_out_of_the_kriged_map(interpolate):
    ended = interpolate(*SANDS, *P, "--plain", "--critical", 20, "--cell", 50)
    (line,) = [line for line in ended.stdout.splitlines() if line.strip().startswith("Scrub hill")]
    name_mean_error_chance_samples = line.split()
    assert name_mean_error_chance_samples[-1] == "15"
    assert float(name_mean_error_chance_samples[-3]) < 3.0


def test_a_map_is_written_linked_and_serves_to_make_zones(interpolate, in_terminal, farm):
    ended = interpolate(*SANDS, *P, "--critical", 20, "--add-layer", "P map", "--cell", 20)
    assert ended.returncode == 0, ended.stderr
    (path,) = farm.parent.glob("*.tif")
    assert path.name == "two_mile_sands_colwell_p_0_10_cm_kriging.tif"
    season = season_called(read_farm(farm), "Two Mile Sands")
    assert [(known.name, known.unit, known.band) for known in season.layers] == [
        ("P map", "mg/kg", 1),
        ("P map, standard error", "mg/kg", 2),
        ("P map, chance below 20 mg/kg", "%", 3),
    ]
    zoned = in_terminal(
        "make-zones", "--farm", farm, "--paddock", "Two Mile Sands", "--linked", "P map",
        "--method", "breaks", "--breaks", "15,30", "--cell", 20,
    )  # fmt: skip
    assert zoned.returncode == 0, zoned.stderr
    assert len(season_called(read_farm(farm), "Two Mile Sands").zones.names) >= 2
    again = interpolate(*SANDS, *P, "--add-layer", "p map")
    assert again.returncode == 1
    assert "is called 'p map' already" in again.stderr
    assert list(farm.parent.glob("*.tif")) == [path]


def test_a_file_is_not_replaced_unless_told(interpolate, tmp_path):
    out = tmp_path / "p.tif"
    out.write_bytes(b"mine")
    ended = interpolate(*SANDS, *P, "--out", out)
    assert (ended.returncode, out.read_bytes()) == (1, b"mine")
    assert "it exists already. Choose another name, or give --replace" in ended.stderr
    told = interpolate(*SANDS, *P, "--out", out, "--replace", "--cell", 25)
    assert told.returncode == 0, told.stderr
    assert f"Written and read back: {out}" in told.stdout
    with rasterio.open(out) as read:
        assert (read.count, read.res) == (2, (25.0, 25.0))


def test_json_tells_everything_with_units(interpolate, tmp_path):
    ended = interpolate(*SANDS, *P, "--plain", "--critical", 20, "--cell", 50, "--json")
    told = json.loads(ended.stdout)
    assert (told["test"], told["unit"], told["depth_cm"]) == ("colwell_p", "mg/kg", "0-10")
    assert (told["advised"], told["way"], told["scale"]) == ("kriging", "kriging", "values")
    assert [row["way"] for row in told["compared"]] == [
        "one mean for the paddock", "zone means", "inverse distance", "kriging",
    ]  # fmt: skip
    assert told["variogram"]["practical_range_m"] > 100.0
    assert told["variogram"]["direction_degree"] is None
    assert (told["file"], told["layers"]) == (None, [])
    assert any("more likely than not below 20 mg/kg" in line for line in told["map"])
    assert [zone["zone"] for zone in told["zones"]] == ["Scrub hill", "Long sand", "Bottom flat"]
    assert all(0.0 < zone["chance_percent"] < 100.0 for zone in told["zones"])


def test_expert_settings_are_taken(interpolate):
    ended = interpolate(
        *SANDS, *P, "--way", "inverse-distance", "--model", "spherical", "--log",
        "--direction", 40, "--ratio", 0.5, "--json",
    )  # fmt: skip
    told = json.loads(ended.stdout)
    assert (told["way"], told["scale"]) == ("inverse distance", "natural logarithms")
    assert told["variogram"]["model"] == "spherical"
    assert (told["variogram"]["direction_degree"], told["variogram"]["ratio"]) == (40.0, 0.5)


def test_a_direction_alone_says_nothing(interpolate):
    ended = interpolate(*SANDS, *P, "--direction", 40)
    assert ended.returncode == 1
    assert "Give both --direction and --ratio, or neither" in ended.stderr


def test_where_zones_hold_all_there_is_zone_means_are_advised(interpolate):
    ended = interpolate(*LONG_BEND, *P, "--json")
    told = json.loads(ended.stdout)
    assert told["advised"] == "zone means"
    assert any("1 of 42 results is below detection" in note for note in told["notes"])
    assert any("10-20 cm too" in note for note in told["notes"])


def test_few_samples_get_zone_means_and_kriging_is_declined(interpolate, sheet):
    own = sheet(spots(20), range(10, 30))
    told = json.loads(interpolate(*own, *P, "--json").stdout)
    assert told["way"] == "zone means"
    assert told["variogram"] is None
    assert any("kriging declined: 20 samples" in note for note in told["notes"])
    refused = interpolate(*own, *P, "--way", "kriging")
    assert refused.returncode == 1
    assert "kriging declined: 20 samples" in refused.stderr


@pytest.mark.parametrize(
    ("places", "results", "told"),
    [
        ([(147.2, -35.1)] * 35, range(35), "all samples lie in one spot"),
        ([(147.198 + 0.0001 * n, -35.1) for n in range(35)], range(35), "in one line"),
        (spots(35), [12] * 35, "all samples have the same Colwell P"),
        (spots(2), [10, 12], "at least 3 samples"),
        (spots(35), ["n/a"] * 35, "no sample with a position has a result"),
        (spots(35), ["<5"] * 35, "all samples have the same Colwell P"),
    ],
    ids=["one spot", "one line", "alike", "two", "no results", "all below detection"],
)
def test_samples_that_bear_no_map_are_refused_in_a_sentence(
    interpolate, sheet, places, results, told
):
    ended = interpolate(*sheet(places, results), *P)
    assert ended.returncode == 1
    assert ended.stdout == ""
    assert told in ended.stderr
    assert "Traceback" not in ended.stderr


def test_a_sheet_without_positions_is_refused_with_the_mend(interpolate):
    ended = interpolate("--paddock", "Long Bend", *P)
    assert ended.returncode == 1
    assert "no sample with a position has a result of colwell_p" in ended.stderr
    assert "a longitude and a latitude for each sample" in ended.stderr


def test_an_unknown_test_layer_or_way_is_refused_with_the_choices(interpolate):
    assert "Choose one of: colwell_p, colwell_k" in interpolate(*SANDS, "--test", "zn").stderr
    assert "Choose one of: 0-10" in interpolate(*SANDS, *P, "--depth", "0-30").stderr
    assert interpolate(*SANDS, *P, "--way", "magic").returncode == 2


def test_help_shows_an_example(in_terminal):
    ended = in_terminal("interpolate", "--help")
    assert "Example:" in ended.stdout
    assert "[m]" in ended.stdout
