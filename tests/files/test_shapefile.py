import os
import struct
import subprocess
import sys
import warnings
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vrxapp.errors import ReadBackError, TargetExistsError, WriteError
from vrxapp.files.file_checks import check_written
from vrxapp.files.shapefile import PARTS, read_shapefile_rates, write_shapefile
from vrxapp.files.spreader_parts import spreader_parts
from vrxapp.spreading.rate_map import GroundUse, RateMap, total_kg

DAY = date(2025, 4, 30)
WGS84 = (
    'GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],'
    'PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]'
)


@pytest.fixture
def two_boxes():
    """Two boxes side by side, drawn counter-clockwise."""
    shapes = np.array(
        [shapely.box(149.0, -35.0, 149.01, -34.99), shapely.box(149.01, -35.0, 149.02, -34.99)]
    )
    return RateMap(
        product="Starter 10-22",
        unit="kg/ha",
        shapes=shapely.orient_polygons(shapes),
        labels=("North", "South"),
        uses=np.array([GroundUse.SPREAD, GroundUse.SPREAD]),
        rates=np.array([120.0, 80.5]),
    )


@pytest.fixture
def written(two_boxes, tmp_path):
    """The `.shp` of the two boxes."""
    return write_shapefile(two_boxes, tmp_path, name="RATES_R1", written_on=DAY)


def test_a_set_holds_five_files_of_one_name_and_no_other(written):
    assert sorted(path.name for path in written.parent.iterdir()) == [
        "RATES_R1.cpg",
        "RATES_R1.dbf",
        "RATES_R1.prj",
        "RATES_R1.shp",
        "RATES_R1.shx",
    ]


def test_the_header_and_the_records_are_those_of_the_published_format(written):  # SHP-03
    data, index = written.read_bytes(), written.with_suffix(".shx").read_bytes()
    code, length_words = struct.unpack(">I20xI", data[:28])
    version, kind = struct.unpack("<II", data[28:36])
    assert (code, version, kind, 2 * length_words) == (9994, 1000, 5, len(data))
    # one ring of five points: (44 + 4 × 1 + 16 × 5) / 2 = 64 words
    offsets = struct.unpack(">4I", index[100:])
    assert offsets == (50, 64, 50 + 4 + 64, 64)
    for number, offset in ((1, 100), (2, 236)):
        assert struct.unpack(">II", data[offset : offset + 8]) == (number, 64)
        assert struct.unpack("<I", data[offset + 8 : offset + 12]) == (5,)
        assert struct.unpack("<II", data[offset + 44 : offset + 52]) == (1, 5)


def test_outlines_run_clockwise_whichever_way_they_were_drawn(written):  # SHP-04
    data = written.read_bytes()
    for offset in (100, 236):
        ring = np.frombuffer(data, "<f8", 10, offset + 56).reshape(5, 2)
        assert not shapely.is_ccw(shapely.linearrings(ring))
        assert np.array_equal(ring[0], ring[-1])


def test_the_table_has_a_number_a_rate_and_a_zone_of_fixed_width(written):  # SHP-05
    table = written.with_suffix(".dbf").read_bytes()
    fields = [struct.unpack("<11sc4xBB", table[at : at + 18]) for at in (32, 64, 96)]
    assert [(n.rstrip(b"\0"), *rest) for n, *rest in fields] == [
        (b"ID", b"N", 6, 0),
        (b"RATE_KGHA", b"N", 10, 2),
        (b"ZONE", b"C", 16, 0),
    ]
    assert table[129:162] == b"      1    120.00North           "


def test_it_says_wgs_84_and_utf_8(written):  # SHP-06
    assert written.with_suffix(".prj").read_text("ascii") == WGS84
    assert written.with_suffix(".cpg").read_bytes() == b"UTF-8"


def test_the_same_map_and_date_give_the_same_bytes(two_boxes, tmp_path):
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        write_shapefile(two_boxes, tmp_path / name, name="RATES_R1", written_on=DAY)
    for suffix in PARTS:
        first, second = (tmp_path / name / f"RATES_R1{suffix}" for name in ("one", "two"))
        assert first.read_bytes() == second.read_bytes()


def test_a_set_without_a_date_bears_the_day_of_today(two_boxes, tmp_path):
    before = date.today()
    path = write_shapefile(two_boxes, tmp_path, name="RATES_R1")
    year, month, day = path.with_suffix(".dbf").read_bytes()[1:4]
    assert before <= date(1900 + year, month, day) <= date.today()


def test_pyshp_finds_the_rates_labels_and_shapes(written, two_boxes):
    found = read_shapefile_rates(written.parent)
    assert found.reader.startswith("pyshp ")
    assert found.unit == "kg/ha"
    assert found.rates.tolist() == [120.0, 80.5]
    assert found.labels == ("North", "South")
    assert all(shapely.equals(found.shapes, two_boxes.shapes))


def test_gdal_finds_the_same_values_in_our_table(written):
    import pyogrio.raw

    meta, _, shapes, (numbers, rates, zones) = pyogrio.raw.read(written)
    assert meta["fields"].tolist() == ["ID", "RATE_KGHA", "ZONE"]
    assert meta["crs"] == "EPSG:4326"
    assert numbers.tolist() == [1, 2]
    assert rates.tolist() == [120.0, 80.5]
    assert zones.tolist() == ["North", "South"]
    assert shapely.from_wkb(shapes)[0].bounds == (149.0, -35.0, 149.01, -34.99)


def test_a_long_or_foreign_label_is_cut_visibly_and_still_agrees(two_boxes, tmp_path):
    plan = replace(two_boxes, labels=("Böschung", "The slope along the creek"))
    found = read_shapefile_rates(write_shapefile(plan, tmp_path, name="RATES_R1"))
    assert found.labels == ("Boschung~1", "The slope alon~1")
    assert check_written(plan, found, file="RATES_R1.shp").parts == 2


@pytest.mark.parametrize(
    "name", ["SHORT", "A" * 21, "1RATES_R1", "RATES R1", "RATES.R1", "RÄTES_R1", "../RATES_R1"]
)
def test_a_name_that_a_controller_may_not_take_is_refused(two_boxes, tmp_path, name):
    with pytest.raises(WriteError, match="8 to 20"):
        write_shapefile(two_boxes, tmp_path, name=name)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("suffix", PARTS)
def test_a_set_that_exists_is_not_touched(two_boxes, tmp_path, suffix):
    (tmp_path / f"RATES_R1{suffix}").write_text("theirs")
    with pytest.raises(TargetExistsError) as caught:
        write_shapefile(two_boxes, tmp_path, name="RATES_R1")
    assert caught.value.note.file == f"RATES_R1{suffix}"
    assert [path.read_text() for path in tmp_path.iterdir()] == ["theirs"]


def test_another_unit_than_the_field_says_is_refused(two_boxes, tmp_path):
    with pytest.raises(WriteError, match="the rates are in L/ha"):
        write_shapefile(replace(two_boxes, unit="L/ha"), tmp_path, name="RATES_R1")


@pytest.mark.parametrize("rate", [1e30, np.inf, np.nan, -1.0, 80.125])
def test_a_rate_that_the_field_cannot_hold_is_refused_and_nothing_stays(  # SHP-08
    two_boxes, tmp_path, rate
):
    plan = replace(two_boxes, rates=np.array([120.0, rate]))
    with pytest.raises(WriteError) as caught:
        write_shapefile(plan, tmp_path, name="RATES_R1")
    assert (caught.value.note.row, caught.value.note.column) == (2, "RATE_KGHA")
    assert caught.value.note.file.startswith("RATES_R1.")
    assert list(tmp_path.iterdir()) == []


BOX = shapely.box(149.01, -35.0, 149.02, -34.99)


@pytest.mark.parametrize(
    ("shape", "words"),
    [
        (shapely.force_3d(BOX, z=612.0), "heights"),
        (BOX - shapely.Point(149.015, -34.995).buffer(0.001), "a hole"),
        (shapely.MultiPolygon([BOX]), "not one polygon"),
        (shapely.Polygon(), "not one polygon"),
        (shapely.Polygon([(149, -35), (150, -34), (150, -35), (149, -34.5)]), "not valid"),
        (shapely.box(680_000, 6_125_000, 680_100, 6_125_100), "not in degrees"),
    ],
)
def test_a_shape_that_is_not_plain_is_refused_by_name(two_boxes, tmp_path, shape, words):
    shapes = np.array([two_boxes.shapes[0], shape])
    with pytest.raises(WriteError, match=f"part 2 \\('South'\\) .*{words}") as caught:
        write_shapefile(replace(two_boxes, shapes=shapes), tmp_path, name="RATES_R1")
    assert caught.value.note.row == 2
    assert list(tmp_path.iterdir()) == []


def test_a_map_without_parts_is_refused(tmp_path):
    nothing = RateMap("Lime", "kg/ha", np.array([]), (), np.array([]), np.array([]))
    with pytest.raises(WriteError, match="no part"):
        write_shapefile(nothing, tmp_path, name="RATES_R1")


def test_heights_are_gone_once_plain_parts_are_made(two_boxes, tmp_path):  # SHP-10
    high = replace(two_boxes, shapes=shapely.force_3d(two_boxes.shapes, z=612.0))
    path = write_shapefile(spreader_parts(high), tmp_path, name="RATES_R1")
    assert struct.unpack("<I", path.read_bytes()[32:36]) == (5,)


def test_a_missing_folder_is_a_write_error(two_boxes, tmp_path):
    with pytest.raises(WriteError, match="could not be written") as caught:
        write_shapefile(two_boxes, tmp_path / "nowhere", name="RATES_R1")
    assert caught.value.note.file == "RATES_R1.shp"


def test_a_warning_of_the_writer_is_an_error_and_the_set_is_removed(
    two_boxes, tmp_path, monkeypatch
):
    import pyogrio.raw

    write = pyogrio.raw.write

    def warn(*arguments, **named):
        write(*arguments, **named)
        warnings.warn("a value was cut", RuntimeWarning, stacklevel=1)

    monkeypatch.setattr(pyogrio.raw, "write", warn)
    with pytest.raises(WriteError, match="a value was cut"):
        write_shapefile(two_boxes, tmp_path, name="RATES_R1")
    assert list(tmp_path.iterdir()) == []


FULL_DISK = """
import resource, signal, sys
from pathlib import Path
import numpy as np, shapely, pyogrio.raw
from vrxapp.errors import WriteError
from vrxapp.files.shapefile import write_shapefile
from vrxapp.spreading.rate_map import RateMap
lakes = [shapely.Point(149 + n, -35).buffer(0.01, quad_segs=100) for n in range(9)]
plan = RateMap("Lime", "kg/ha", np.array(lakes), ("Zone",) * 9, np.full(9, "spread"), np.ones(9))
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
limit = int(sys.argv[2])
resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
try:
    write_shapefile(plan, Path(sys.argv[1]), name="RATES_R1")
except WriteError as error:
    print(error)
"""


@pytest.mark.parametrize("limit_bytes", [50, 150, 10_000])
def test_a_full_disk_is_a_write_error_and_the_set_is_removed(tmp_path, limit_bytes):
    done = subprocess.run(
        [sys.executable, "-c", FULL_DISK, str(tmp_path), str(limit_bytes)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
    )
    assert done.stdout.startswith("RATES_R1.shp: it could not be written"), done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("suffix", PARTS)
def test_a_missing_file_of_the_set_is_named(written, suffix):
    written.with_suffix(suffix).unlink()
    with pytest.raises(ReadBackError, match="missing") as caught:
        read_shapefile_rates(written)
    assert caught.value.note.file == f"RATES_R1{suffix}"


@pytest.mark.parametrize("suffix", [".shp", ".dbf"])
@pytest.mark.parametrize("left_bytes", [0, 50, 110, 170])
def test_a_truncated_file_cannot_be_read_back(written, suffix, left_bytes):
    path = written.with_suffix(suffix)
    path.write_bytes(path.read_bytes()[:left_bytes])
    with pytest.raises(ReadBackError, match="cannot be read back"):
        read_shapefile_rates(written)


def test_another_coordinate_system_is_refused(written):
    moved = WGS84.replace("6378137.0,298.257223563", "6378160.0,298.25").replace("WGS", "OTHER")
    for text in (moved, "no system", ""):
        written.with_suffix(".prj").write_text(text)
        with pytest.raises(ReadBackError, match="WGS 84"):
            read_shapefile_rates(written)


def test_another_code_page_is_refused(written):
    written.with_suffix(".cpg").write_text("LATIN1")
    with pytest.raises(ReadBackError, match="UTF-8"):
        read_shapefile_rates(written)


def test_another_field_width_is_refused(written):
    table = written.with_suffix(".dbf")
    table.write_bytes(table.read_bytes().replace(b"RATE_KGHA", b"RATE_TONS"))
    with pytest.raises(ReadBackError, match="its fields are"):
        read_shapefile_rates(written)


def test_records_out_of_order_are_refused(written):
    table = written.with_suffix(".dbf")
    table.write_bytes(table.read_bytes().replace(b"      2", b"      7"))
    with pytest.raises(ReadBackError, match="record 2 is numbered 7"):
        read_shapefile_rates(written)


def test_an_empty_rate_is_found_to_be_missing(written):
    table = written.with_suffix(".dbf")
    table.write_bytes(table.read_bytes().replace(b"     80.50", b"**********"))
    assert np.isnan(read_shapefile_rates(written).rates[1])


def test_a_folder_must_hold_exactly_one_set(two_boxes, written):
    write_shapefile(two_boxes, written.parent, name="RATES_R2")
    with pytest.raises(ReadBackError, match="holds 2 Shapefiles"):
        read_shapefile_rates(written.parent)


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_any_map_survives_with_its_rates_and_its_total(random_maps, tmp_path_factory, data):
    plan = spreader_parts(data.draw(random_maps))
    path = write_shapefile(plan, tmp_path_factory.mktemp("set"), name="RATES_R1", written_on=DAY)
    found = read_shapefile_rates(path)
    assert np.array_equal(found.rates, plan.rates)
    figures = check_written(plan, found, file=path.name)
    assert figures.written_kg == pytest.approx(total_kg(plan), rel=1e-3)
