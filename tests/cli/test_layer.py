"""`vrxapp layer`: rasters of a paddock in a farm file, from the terminal."""

import json
import subprocess
import sys

import pytest

from vrxapp.files.farm_file import write_farm
from vrxapp.shipped_files import shipped_folder
from vrxapp.workflows.sample_farm import sample_farm

RASTER = shipped_folder("sample_fields") / "layers" / "conductivity.tif"
PADDOCK = ("--paddock", "Long Bend")


@pytest.fixture
def farm(tmp_path):
    path = tmp_path / "farm.gpkg"
    write_farm(sample_farm(), path)
    return path


def layer(*words):
    return subprocess.run(
        [sys.executable, "-m", "vrxapp", "layer", *map(str, words)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip


def listed(farm):
    ended = layer("list", "--farm", farm, *PADDOCK, "--json")
    assert ended.returncode == 0, ended.stderr
    return [(record["layer"], record["state"]) for record in json.loads(ended.stdout)]


def test_layers_are_listed_added_and_removed(farm, tmp_path):
    assert listed(farm) == [
        ("Apparent conductivity", "as linked"),
        ("Vegetation index", "as linked"),
    ]
    mine = tmp_path / "mine.tif"
    mine.write_bytes(RASTER.read_bytes())
    said = layer("add", mine, "--farm", farm, *PADDOCK, "--name", "EM survey")
    assert said.stdout.startswith("Added EM survey to Long Bend.")
    removed = layer("remove", "vegetation INDEX", "--farm", farm, *PADDOCK)
    assert removed.returncode == 0, removed.stderr
    assert [name for name, _ in listed(farm)] == ["Apparent conductivity", "EM survey"]
    mine.write_bytes(b"spoilt")
    assert listed(farm)[1] == ("EM survey", "changed since it was linked")
    mine.unlink()
    assert listed(farm)[1] == ("EM survey", "not there")
    plain = layer("list", "--farm", farm, *PADDOCK).stdout
    assert "mS/m" in plain


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("list",), "Long Bend, Two Mile Sands, Pan Block"),
        (("remove", "Moon", *PADDOCK), "Apparent conductivity, Vegetation index"),
        (("add", RASTER, "--paddock", "Pan Block"), "nothing of the raster lies on the paddock"),
        (("add", "nowhere.tif", *PADDOCK), "nowhere.tif"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_sentence(farm, words, said):
    before = farm.read_bytes()
    ended = layer(*words, "--farm", farm)
    assert ended.returncode == 1
    assert "Traceback" not in ended.stderr
    assert said in ended.stderr
    assert farm.read_bytes() == before
