"""A target yield from water, from the verb to the trail of a rate."""

import pytest
from click.testing import CliRunner

from vrxapp.cli.main import vrxapp
from vrxapp.errors import MissingInputError, SoilInputError, UnknownChoiceError
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.workflows.sample_farm import sample_farm

WATER = (
    "--rain", 300, "--summer-rain", 90, "--target-share", 75,
    "--benchmark", "wheat-south-australia",
)  # fmt: skip


def run(*arguments):
    ended = CliRunner().invoke(vrxapp, [str(a) for a in arguments])
    if ended.exception is not None and not isinstance(ended.exception, SystemExit):
        raise ended.exception
    return ended


@pytest.fixture
def farm(tmp_path):
    path = tmp_path / "farm.gpkg"
    write_farm(sample_farm(), path)
    return path


@pytest.fixture
def paddock():
    season = next(s for s in sample_farm().seasons if s.crop.crop == "wheat")
    return ("--season", season.paddock.name)


def test_the_target_comes_from_the_water_and_stays_in_the_farm_file(farm, paddock):
    # french-schultz-1984: (300 + 90 ÷ 3 − 110) × 20 = 4.4 t/ha; 75 % of it is 3.3
    said = run("plan", "crop", "wheat", "--farm", farm, *paddock, *WATER, "--price", 330).stdout
    assert "3.3 t/ha from water" in said
    season = next(s for s in read_farm(farm).seasons if s.paddock.name == paddock[1])
    assert season.crop.target_yield_t_ha == 3.3
    assert season.crop.water.summer_rain_mm == 90.0
    assert season.crop.price_t == 330.0
    zone = season.zones.names[0]
    told = run("why", zone, "--farm", farm, "--paddock", paddock[1]).stdout.replace("\n", " ")
    assert "(300 mm of rain + 90 mm of summer rain ÷ 3 stored − 110 mm that evaporate)" in told
    assert "= 4.4 t/ha" in told
    assert "overestimates" in told
    assert "The target is 75 % of it: 3.3 t/ha" in told


def test_a_told_yield_takes_the_place_of_the_water(farm, paddock):
    run("plan", "crop", "wheat", "--farm", farm, *paddock, *WATER)
    run("plan", "crop", "wheat", "--farm", farm, *paddock, "--yield", 4)
    season = next(s for s in read_farm(farm).seasons if s.paddock.name == paddock[1])
    assert season.crop.water is None
    assert season.crop.target_yield_t_ha == 4.0


@pytest.mark.parametrize(
    ("given", "error", "said"),
    [
        ((*WATER, "--yield", 4), MissingInputError, "told twice"),
        (WATER[:-2], MissingInputError, "benchmark; there is no default"),
        (("--benchmark", "wheat-south-australia", *WATER[:2]), MissingInputError, "needs the"),
        ((*WATER, "--stored-water", 30), MissingInputError, "the stored water, or the summer"),
        ((*WATER[:-1], "barley"), UnknownChoiceError, "not made for wheat"),
        ((*WATER[:5], 120, *WATER[6:]), SoilInputError, "share"),
    ],
)
def test_what_is_not_whole_is_refused(farm, paddock, given, error, said):
    with pytest.raises(error, match=said):
        run("plan", "crop", "wheat", "--farm", farm, *paddock, *given)
