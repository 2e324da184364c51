import zipfile
from pathlib import Path

import numpy as np
import pytest
import shapely
from foreign_files import NAMES, ZONES, write_with_gdal, write_zones
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vrxapp.errors import GroundError, InputFileError, UnknownChoiceError, VrxError
from vrxapp.files.formats import known_formats, opened_format, read_features
from vrxapp.files.geojson import read_geojson
from vrxapp.ground.projected_crs import transformed

SHAPE_NAMES = ("a.geojson", "a.shp", "a.zip", "a.gpkg", "a.kml", "a.kmz")
CUT_SHORT = (*SHAPE_NAMES, "a.csv")


def refusal(path, kind=InputFileError):
    """The one sentence, once it is known that nothing beside the file was touched."""
    before = {p: p.read_bytes() for p in path.parent.iterdir() if p.is_file()}
    with pytest.raises(kind) as caught:
        read_features(path)
    assert {p: p.read_bytes() for p in path.parent.iterdir() if p.is_file()} == before
    assert caught.value.note.file == path.name
    assert caught.value.note.mend
    return caught.value.note


@pytest.mark.parametrize("name", SHAPE_NAMES)
def test_the_same_zones_come_out_of_each_format(tmp_path, name):
    found = read_features(write_zones(tmp_path / name))
    assert shapely.equals(found.shapes, ZONES).all()
    assert [row["name"] for row in found.fields] == list(NAMES)
    assert found.file == name
    assert found.notes == ()


corners = st.tuples(
    st.integers(0, 800), st.integers(0, 800), st.integers(1, 99), st.integers(1, 99)
)


@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(boxes=st.lists(corners, min_size=1, max_size=5))
@pytest.mark.parametrize("suffix", [".shp", ".gpkg", ".kml"])
def test_whatever_is_written_comes_back_from_each_format(tmp_path_factory, suffix, boxes):
    shapes = [
        shapely.box(149 + x / 1e4, -35 + y / 1e4, 149 + (x + w) / 1e4, -35 + (y + h) / 1e4)
        for x, y, w, h in boxes
    ]
    names = [f"Zone {k}" for k in range(len(shapes))]
    path = write_zones(tmp_path_factory.mktemp("shapes") / f"a{suffix}", shapes, names)
    found = read_features(path)
    assert shapely.equals(found.shapes, np.array(shapes)).all()
    assert [row["name"] for row in found.fields] == names


def test_plain_geojson_is_what_its_own_reader_gives(tmp_path):
    path = write_zones(tmp_path / "a.geojson")
    found, own = read_features(path), read_geojson(path)
    assert shapely.equals_exact(found.shapes, own.shapes).all()
    assert (found.fields, found.notes) == (own.fields, own.notes)
    with pytest.raises(UnknownChoiceError, match="no layer 'b'"):
        read_features(path, layer="b")


def test_files_in_different_systems_lie_on_one_another(tmp_path):
    grid = transformed(ZONES, from_crs="EPSG:7844", to_crs="EPSG:7855")
    write_with_gdal(tmp_path / "grid.gpkg", grid, crs="EPSG:7855")
    write_with_gdal(tmp_path / "old.shp", ZONES, crs="EPSG:4283")
    write_zones(tmp_path / "now.kml")
    now, new, old = (
        read_features(tmp_path / name).shapes for name in ("now.kml", "grid.gpkg", "old.shp")
    )
    assert shapely.hausdorff_distance(now, new).max() < 1e-9  # degrees, a tenth of a millimetre
    moved = shapely.bounds(old) - shapely.bounds(ZONES)
    assert moved[0] == pytest.approx([5.6e-6, 12.9e-6, 5.6e-6, 12.9e-6], abs=1e-7)


def test_a_name_beyond_ascii_is_no_hindrance(tmp_path):
    for name in SHAPE_NAMES:
        path = write_zones(tmp_path / f"Weide Süd – 草{Path(name).suffix}")
        assert len(read_features(path).shapes) == 3


@pytest.mark.parametrize("name", SHAPE_NAMES)
def test_a_suffix_in_capitals_is_understood(tmp_path, name):
    path = write_zones(tmp_path / name)
    for part in list(tmp_path.iterdir()):
        part.rename(tmp_path / part.name.upper())
    assert len(read_features(tmp_path / path.name.upper()).shapes) == 3


@pytest.mark.parametrize("name", CUT_SHORT)
def test_an_empty_file_is_refused(tmp_path, name):
    (tmp_path / name).touch()
    assert refusal(tmp_path / name).message == "the file is empty"


@pytest.mark.parametrize("name", CUT_SHORT)
def test_a_folder_of_that_name_is_refused(tmp_path, name):
    (tmp_path / name).mkdir()
    assert refusal(tmp_path / name).message == "this is a folder"


@pytest.mark.parametrize("name", CUT_SHORT)
def test_a_file_that_is_cut_short_is_refused(tmp_path, name):
    path = write_zones(tmp_path / name)
    content = path.read_bytes()
    path.write_bytes(content[: len(content) - 3 if name == "a.csv" else len(content) * 2 // 3])
    told = str(refusal(path))
    assert any(word in told for word in ("cut short", "no JSON", "damaged", "cannot be cut"))


@pytest.mark.parametrize("name", SHAPE_NAMES)
def test_plain_text_under_the_name_of_a_format_is_refused(tmp_path, name):
    (tmp_path / name).write_text("zone,rate\nA,1\n")
    assert refusal(tmp_path / name).message.endswith("but inside it is plain text")


@pytest.mark.parametrize("name", [*CUT_SHORT, "a.json", "a.txt"])
def test_a_virtual_file_in_disguise_is_refused(tmp_path, name):  # SEC-01
    source = '<OGRVRTDataSource><OGRVRTLayer name="b"/></OGRVRTDataSource>'
    (tmp_path / name).write_text(source)
    assert "points to other files" in refusal(tmp_path / name).message


def test_a_raster_or_an_unknown_suffix_is_refused_with_what_can_be_read(tmp_path):
    for name in ("a.tif", "a.dxf", "noname"):
        (tmp_path / name).write_text("x")
        assert ".geojson, .json, .shp, .zip" in refusal(tmp_path / name).mend


def test_an_address_is_refused():
    with pytest.raises(InputFileError, match="only files on this computer"):
        read_features(Path("CSV:a.csv"))
    with pytest.raises(InputFileError, match="only files on this computer"):
        read_features(Path("/vsicurl/http:/example.org/a.shp"))


def test_an_outline_that_crosses_itself_is_refused_in_each_format(tmp_path):
    bow = [shapely.Polygon([(149, -35), (149.01, -34.99), (149.01, -35), (149, -34.99)])]
    for name in SHAPE_NAMES:
        path = write_zones(tmp_path / name, bow, ("Bow",))
        assert "crosses itself" in refusal(path, GroundError).message


@pytest.mark.parametrize("name", ["a.shp", "a.zip", "a.gpkg"])
def test_metres_without_a_system_are_refused(tmp_path, name):
    grid = transformed(ZONES, from_crs="EPSG:7844", to_crs="EPSG:7855")
    path = write_zones(tmp_path / "a.shp", grid)
    (tmp_path / "a.prj").unlink()
    if name == "a.zip":
        with zipfile.ZipFile(tmp_path / name, "w") as made:
            for suffix in (".shp", ".shx", ".dbf"):
                made.write(path.with_suffix(suffix), f"a{suffix}")
    if name == "a.gpkg":
        write_undefined(tmp_path / name, grid)
    assert "metres of a map grid: MGA zone" in refusal(tmp_path / name, GroundError).message


def write_undefined(path, shapes):
    """A GeoPackage whose layer says that its system is undefined."""
    import sqlite3
    from contextlib import closing

    write_with_gdal(path, shapes, crs="EPSG:7855")
    with closing(sqlite3.connect(path)) as database, database:
        database.execute("UPDATE gpkg_geometry_columns SET srs_id = -1")
        database.execute("UPDATE gpkg_contents SET srs_id = -1")


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
@pytest.mark.parametrize("name", ["a.shp", "a.zip", "a.gpkg", "a.kml", "a.kmz", "a.csv"])
def test_a_spoilt_file_is_read_or_refused_and_never_breaks_the_program(
    tmp_path_factory, name, data
):
    path = write_zones(tmp_path_factory.mktemp("spoilt") / name)
    content = bytearray(path.read_bytes())
    for at, byte in data.draw(
        st.lists(st.tuples(st.integers(0, len(content) - 1), st.integers(0, 255)), max_size=4)
    ):
        content[at] = byte
    path.write_bytes(content)
    found = read_or_refused(path)
    if isinstance(found, VrxError):
        assert found.note.file == name
    else:
        assert shapely.is_valid(found.shapes).all()
        assert len(found.fields) == len(found.shapes)


def read_or_refused(path):
    """The features of a file, or the error that refuses it."""
    try:
        return read_features(path)
    except VrxError as error:
        return error


def test_a_dialog_is_given_every_format_with_its_suffixes():
    names = [suffix for _, suffixes in known_formats() for suffix in suffixes]
    assert names == [
        *(".geojson", ".json", ".shp", ".zip", ".gpkg", ".kml", ".kmz", ".gpx", ".csv"),
        ".txt",
    ]


def test_the_format_of_a_file_is_told_by_suffix_and_content(tmp_path):
    assert opened_format(write_zones(tmp_path / "a.gpkg")).name == "GeoPackage"
    (tmp_path / "a.gpkg").rename(tmp_path / "a.shp")
    assert (
        refusal(tmp_path / "a.shp").message
        == "its name says Shapefile, but inside it is a database"
    )
