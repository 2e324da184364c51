"""`vrxapp ground`: exclusions and ground points of a farm file, from the terminal."""

import json

import pytest

from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.ground.zone_repair import do_tile
from vrxapp.workflows.sample_farm import sample_farm

LONG_BEND = ("--paddock", "Long Bend")
GPX = """<gpx version="1.1" creator="phone" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="-35.0952" lon="147.2010"><name>North gate</name><type>Gate</type></wpt>
<wpt lat="-35.0990" lon="147.2050"><name>Line</name><desc>9 m</desc></wpt>
<wpt lat="-25.0" lon="137.0"><name>Far away</name><type>gate</type></wpt>
</gpx>"""


@pytest.fixture(scope="module")
def saved(tmp_path_factory):
    path = tmp_path_factory.mktemp("farm") / "farm.gpkg"
    write_farm(sample_farm(), path)
    return path


@pytest.fixture
def farm(saved, tmp_path):
    path = tmp_path / "farm.gpkg"
    path.write_bytes(saved.read_bytes())
    return path


@pytest.fixture
def ground(in_terminal, farm):
    def run(*words):
        return in_terminal("ground", *words, "--farm", farm, *LONG_BEND)

    return run


def long_bend(farm):
    return read_farm(farm).seasons[0]


def test_hectares_are_told_and_add_up(ground):
    told = json.loads(ground("show", "--json").stdout)
    assert told["excluded_ha"] + told["spreadable_ha"] == pytest.approx(told["paddock_ha"])
    assert told["coordinate_system"].startswith("Map Grid of Australia 2020, zone 55")
    assert "to spread" in ground("show").stdout


def test_an_exclusion_is_added_changed_and_removed(ground, farm):
    add = ("exclusions", "add", "--kind", "watercourse", "--name", "Drain", "--setback", 12)
    ended = ground(*add, "--line", "147.2040,-35.0985;147.2050,-35.0985")
    assert ended.returncode == 0, ended.stderr
    assert "local codes" in ended.stdout
    assert ground("exclusions", "change", "drain", "--setback", 20, "--kind", "dam").returncode == 0
    *_, last = json.loads(ground("exclusions", "list", "--json").stdout)
    assert (last["exclusion"], last["kind"], last["setback_m"]) == ("Drain", "dam", 20.0)
    # a line of 91.2 m with 20 m either side and a half circle at each end
    assert last["takes_ha"] == pytest.approx((91.2 * 40 + 3.1416 * 400) / 1e4, rel=5e-3)
    season = long_bend(farm)
    assert do_tile(season.zones, season.paddock)
    assert "Nothing to change" in ground("exclusions", "change", "Drain", "--setback", 20).stdout
    assert ground("exclusions", "remove", "Drain").returncode == 0
    assert len(long_bend(farm).paddock.exclusions) == 3


def test_exclusions_come_from_a_file_with_the_setback_told_once(ground, farm, tmp_path):
    path = tmp_path / "trees.csv"
    path.write_text("name,longitude,latitude\nBox,147.2045,-35.0985\nFar,147.9,-35.0\n")
    ended = ground("exclusions", "from-file", path, "--kind", "trees", "--setback", 10)
    assert ended.returncode == 0, ended.stderr
    assert "1 of its 2 shapes lie outside this paddock" in ended.stderr
    last = long_bend(farm).paddock.exclusions[-1]
    assert (last.name, last.kind, last.setback_m) == ("Box", "trees", 10.0)


def test_points_of_a_phone_come_in_with_their_kinds(ground, farm, tmp_path):
    path = tmp_path / "points.gpx"
    path.write_text(GPX)
    refused = ground("points", "from-file", path)
    assert refused.returncode == 1
    assert "does not tell what it marks" in refused.stderr
    assert ground("points", "from-file", path, "--kind", "powerline").returncode == 0
    points = long_bend(farm).ground_points
    assert [(p.name, p.kind, p.note) for p in points] == [
        ("North gate", "gate", ""),
        ("Line", "powerline", "9 m"),
    ]
    listed = ground("points", "list")
    assert "overhead powerlines" in listed.stdout


def test_a_point_is_added_moved_changed_and_removed(ground):
    where = ("--at", "147.2010,-35.0952")
    assert ground("points", "add", "--kind", "gate", *where, "--note", "key").returncode == 0
    assert ground("points", "move", "gate", "--at", "147.2020,-35.0951").returncode == 0
    (told,) = json.loads(ground("points", "list", "--json").stdout)
    assert (told["longitude"], told["latitude"]) == pytest.approx((147.2020, -35.0951), abs=1e-7)
    assert (told["point"], told["kind"], told["note"]) == ("Gate", "gate", "key")
    change = ("points", "change", "Gate", "--kind", "ford", "--name", "Crossing")
    assert ground(*change).returncode == 0
    (told,) = json.loads(ground("points", "list", "--json").stdout)
    assert (told["point"], told["kind"], told["note"]) == ("Crossing", "ford", "key")
    assert ground("points", "remove", "Crossing").returncode == 0
    assert json.loads(ground("points", "list", "--json").stdout) == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("exclusions", "add", "--kind", "dam"), "needs one shape"),
        (("exclusions", "add", "--kind", "dam", "--at", "147.2,-35.1"), "without a setback"),
        (("exclusions", "add", "--kind", "dam", "--area", "1,2;3,4"), "3 or more places"),
        (("exclusions", "remove", "Shed"), "no exclusion is called 'Shed'"),
        (("points", "add", "--kind", "gate", "--at", "-35.0,147.0"), "longitude first"),
        (("points", "add", "--kind", "gate", "--at", "17.0,-35.0"), "km from 'Long Bend'"),
        (("points", "move", "Gate", "--at", "147.2,-35.1"), "no ground point is called"),
    ],
)
def test_what_cannot_be_is_said_in_one_sentence_and_the_file_stays(ground, farm, words, said):
    before = farm.read_bytes()
    ended = ground(*words)
    assert ended.returncode == 1
    assert "Traceback" not in ended.stderr
    assert said in " ".join(ended.stderr.split())
    assert farm.read_bytes() == before


TASK = (
    '<ISO11783_TaskData VersionMajor="4"><PFD A="PFD1" C="Long Bend" D="0"><GGP A="GGP1">'
    '<GPN A="GPN1" B="North fence" C="1"><LSG A="5" C="24000">'
    '<PNT A="6" C="-35.0990" D="147.1960"/>'
    '<PNT A="7" C="-35.0990" D="147.2040"/></LSG></GPN></GGP></PFD></ISO11783_TaskData>'
)


def test_guidance_comes_from_task_data_and_leads_the_sampling_lines(
    ground, in_terminal, farm, tmp_path
):
    path = tmp_path / "TASKDATA.XML"
    path.write_text(TASK)
    machine = ("--machine", "Spreader", "--swath", 12, "--wheel-track", 3)
    assert ground("guidance", "from-file", path, *machine).returncode == 0
    (line,) = json.loads(ground("guidance", "list", "--json").stdout)
    # the file's own 24 m go before what was told
    assert (line["machine"], line["swath_m"], line["wheel_track_m"]) == ("Spreader", 24.0, 3.0)
    assert line["kind"] == "straight"
    assert line["bearing_degree"] == pytest.approx(90.0, abs=0.2)
    plan = ("sample-plan", "--farm", farm, *LONG_BEND, "--design", "transects", "--cores", 5)
    along, told, north = (
        sorted(
            s["latitude"] for s in json.loads(in_terminal(*plan, *words, "--json").stdout)["stops"]
        )
        for words in (("--along", "north fence"), ("--bearing", line["bearing_degree"]), ())
    )
    assert along == pytest.approx(told, abs=1e-6)
    assert along != pytest.approx(north, abs=1e-4)
    assert ground("guidance", "remove", "North fence").returncode == 0
    assert json.loads(ground("guidance", "list", "--json").stdout) == []
    assert in_terminal(*plan, "--along", "North fence").returncode == 1


def test_guidance_comes_from_lines_of_any_format_each_with_its_own_machine(ground, tmp_path):
    path = tmp_path / "lines.geojson"
    features = [
        {
            "type": "Feature",
            "geometry": {"type": "LineString", "coordinates": [[147.197, y], [147.204, y]]},
            "properties": fields,
        }
        for y, fields in (
            (-35.098, {"name": "A", "machine": "Boom", "swath_m": 36, "wheel_track_m": 3}),
            (-35.099, {"name": "A"}),
            (-36.5, {"name": "Elsewhere"}),
        )
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    ended = ground("guidance", "from-file", path, "--swath", 18)
    assert "1 of its 3 lines lie far from this paddock" in ended.stderr
    told = json.loads(ground("guidance", "list", "--json").stdout)
    assert [(t["line"], t["machine"], t["swath_m"], t["wheel_track_m"]) for t in told] == [
        ("A", "Boom", 36.0, 3.0),
        ("A 2", "", 18.0, None),
    ]
    assert "36" in ground("guidance", "list").stdout


def test_a_file_without_lines_is_refused(ground, tmp_path):
    path = tmp_path / "points.gpx"
    path.write_text(GPX)
    ended = ground("guidance", "from-file", path)
    assert ended.returncode == 1
    assert "holds no lines" in ended.stderr
