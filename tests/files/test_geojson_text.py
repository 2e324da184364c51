import json

import pytest

from vrxapp.errors import GroundError, InputFileError
from vrxapp.files import geojson_text as module
from vrxapp.files.geojson_text import geojson_text, json_layer

POINT = {"type": "Point", "coordinates": [149.0, -35.0]}
FEATURE = {"type": "Feature", "geometry": POINT, "properties": {"name": "Pump"}}


def layer(*features):
    return json_layer(
        json.dumps({"type": "FeatureCollection", "features": list(features)}), file="zones.geojson"
    )


def test_a_mark_at_the_start_of_the_text_is_no_part_of_it(tmp_path):
    path = tmp_path / "zones.geojson"
    path.write_bytes(b"\xef\xbb\xbf{}")
    assert geojson_text(path) == "{}"


def test_a_folder_is_told_as_such(tmp_path):
    with pytest.raises(InputFileError, match="this is a folder") as caught:
        geojson_text(tmp_path)
    assert caught.value.note.file == tmp_path.name


def test_a_missing_file_is_told_as_such(tmp_path):
    with pytest.raises(InputFileError, match=r"zones\.geojson: there is no such file"):
        geojson_text(tmp_path / "zones.geojson")


def test_an_empty_file_is_told_as_such(tmp_path):
    (tmp_path / "zones.geojson").touch()
    with pytest.raises(InputFileError, match="the file is empty"):
        geojson_text(tmp_path / "zones.geojson")


@pytest.mark.parametrize("encoding", ["utf-16", "cp1252"])
def test_another_encoding_is_told_with_the_byte(tmp_path, encoding):
    path = tmp_path / "zones.geojson"
    path.write_bytes('{"zone": "Böschung"}'.encode(encoding))
    with pytest.raises(InputFileError, match=r"not UTF-8 text: byte \d+"):
        geojson_text(path)


def test_a_file_above_the_limit_is_told_with_both_sizes(tmp_path, monkeypatch):
    assert module.LARGEST_BYTES == 500_000_000
    path = tmp_path / "zones.geojson"
    with path.open("wb") as sparse:
        sparse.truncate(500_000_001)
    with pytest.raises(InputFileError, match="has 500 MB, and 500 MB can be read"):
        geojson_text(path)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('{"type": "FeatureCollection",\n "features": [}', "line 2, column 15"),
        ("not json", "line 1, column 1"),
        ('{"type": ', "line 1, column 10"),
        ("[" * 100_000, "is no JSON"),
        ('{"n": ' + "9" * 5000 + "}", "is no JSON"),
        ("[1, 2]", "no GeoJSON"),
        ('"text"', "no GeoJSON"),
        ("{}", "no features"),
        ('{"type": "Topology", "arcs": []}', "no features"),
        ('{"type": "FeatureCollection"}', "no features"),
        ('{"type": "FeatureCollection", "features": {}}', "no features"),
        ('{"type": "FeatureCollection", "features": []}', "the layer is empty"),
    ],
)
def test_what_is_no_geojson_is_told_in_one_sentence(text, words):
    with pytest.raises(InputFileError, match=words) as caught:
        json_layer(text, file="zones.geojson")
    assert caught.value.note.file == "zones.geojson"
    assert caught.value.note.mend


@pytest.mark.parametrize("root", [FEATURE, POINT])
def test_a_single_feature_or_a_bare_geometry_is_a_layer_of_one(root):
    found = json_layer(json.dumps(root), file="zones.geojson")
    assert [feature.geometry for feature in found.features] == [POINT]


def test_fields_stand_as_in_the_file_and_null_is_no_fields():
    found = layer(FEATURE, {**FEATURE, "properties": None}, {"type": "Feature", "geometry": POINT})
    assert [feature.fields for feature in found.features] == [{"name": "Pump"}, {}, {}]


def test_a_feature_without_geometry_is_told_by_its_number():
    with pytest.raises(GroundError, match="feature 2 has no geometry") as caught:
        layer(FEATURE, {**FEATURE, "geometry": None})
    assert (caught.value.note.file, caught.value.note.row) == ("zones.geojson", 2)


@pytest.mark.parametrize(
    "feature",
    [7, {"type": "Zone"}, {**FEATURE, "geometry": [149, -35]}, {**FEATURE, "properties": [1]}],
)
def test_what_is_no_feature_is_told_by_its_number(feature):
    with pytest.raises(InputFileError, match="feature 2") as caught:
        layer(FEATURE, feature)
    assert caught.value.note.row == 2


@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity", "1e999", '"\\ud800"', "[NaN]"])
def test_a_field_that_holds_no_value_is_told_by_feature_and_name(value):  # GJ-05
    text = json.dumps(FEATURE).replace('"Pump"', value)
    with pytest.raises(InputFileError, match="neither a number nor a text") as caught:
        json_layer(text, file="zones.geojson")
    note = caught.value.note
    assert (note.file, note.row, note.column) == ("zones.geojson", 1, "name")
