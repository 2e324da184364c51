import sqlite3
import struct
from contextlib import closing

import numpy as np
import pytest
import shapely

from vrxapp.errors import InputFileError, UnknownChoiceError
from vrxapp.files.formats import read_features
from vrxapp.files.gdal_drivers import limit_drivers
from vrxapp.files.geopackage import geopackage_crs, geopackage_layers, read_geopackage

SHAPES = np.array(
    [
        shapely.box(149.0, -35.0, 149.01, -34.99),
        shapely.box(149.0, -35.0, 149.01, -34.99).difference(
            shapely.box(149.002, -34.998, 149.004, -34.996)
        ),
    ]
)


def write(path, shapes=SHAPES, *, layer="zones", crs="EPSG:4326", kind="Polygon", append=False):
    limit_drivers()
    import pyogrio.raw

    count = len(shapes)
    names = np.array(["Nörd", None] * count, dtype=object)[:count]
    pyogrio.raw.write(
        path,
        shapely.to_wkb(shapes),
        [names, np.arange(count), np.array([5.25, np.nan] * count)[:count]],
        ["zone", "cell", "ph"],
        layer=layer,
        geometry_type=kind,
        crs=crs,
        driver="GPKG",
        append=append,
    )
    return path


@pytest.fixture
def zones(tmp_path):
    return write(tmp_path / "zones.gpkg")


def run_sql(path, *statements):
    with closing(sqlite3.connect(path)) as database, database:
        for statement in statements:
            database.execute(statement)


def test_a_layer_is_read_as_plain_sql_reads_it(zones):  # GPK-06
    found = read_features(zones)
    with closing(sqlite3.connect(zones)) as database:
        rows = database.execute("SELECT geom, zone, cell, ph FROM zones ORDER BY fid").fetchall()
    # two letters, version, flags, system, then west, east, south and north
    assert rows[0][0][:4] == b"GP\x00\x03"
    assert struct.unpack("<i4d", rows[0][0][4:40]) == (4326, 149.0, 149.01, -35.0, -34.99)
    own = [shapely.from_wkb(blob[8 + 32 :]) for blob, *_ in rows]  # header and a box of four
    assert shapely.equals_exact(found.shapes, own).all()
    assert [tuple(row.values()) for row in found.fields] == [tuple(row[1:]) for row in rows]
    assert found.notes == ()


def test_reading_leaves_no_file_beside_one_in_another_mode(zones):
    with closing(sqlite3.connect(zones)) as database:
        database.execute("PRAGMA journal_mode=WAL")
    assert zones.read_bytes()[18:20] == b"\x02\x02"
    content = zones.read_bytes()
    assert len(read_features(zones).shapes) == 2
    assert [p.name for p in zones.parent.iterdir()] == ["zones.gpkg"]
    assert zones.read_bytes() == content


def test_one_of_several_layers_is_chosen_by_name(zones):
    write(zones, np.array([shapely.Point(149, -35)]), layer="Proben", kind="Point", append=True)
    assert geopackage_layers(zones) == ("Proben", "zones")
    with pytest.raises(UnknownChoiceError, match=r"holds 2 layers\. Choose one of: Proben, zones"):
        read_features(zones)
    assert read_features(zones, layer="Proben").shapes[0].geom_type == "Point"


def test_layers_of_different_systems_lie_on_one_another(zones):
    grid = np.array([shapely.box(682516.0936, 6125129.3654, 682616, 6125229)])
    write(zones, grid, layer="grid", crs="EPSG:7855", append=True)
    assert geopackage_crs(zones, "grid") == "EPSG:7855"
    found = read_features(zones, layer="grid")
    assert found.shapes[0].intersects(read_features(zones, layer="zones").shapes[0])
    assert "turned from EPSG:7855" in str(found.notes[0])


@pytest.mark.parametrize("name", ["Weide Süd 2", 'the "new" zones', "it's USING fts5 here", "草"])
def test_a_layer_may_be_called_as_people_call_it(tmp_path, name):
    path = write(tmp_path / "a.gpkg", layer=name)
    assert geopackage_layers(path) == (name,)
    assert len(read_features(path).shapes) == 2


@pytest.mark.parametrize("number", [-1, 0, 99999])
def test_a_layer_without_a_system_is_told(zones, number):
    with closing(sqlite3.connect(zones)) as database, database:
        database.execute("UPDATE gpkg_geometry_columns SET srs_id = ?", (number,))
        database.execute("UPDATE gpkg_contents SET srs_id = ?", (number,))
    assert geopackage_crs(zones, "zones") == ""
    assert read_geopackage(zones).crs == ""
    assert "names no coordinate system" in str(read_features(zones).notes[-1])


@pytest.mark.parametrize(
    ("sql", "told", "name"),
    [
        (
            "CREATE TRIGGER own AFTER INSERT ON zones BEGIN DELETE FROM zones; END",
            "it holds a trigger, which is a program and not data",
            "own",
        ),
        (
            "CREATE TRIGGER trigger_insert_feature_count_x AFTER INSERT ON zones "
            "BEGIN DELETE FROM zones; END",
            "it holds a trigger, which is a program and not data",
            "trigger_insert_feature_count_x",
        ),
        (
            'CREATE TRIGGER "trigger_insert_feature_count_y" AFTER INSERT ON "zones" '
            "BEGIN DELETE FROM zones; SELECT 1 AS [ BEGIN UPDATE gpkg_ogr_contents SET "
            "feature_count = feature_count + 1 WHERE lower(table_name) = lower('], lower('x'); END",
            "it holds a trigger, which is a program and not data",
            "trigger_insert_feature_count_y",
        ),
        ("CREATE VIEW seen AS SELECT * FROM zones", "it holds a view", "seen"),
        ("CREATE VIRTUAL TABLE t USING fts5(a)", "other programs stand behind", "t"),
        (
            'CREATE VIRTUAL TABLE "t USING rtree" USING fts5(a)',
            "other programs stand behind",
            "t USING rtree",
        ),
    ],
)
def test_a_file_that_brings_programs_along_is_refused(zones, sql, told, name, feature_refusal):
    run_sql(zones, sql)
    note = feature_refusal(zones)
    assert told in note.message
    assert note.value == name


def test_a_database_that_is_no_geopackage_is_refused(tmp_path, feature_refusal):
    path = tmp_path / "a.gpkg"
    run_sql(path, "CREATE TABLE a (b)")
    assert feature_refusal(path).message == "it is a database, but no GeoPackage with shapes"


def test_a_geopackage_without_a_layer_is_refused(zones, feature_refusal):
    run_sql(zones, "DELETE FROM gpkg_geometry_columns")
    assert feature_refusal(zones).message == "it holds no layer of shapes"


@pytest.mark.parametrize("left", [50, 5000, -4096])
def test_a_file_that_is_cut_short_is_refused(zones, left, feature_refusal):
    zones.write_bytes(zones.read_bytes()[:left])
    assert feature_refusal(zones).message == "the file is cut short"


def test_a_file_with_spoilt_pages_is_refused(zones, feature_refusal):
    content = bytearray(zones.read_bytes())
    content[100:4096] = b"\xff" * 3996
    zones.write_bytes(content)
    assert "damaged" in feature_refusal(zones).message


@pytest.mark.parametrize("ending", ["-wal", "-journal"])
def test_a_file_that_another_program_has_open_is_refused(zones, ending, feature_refusal):
    zones.with_name(f"zones.gpkg{ending}").write_bytes(b"x")
    assert feature_refusal(zones).message == "another program has it open, or left it unfinished"


def test_a_shape_that_cannot_be_read_is_refused_with_its_feature(zones, feature_refusal):
    with closing(sqlite3.connect(zones)) as database, database:
        for name in [
            row[0]
            for row in database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        ]:
            database.execute(f'DROP TRIGGER "{name}"')
        head = database.execute("SELECT geom FROM zones WHERE fid = 2").fetchone()[0][:40]
        ring = shapely.to_wkb(shapely.LineString([(149, -35), (149.1, -35), (149.1, -34.9)]))
        open_polygon = ring[:1] + (3).to_bytes(4, "little") + (1).to_bytes(4, "little") + ring[5:]
        database.execute("UPDATE zones SET geom = ? WHERE fid = 2", (head + open_polygon,))
    note = feature_refusal(zones)
    assert note.row == 2
    assert "feature 2" in note.message


def test_a_file_that_vanishes_half_way_is_told(zones, monkeypatch):
    import vrxapp.files.geopackage as module

    real = module.read_gdal_layer

    def read_late(source, **named):
        zones.unlink()
        return real(source, **named)

    monkeypatch.setattr(module, "read_gdal_layer", read_late)
    with pytest.raises(InputFileError, match="vanished while it was being read"):
        read_features(zones)
