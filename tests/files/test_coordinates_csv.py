import csv

import pytest
import shapely

from vrxapp.errors import GroundError
from vrxapp.files.coordinates_csv import coordinates_csv_crs, coordinates_csv_layers
from vrxapp.files.formats import read_features


@pytest.fixture
def save(tmp_path):
    """Makes a table from its text."""

    def make(text, *, file="points.csv", encoding="utf-8"):
        path = tmp_path / file
        path.write_bytes(text.encode(encoding))
        return path

    return make


def test_decimal_commas_between_semicolons_are_understood(save):  # CSV-01
    found = read_features(save("lat;lon;rate\r\n-35,5;149,25;12,5\r\n"))
    assert shapely.equals(found.shapes[0], shapely.Point(149.25, -35.5))
    assert found.fields == ({"rate": "12,5"},)


def test_a_table_is_read_as_a_plain_reader_reads_it(save):
    path = save('site,Longitude,Latitude,note\nA,149.1,-35.1,"wet, low"\nB,149.2,-35.2,\n')
    found = read_features(path)
    with path.open(newline="", encoding="utf-8") as opened:
        rows = list(csv.DictReader(opened))
    own = [shapely.Point(float(row["Longitude"]), float(row["Latitude"])) for row in rows]
    assert shapely.equals(found.shapes, own).all()
    for mine, theirs in zip(found.fields, rows, strict=True):
        assert mine == {"site": theirs["site"], "note": theirs["note"] or None}
    assert [note.message for note in found.notes] == [
        "a table names no coordinate system; its positions were taken as WGS 84"
    ]


@pytest.mark.parametrize(
    "header",
    ["long,lat", "LNG,LAT", "x,y", "Longitude (deg),Latitude (deg)", "lon|lat", "lon\tlat"],
)
def test_the_two_columns_go_by_many_names(save, header):
    mark = next(m for m in ("|", "\t", ",") if m in header)
    found = read_features(save(f"{header}\n149.5{mark}-35.5\n", file="a.txt"))
    assert (found.shapes[0].x, found.shapes[0].y) == (149.5, -35.5)


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_letters_of_any_usual_encoding_are_read(save, encoding):
    found = read_features(save("Böden;lon;lat\nÄcker;149;-35\n", encoding=encoding))
    assert found.fields == ({"Böden": "Äcker"},)


def test_lines_above_the_header_are_passed_over(save):
    found = read_features(save("Sampled in May\n\nid,lat,lon\n1,-35,149\n"))
    assert found.fields == ({"id": "1"},)


def test_a_row_without_a_position_is_left_out_and_told(save):
    found = read_features(save("id,lat,lon\n1,,\n2,-35,149\n"))
    assert found.fields == ({"id": "2"},)
    assert "had no shape and were left out: feature 1" in " ".join(map(str, found.notes))


def test_half_a_position_is_refused_with_row_and_column(save, feature_refusal):
    note = feature_refusal(save("id,lat,lon\n1,-35,149\n2,-35,\n"))
    assert (note.row, note.column) == (3, "lon")


@pytest.mark.parametrize("header", ["Easting,Northing", "east,north", "x,y"])
def test_metres_of_a_grid_are_read_once_it_is_said_which(save, header):  # CRS-10
    path = save(f"{header},id\n682516.0936,6125129.3654,1\n")
    found = read_features(path, crs="EPSG:7855")
    assert (found.shapes[0].x, found.shapes[0].y) == pytest.approx((149, -35), abs=1e-8)
    assert found.fields == ({"id": "1"},)
    assert "GDA2020 / MGA zone 55 (EPSG:7855) was taken, as you said" in str(found.notes[0])
    with pytest.raises(GroundError, match=r"metres of a map grid: MGA zone .*--crs"):
        read_features(path)


def test_numbers_of_a_grid_elsewhere_ask_for_their_system(save):
    with pytest.raises(GroundError, match=r"no longitude and latitude .*say which it is"):
        read_features(save("x,y\n181072,333611\n"))


def test_half_a_position_in_a_grid_is_refused(save, feature_refusal):
    note = feature_refusal(save("easting,northing\n682516,6125129\n682517,\n"))
    assert (note.row, note.column) == (3, "northing")


def test_swapped_columns_are_refused(save, feature_refusal):
    assert "look swapped" in feature_refusal(save("lat,lon\n149,-35\n")).message


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("easting\n682516\n", "no column holds the latitude"),
        ("id,lat\n1,-35\n", "no column holds the longitude"),
        ("lat,lon,long\n-35,149,149\n", "two columns look like the longitude"),
        ("lat,lon\n", "it has a header and no rows"),
        ("lat,lon\n-35,east\n", "'east' is not a number"),
        ("a,b\n", "no column holds the longitude"),
    ],
)
def test_a_table_without_usable_positions_is_refused(save, text, said, feature_refusal):
    assert said in feature_refusal(save(text)).message


@pytest.mark.parametrize("content", [b"PK\x03\x04xx", b'{"type": 1}', b"<html>", b"a\0b"])
def test_what_is_no_table_is_refused(tmp_path, content, feature_refusal):
    path = tmp_path / "a.csv"
    path.write_bytes(content)
    assert "but inside it is" in feature_refusal(path).message


def test_a_table_that_is_cut_short_in_a_quote_is_refused(save, feature_refusal):
    assert "quotation mark" in feature_refusal(save('lat,lon,note\n-35,149,"wet')).mend


def test_a_table_names_no_system_and_has_one_layer(save):
    path = save("lat,lon\n-35,149\n")
    assert coordinates_csv_layers(path) == ("points",)
    assert coordinates_csv_crs(path, "points") == ""
    assert [one.name for one in path.parent.iterdir()] == ["points.csv"]
