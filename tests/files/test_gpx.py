"""GPX for a phone, written, read back, and read by another reader."""

import json
import os
import subprocess
import sys

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from vrxapp.errors import InputFileError, ReadBackError, UnknownChoiceError
from vrxapp.files import gpx
from vrxapp.files.formats import read_features
from vrxapp.files.gpx import Waypoints, gpx_layers, read_gpx, write_gpx

OTHER_READER = """
import json, sys, pyogrio
told = {}
for layer in ("waypoints", "routes"):
    _, _, shapes, fields = pyogrio.raw.read(sys.argv[1], layer=layer, columns=["name", "desc"])
    import shapely
    told[layer] = [list(f) for f in fields], [shapely.get_coordinates(shapely.from_wkb(s)).tolist()
                                              for s in shapes]
print(json.dumps(told))
"""


def waypoints(count=4, on_route=3):
    return Waypoints(
        names=tuple(f"{k + 1:02d} Zone <{k}> & 'Nord\u00e9'" for k in range(count)),
        kinds=("soil sample",) * count,
        notes=tuple(f"{k} cores" for k in range(count)),
        longitude_degree=147.2 + 0.001234567 * np.arange(count),
        latitude_degree=-35.1 - 0.000987654 * np.arange(count),
        on_route=np.arange(count) < on_route,
    )


def test_what_is_written_is_what_another_reader_finds(tmp_path):
    path, points = tmp_path / "pegs.gpx", waypoints()
    write_gpx(points, path, title="Pegs")
    # with all the drivers that this program leaves out
    bare = {name: value for name, value in os.environ.items() if name != "OGR_SKIP"}
    ended = subprocess.run(
        [sys.executable, "-c", OTHER_READER, str(path)],
        capture_output=True, text=True, check=True, env=bare,
    )  # fmt: skip
    told = json.loads(ended.stdout)
    (names, notes), places = told["waypoints"]
    assert tuple(names) == points.names
    assert tuple(notes) == points.notes
    wanted = np.column_stack([points.longitude_degree, points.latitude_degree])
    assert np.array(places)[:, 0] == pytest.approx(wanted, abs=1e-8)
    assert np.array(told["routes"][1][0]) == pytest.approx(wanted[:3], abs=1e-8)


@settings(max_examples=40, deadline=None)
@given(
    places=st.lists(
        st.tuples(st.floats(-180, 180), st.floats(-90, 90), st.text(max_size=12)),
        min_size=1,
        max_size=12,
    )
)
def test_any_names_and_places_come_back(tmp_path_factory, places):
    count = len(places)
    lon, lat = (np.array([p[k] for p in places]) for k in range(2))
    names = tuple(p[2] for p in places)
    path = tmp_path_factory.mktemp("gpx") / "any.gpx"
    write_gpx(
        Waypoints(names, ("peg",) * count, ("",) * count, lon, lat, np.ones(count, dtype=bool)),
        path,
        title="Any",
    )
    read = read_gpx(path, layer="waypoints")
    found = shapely.get_coordinates(read.shapes)
    assert found == pytest.approx(np.column_stack([lon, lat]), abs=1e-8)


def test_routes_and_tracks_come_as_lines(tmp_path):
    path = tmp_path / "drive.gpx"
    segment = "".join(f'<trkpt lat="{-35 + k / 100}" lon="147"/>' for k in range(3))
    path.write_text(
        '<gpx xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="-35" lon="147"><name>Gate</name>'
        f"</wpt><trk><name>Round</name><trkseg>{segment}</trkseg><trkseg>{segment}</trkseg>"
        '<trkseg><trkpt lat="1" lon="2"/></trkseg></trk></gpx>'
    )
    assert gpx_layers(path) == ("waypoints", "tracks")
    with pytest.raises(UnknownChoiceError, match="waypoints, tracks"):
        read_gpx(path)
    features = read_features(path, layer="tracks")
    assert [shape.geom_type for shape in features.shapes] == ["LineString"] * 2
    assert features.fields[0]["name"] == "Round"
    assert read_features(path, layer="waypoints").fields[0]["name"] == "Gate"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("<kml/>", "no GPX"),
        ("<gpx><wpt lat='1'", "damaged or cut short"),
        ("<!DOCTYPE gpx [<!ENTITY a 'b'>]><gpx/>", "DOCTYPE"),
        ("<gpx/>", "no layer of shapes"),
        ("<gpx><wpt lat='91' lon='2'/></gpx>", "is no place"),
        ("<gpx><wpt lat='north' lon='2'/></gpx>", "is no place"),
        ("<gpx><wpt lon='2'/></gpx>", "is no place"),
        ("<gpx>" + "<a>" * 300 + "</a>" * 300 + "</gpx>", "too deep"),
    ],
)
def test_what_is_no_gpx_is_refused_in_plain_words(tmp_path, content, said):
    path = tmp_path / "bad.gpx"
    path.write_text(content)
    with pytest.raises(InputFileError, match=said) as caught:
        read_gpx(path)
    assert caught.value.note.file == "bad.gpx"
    assert caught.value.note.mend


def test_a_file_that_does_not_read_back_is_not_put_in_place(tmp_path, monkeypatch):
    path = tmp_path / "pegs.gpx"
    write_gpx(waypoints(), path, title="Pegs")
    before = path.read_bytes()
    monkeypatch.setattr(gpx, "_DECIMALS", 3)  # as if digits were lost on the way
    monkeypatch.setattr(gpx, "_same_places", lambda a, b: bool(np.all(np.abs(a - b) < 1e-8)))
    with pytest.raises(ReadBackError, match="not those of the plan"):
        write_gpx(waypoints(), path, title="Pegs")
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["pegs.gpx"]
