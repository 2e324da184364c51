"""`vrxapp dressing` on a farm file."""

import json

import pytest

from vrxapp.farm import Farm
from vrxapp.files.farm_file import read_farm, write_farm


@pytest.fixture
def farm(season, tmp_path):
    path = tmp_path / "farm.gpkg"
    write_farm(Farm("Farm", (season,), (), ()), path)
    return path


def test_a_dressing_is_added_listed_counted_and_removed(verb, farm):
    code, out, err = verb(
        "dressing", "add", "Yard", "--farm", farm, "--typical", "feedlot_aged", "--wet-rate", "2"
    )  # fmt: skip
    assert code == 0, err
    assert "botulism" in out
    (noted,) = read_farm(farm).seasons[0].dressings
    assert (noted.analysis.name, noted.wet_t_ha) == ("Yard", 2.0)
    _, out, _ = verb("dressing", "list", "--farm", farm, "--json")
    assert json.loads(out)[0]["p_percent"] == 0.7
    _, out, _ = verb("why", "West", "--farm", farm)
    assert "Yard, 2 t/ha as spread this year, carries 14 kg P/ha" in out
    verb("dressing", "remove", "Yard", "--farm", farm)
    _, out, _ = verb("dressing", "list", "--farm", farm)
    assert out.strip() == "No compost, manure or litter is noted."


def test_a_dressing_without_a_rate_is_refused_and_the_file_left(verb, farm):
    before = farm.read_bytes()
    code, _, err = verb("dressing", "add", "Yard", "--farm", farm, "--typical", "feedlot_aged")
    assert code == 1
    assert "no rate" in err
    assert farm.read_bytes() == before
