"""`vrxapp new-farm`: a farm file from a boundary alone."""

from vrxapp.files.farm_file import read_farm
from vrxapp.shipped_files import shipped_folder

SAMPLE = shipped_folder("sample_fields")


def test_a_boundary_alone_makes_a_farm_of_one_zone(in_terminal, tmp_path):
    out = tmp_path / "farm.gpkg"
    words = ("new-farm", "--boundary", SAMPLE / "boundary.geojson", "--yield", 4, "--out", out)
    ended = in_terminal(*words)
    assert ended.returncode == 0, ended.stderr
    assert "1 zone, no soil test yet" in ended.stdout
    (season,) = read_farm(out).seasons
    assert len(season.zones.ids) == 1
    assert season.tests is None
    before = out.read_bytes()
    refused = in_terminal(*words)
    assert refused.returncode == 1
    assert "--replace" in refused.stderr
    assert out.read_bytes() == before
    assert in_terminal(*words, "--replace", "--zones", SAMPLE / "zones.geojson").returncode == 0
    assert len(read_farm(out).seasons[0].zones.ids) == 4


def test_without_a_boundary_it_says_what_to_give(in_terminal, tmp_path):
    ended = in_terminal("new-farm", "--yield", 4, "--out", tmp_path / "farm.gpkg")
    assert ended.returncode == 1
    assert "--boundary FILE" in ended.stderr
