import shutil
import struct
import zipfile

import numpy as np
import pytest
import shapefile
import shapely
from foreign_files import FAR_RING, HOLE, RING, WGS84, write_shapefile, zipped

from vrxapp.errors import InputFileError, UnknownChoiceError
from vrxapp.files.formats import read_features
from vrxapp.files.shapefile_reading import (
    read_shapefile,
    read_zipped_shapefile,
    shapefile_crs,
    shapefile_layers,
    zipped_shapefile_crs,
    zipped_shapefile_layers,
)


@pytest.fixture
def zones(tmp_path):
    """Three zones: plain, with a hole, of two parts; written by a library that is not GDAL."""
    path = tmp_path / "zones.shp"
    write_shapefile(path, [[RING], [RING, HOLE], [RING, FAR_RING]], ["North", "Süd", "Ost"])
    return path


def test_a_set_is_read_as_another_reader_reads_it(zones):
    found = read_features(zones)
    with shapefile.Reader(str(zones)) as other:
        records = [tuple(record) for record in other.iterRecords()]
        shapes = [shapely.geometry.shape(one.__geo_interface__) for one in other.iterShapes()]
    assert [tuple(row.values()) for row in found.fields] == records
    assert shapely.equals(found.shapes, shapes).all()
    assert found.notes == ()
    assert [shape.geom_type for shape in found.shapes] == ["Polygon", "Polygon", "MultiPolygon"]
    assert type(found.fields[0]["cell"]) is int


@pytest.mark.parametrize("folder", ["", "export/paddock 1/"])
def test_a_zipped_set_is_read_like_the_plain_one(zones, folder):
    plain = read_features(zones)
    found = read_features(zipped(zones, folder=folder))
    assert found.file == "zones.zip"
    assert shapely.equals_exact(found.shapes, plain.shapes).all()
    assert found.fields == plain.fields


def test_a_missing_number_is_missing_and_a_whole_one_stays_whole(tmp_path):
    path = tmp_path / "gaps.shp"
    with shapefile.Writer(str(path), shapeType=shapefile.POINT) as out:
        out.field("ph", "N", 10, 2)
        out.field("cell", "N", 9, 0)
        for ph, cell in ((5.5, None), (None, 7)):
            out.point(149.0, -35.0)
            out.record(ph, cell)
    path.with_suffix(".prj").write_text(WGS84)
    assert read_features(path).fields == ({"ph": 5.5, "cell": None}, {"ph": None, "cell": 7})


def test_suffixes_in_capitals_are_understood(zones, tmp_path):
    for path in list(tmp_path.iterdir()):
        path.rename(tmp_path / f"ZONES{path.suffix.upper()}")
    assert len(read_features(tmp_path / "ZONES.SHP").shapes) == 3


def test_a_set_without_its_table_is_refused(zones, feature_refusal):
    zones.with_suffix(".dbf").unlink()
    note = feature_refusal(zones)
    assert note.message == "its .dbf file, the names and values of its shapes, is missing"
    assert "whole set" in note.mend


@pytest.mark.parametrize("is_zipped", [False, True])
def test_a_set_without_its_index_is_read_and_told(zones, is_zipped):  # SHP-11
    whole = read_features(zones)
    path = zipped(zones, keep=(".shp", ".dbf", ".prj", ".cpg")) if is_zipped else zones
    zones.with_suffix(".shx").unlink()
    before = {p: p.read_bytes() for p in zones.parent.iterdir()}
    found = read_features(path)
    assert {p: p.read_bytes() for p in zones.parent.iterdir()} == before  # nothing was written
    assert shapely.equals_exact(found.shapes, whole.shapes).all()
    assert found.fields == whole.fields
    assert "its .shx file, the index of its shapes, is missing" in str(found.notes[0])
    assert shapefile_crs(zones, "zones") == "EPSG:4326"


def test_a_set_without_its_index_and_with_shapes_out_of_step_is_refused(zones, feature_refusal):
    zones.with_suffix(".shx").unlink()
    content = bytearray(zones.read_bytes())
    content[103] = 7  # the number of its first record
    zones.write_bytes(content)
    assert "not sound enough to make a new one" in feature_refusal(zones).message


def test_a_set_without_its_index_and_with_another_table_is_refused(zones, tmp_path):
    (tmp_path / "other").mkdir()
    other = tmp_path / "other" / "dams.shp"
    write_shapefile(other, [[RING]], ["Dam"])
    shutil.copyfile(other.with_suffix(".dbf"), zones.with_suffix(".dbf"))
    zones.with_suffix(".shx").unlink()
    with pytest.raises(InputFileError, match="its table has 1 rows, and its index 3 shapes"):
        read_features(zones)


def test_a_zipped_set_without_a_needed_file_is_refused(zones, feature_refusal):
    assert "its .dbf file" in feature_refusal(zipped(zones, keep=(".shp", ".shx"))).message


def test_degrees_without_a_prj_are_taken_and_told(zones):
    zones.with_suffix(".prj").unlink()
    found = read_features(zones)
    assert found.shapes[0].bounds == (149.0, -35.0, 149.01, -34.99)
    assert "names no coordinate system" in str(found.notes[-1])


def test_a_zip_without_a_shapefile_says_what_it_holds(tmp_path, feature_refusal):
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w") as made:
        made.writestr("photo.jpg", b"x")
    assert feature_refusal(path).message == "there is no .shp in the archive (it holds photo.jpg)"


def test_an_empty_zip_is_refused(tmp_path, feature_refusal):
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w"):
        pass
    assert feature_refusal(path).message == "there is no .shp in the archive (it holds nothing)"


def test_text_named_shp_is_refused(tmp_path, feature_refusal):
    path = tmp_path / "a.shp"
    path.write_text("zone,rate\n1,2\n")
    assert feature_refusal(path).message == "its name says Shapefile, but inside it is plain text"


def test_text_named_shp_in_a_zip_is_refused(zones, feature_refusal):
    zones.write_text("zone,rate")
    assert feature_refusal(zipped(zones)).message == "its .shp file is no part of a Shapefile"


@pytest.mark.parametrize("suffix", [".shp", ".shx", ".dbf"])
@pytest.mark.parametrize("left", [40, 120, -1])
def test_a_set_that_is_cut_short_is_refused(zones, suffix, left, feature_refusal):
    part = zones.with_suffix(suffix)
    content = part.read_bytes()[:left] if suffix != ".dbf" else part.read_bytes()[: min(left, 120)]
    part.write_bytes(content if suffix != ".dbf" or left > 0 else part.read_bytes()[:-9])
    assert feature_refusal(zones).message == f"its {suffix} file is cut short"


def test_an_index_with_fewer_shapes_than_the_table_is_noticed(zones, feature_refusal):
    index = zones.with_suffix(".shx")
    content = bytearray(index.read_bytes()[:-8])
    struct.pack_into(">i", content, 24, len(content) // 2)
    index.write_bytes(content)
    assert feature_refusal(zones).message == "its table has 3 rows, and its index 2 shapes"


def test_polygons_and_a_point_in_one_set_are_refused(zones, feature_refusal):  # SHP-12
    content = bytearray(zones.read_bytes())
    content[108] = shapefile.POINT  # the kind of the first record
    zones.write_bytes(content)
    note = feature_refusal(zones)
    assert note.row == 1
    assert "of another kind than the set is made for" in note.message


def test_an_index_that_points_beyond_the_shapes_is_refused(zones, feature_refusal):
    index = zones.with_suffix(".shx")
    content = bytearray(index.read_bytes())
    struct.pack_into(">i", content, 108, 1_000_000)  # the place of the second record
    index.write_bytes(content)
    assert feature_refusal(zones).row == 2


def test_a_row_that_was_deleted_in_the_table_is_no_feature(zones):
    with zones.with_suffix(".dbf").open("r+b") as table:
        head = table.read(32)
        table.seek(struct.unpack_from("<H", head, 8)[0])
        table.write(b"*")
    assert [row["zone"] for row in read_features(zones).fields] == ["Süd", "Ost"]


def test_of_several_zipped_sets_one_is_chosen_by_name(zones, tmp_path):
    other = tmp_path / "dams.shp"
    write_shapefile(other, [[FAR_RING]], ["Dam"])
    archive = zipped(zones)
    with zipfile.ZipFile(archive, "a") as made:
        for suffix in (".shp", ".shx", ".dbf", ".prj"):
            made.write(other.with_suffix(suffix), f"dams{suffix}")
    assert zipped_shapefile_layers(archive) == ("zones", "dams")
    with pytest.raises(UnknownChoiceError, match="holds 2 layers"):
        read_features(archive)
    assert read_features(archive, layer="dams").fields[0]["zone"] == "Dam"


def test_a_layer_that_a_plain_set_has_not_is_refused(zones):
    assert shapefile_layers(zones) == ("zones",)
    with pytest.raises(UnknownChoiceError, match="no layer 'dams'"):
        read_features(zones, layer="dams")


def test_the_coordinate_system_is_told_as_the_set_names_it(zones):
    assert shapefile_crs(zones, "zones") == "EPSG:4326"
    assert zipped_shapefile_crs(zipped(zones), "zones") == "EPSG:4326"
    assert read_shapefile(zones).crs == read_zipped_shapefile(zipped(zones)).crs == "EPSG:4326"
    zones.with_suffix(".prj").unlink()
    assert shapefile_crs(zones, "zones") == ""


@pytest.mark.parametrize(("encoding", "told"), [("cp1252", "read as Windows-1252"), ("utf8", "")])
def test_letters_are_read_without_a_word_on_their_encoding(tmp_path, encoding, told):
    path = tmp_path / "Weide Süd.shp"
    write_shapefile(path, [[RING]], ["Böschung"], encoding=encoding)
    with path.with_suffix(".dbf").open("r+b") as table:
        table.seek(29)
        table.write(b"\0")
    found = read_features(path)
    assert found.fields[0]["zone"] == "Böschung"
    assert told in " ".join(map(str, found.notes))


def test_heights_are_left_out_and_told(tmp_path):
    path = tmp_path / "high.shp"
    write_shapefile(path, [[[(x, y, 612.0) for x, y in RING]]], ["High"], kind=shapefile.POLYGONZ)
    found = read_features(path)
    assert not shapely.has_z(found.shapes).any()
    assert shapely.equals(found.shapes[0], shapely.Polygon(RING))
    assert any("heights are left out" in str(note) for note in found.notes)


def test_measures_are_left_out_and_told(tmp_path):
    path = tmp_path / "measured.shp"
    write_shapefile(path, [[[(x, y, 3.0) for x, y in RING]]], ["M"], kind=shapefile.POLYGONM)
    found = read_features(path)
    assert shapely.equals(found.shapes[0], shapely.Polygon(RING))
    assert [note.message for note in found.notes] == ["measures along the line are left out"]


def test_a_ring_of_a_hundred_thousand_corners_is_read(tmp_path):
    turn = np.linspace(0, -2 * np.pi, 100_000, endpoint=False)
    ring = np.column_stack([149 + 0.01 * np.cos(turn), -35 + 0.01 * np.sin(turn)]).tolist()
    path = tmp_path / "round.shp"
    write_shapefile(path, [[[*ring, ring[0]]]], ["Round"])
    found = read_features(path)
    assert shapely.get_num_coordinates(found.shapes[0]) == 100_001
    assert found.notes == ()


def test_a_part_that_is_too_large_is_refused(zones, monkeypatch, feature_refusal):
    monkeypatch.setattr("vrxapp.files.shapefile_set.LARGEST_BYTES", 10)
    assert "its .shp file has 0 MB" in feature_refusal(zones).message


def test_a_set_whose_table_vanishes_half_way_is_told(zones, monkeypatch):
    import vrxapp.files.shapefile_reading as module

    real = module.read_gdal_layer

    def read_late(source):
        shutil.rmtree(zones.parent)
        return real(source)

    monkeypatch.setattr(module, "read_gdal_layer", read_late)
    with pytest.raises(InputFileError, match="vanished while it was being read"):
        read_features(zones)
