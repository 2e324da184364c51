"""`vrxapp sample-plan`: soil samples planned from the terminal."""

import json

import pytest

from vrxapp.files.farm_file import write_farm
from vrxapp.workflows.sample_farm import sample_farm

GATE = ("--point", "gate", 147.2030, -35.0962, "North gate")


@pytest.fixture(scope="module")
def farm(tmp_path_factory):
    path = tmp_path_factory.mktemp("farm") / "farm.gpkg"
    write_farm(sample_farm(), path)
    return path


@pytest.fixture
def plan(in_terminal, farm):
    def run(*words, paddock="Long Bend"):
        return in_terminal("sample-plan", "--farm", farm, "--paddock", paddock, *words)

    return run


def test_a_plan_goes_to_phone_bags_and_map_at_once(plan, tmp_path):
    names = [tmp_path / f"plan{suffix}" for suffix in (".gpx", ".csv", ".geojson")]
    out = [word for name in names for word in ("--out", name)]
    ended = plan(*GATE, "--point", "powerline", 147.204, -35.1, "Line", *out)
    assert ended.returncode == 0, ended.stderr
    assert all(name.stat().st_size > 500 for name in names)
    assert ended.stdout.count("Written and read back") == 3
    assert "overhead powerlines" in ended.stdout
    before = names[0].read_bytes()
    assert plan("--out", names[0]).returncode == 1
    assert names[0].read_bytes() == before
    assert plan(*GATE, "--out", names[0], "--replace").returncode == 0


def test_cores_follow_from_spread_and_error_and_reach_the_number_in_each_bag(plan):
    told = json.loads(plan("--cv", 30, "--error", 15, "--stops", 5, "--json").stdout)
    # SAMP-03: 18 cores; over five stops that is four each
    assert {stop["cores"] for stop in told["stops"]} == {4}
    assert len(told["stops"]) == 20
    assert len({stop["sample"] for stop in told["stops"]}) == 4


def test_the_usual_number_of_cores_is_within_what_is_published(plan):
    told = json.loads(plan("--stops", 1, "--json").stdout)
    assert {stop["cores"] for stop in told["stops"]} == {27}


@pytest.mark.parametrize(
    ("words", "count"),
    [
        (("--design", "spread", "--stops", 12), 12),
        (("--design", "transects", "--stops", 6, "--lines", 2, "--bearing", 45), 12),
        (("--each-its-bag", "--stops", 3), 12),
    ],
)
def test_other_designs_give_each_stop_a_bag_of_its_own(plan, words, count):
    told = json.loads(plan(*words, "--cores", 8, "--json").stdout)
    assert len({stop["sample"] for stop in told["stops"]}) == count == len(told["stops"])


def test_the_same_seed_plans_the_same(plan):
    one, again, other = (
        plan("--seed", seed, "--design", "spread", "--json").stdout for seed in (4, 4, 5)
    )
    assert one == again != other


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--edge", 2000), "an edge of 2000 m is none"),
        (("--edge", 900), "no ground of 'Long Bend' is left to sample"),
        (("--stops", 0), "cannot be planned"),
        (("--cores", 0), "make no sample"),
        (("--error", 0), "the error must be above zero"),
        (("--out", "plan.pdf"), "not written as '.pdf'"),
        (("--point", "gate", -35.09, 147.2, "Swapped"), "Longitude comes first"),
    ],
)
def test_what_cannot_be_planned_is_said_in_one_sentence(plan, words, said):
    ended = plan(*words)
    assert ended.returncode == 1
    assert "Traceback" not in ended.stderr
    assert said in " ".join(ended.stderr.split())
