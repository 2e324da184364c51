import json

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from vrxapp.errors import GroundError, InputFileError
from vrxapp.files.geojson import read_geojson
from vrxapp.ground.features import Features


def save(tmp_path, *features, **members):
    """A file of these features."""
    path = tmp_path / "zones.geojson"
    path.write_text(
        json.dumps({"type": "FeatureCollection", **members, "features": list(features)}), "utf-8"
    )
    return path


def polygon(*points, **fields):
    geometry = {"type": "Polygon", "coordinates": [[list(point) for point in points]]}
    return {"type": "Feature", "geometry": geometry, "properties": fields}


def read_or_refused(path):
    """The features of a file, or the error that refuses it."""
    try:
        return read_geojson(path)
    except (InputFileError, GroundError) as error:
        return error


SQUARE = ((149.0, -35.0), (149.01, -35.0), (149.01, -34.99), (149.0, -34.99), (149.0, -35.0))


def test_zones_are_read_with_their_fields(tmp_path):
    found = read_geojson(save(tmp_path, polygon(*SQUARE, zone="North", ph=5.4)))
    assert found.file == "zones.geojson"
    assert found.fields == ({"zone": "North", "ph": 5.4},)
    assert found.shapes[0].bounds == (149.0, -35.0, 149.01, -34.99)
    assert found.notes == ()


def test_a_fault_is_told_with_file_and_feature(tmp_path):
    path = save(tmp_path, polygon(*SQUARE), polygon(*SQUARE[:-1]))
    with pytest.raises(GroundError, match="feature 2: a ring is not closed") as caught:
        read_geojson(path)
    note = caught.value.note
    assert (note.file, note.row) == ("zones.geojson", 2)
    assert note.mend.startswith("Repeat the first corner")


def test_an_unknown_coordinate_system_is_told_with_the_file(tmp_path):
    crs = {"type": "name", "properties": {"name": "the local grid"}}
    with pytest.raises(GroundError, match="crs member") as caught:
        read_geojson(save(tmp_path, polygon(*SQUARE), crs=crs))
    assert (caught.value.note.file, caught.value.note.value) == ("zones.geojson", "the local grid")


def test_what_was_done_for_the_user_is_told(tmp_path):
    high = polygon(*((x, y, 612.0) for x, y in SQUARE))
    open_ring = polygon(*SQUARE[:-1], (149.0, -34.99999))
    notes = read_geojson(save(tmp_path, polygon(*SQUARE), high, open_ring)).notes
    assert [(note.row, str(note)) for note in notes] == [
        (None, "zones.geojson: heights are left out, in 1 of its features."),
        (
            3,
            "zones.geojson, row 3: feature 3: a ring was open by 1.11 m and was closed. "
            "Look at that corner on the map.",
        ),
    ]


def test_a_map_grid_is_turned_into_degrees_and_told(tmp_path):  # GJ-02
    east, north = 682516.0936, 6125129.3654
    grid = [(east, north), (east + 100, north), (east + 100, north + 100), (east, north)]
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::7855"}}
    found = read_geojson(save(tmp_path, polygon(*grid), crs=crs))
    assert found.shapes[0].exterior.coords[0] == pytest.approx((149.0, -35.0), abs=1e-7)
    (note,) = found.notes
    assert "EPSG:7855" in note.message
    assert note.file == "zones.geojson"


@pytest.mark.parametrize("text", ["", "{", '{"type": "FeatureCollection", "features": []}'])
def test_what_is_no_layer_is_refused_with_the_file(tmp_path, text):
    (tmp_path / "zones.geojson").write_text(text)
    with pytest.raises(InputFileError) as caught:
        read_geojson(tmp_path / "zones.geojson")
    assert caught.value.note.file == "zones.geojson"
    assert caught.value.note.mend


@given(st.binary(max_size=200))
def test_any_bytes_are_refused_in_words(tmp_path_factory, content):
    path = tmp_path_factory.mktemp("any") / "zones.geojson"
    path.write_bytes(content)
    with pytest.raises((InputFileError, GroundError)):
        read_geojson(path)


JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
    lambda values: st.lists(values, max_size=5) | st.dictionaries(st.text(max_size=5), values),
    max_leaves=12,
)


@given(st.sampled_from(["Point", "LineString", "Polygon", "MultiPolygon", "Circle"]), JSON_VALUES)
def test_any_coordinates_are_refused_in_words_or_read(tmp_path_factory, kind, coordinates):
    path = tmp_path_factory.mktemp("any") / "zones.geojson"
    path.write_text(json.dumps({"type": kind, "coordinates": coordinates}), "utf-8")
    found = read_or_refused(path)
    if isinstance(found, Features):
        assert shapely.is_valid(found.shapes).all()
    else:
        assert found.note.file == "zones.geojson"
