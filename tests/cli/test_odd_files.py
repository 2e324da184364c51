"""Files with a quirk that is no fault: read, and the quirk told; nothing written."""

import datetime
import json
import re
import time
from pathlib import Path

import numpy as np
import pytest
import shapefile
import shapely
import xlsxwriter
from bad_files import GRID, LAB_HEADER, feature, sound, workbook, zones_without
from foreign_files import RING, write_geotiff, write_shapefile, write_with_gdal, zipped

from vrxapp.ground.geodesic_area import lon_lat_area_ha
from vrxapp.ground.projected_crs import LON_LAT, transformed


@pytest.fixture
def layer_of(harmless):
    """What `inspect` says of the one layer of a file."""

    def described(path, *more):
        code, out, err = harmless("inspect", path, "--json", *more)
        assert (code, err) == (0, "")
        (layer,) = json.loads(out)["layers"]
        return layer

    return described


@pytest.mark.parametrize("is_zipped", [False, True])
def test_a_set_without_its_index_is_read_and_told(layer_of, tmp_path, is_zipped):  # SHP-11
    whole = zones_without()(tmp_path)
    path = zipped(whole, keep=(".shp", ".dbf", ".prj")) if is_zipped else whole
    whole.with_suffix(".shx").unlink()
    layer = layer_of(path)
    assert layer["features"] == 2
    assert "its .shx file, the index of its shapes, is missing" in layer["notes"][0]


def test_degrees_without_a_prj_are_taken_and_told(layer_of, tmp_path):
    layer = layer_of(zones_without(".prj")(tmp_path))
    assert layer["extent, degrees"] == [149.0, -35.0, 149.01, -34.99]
    assert "names no coordinate system; its numbers were taken as" in layer["notes"][-1]


def test_metres_without_a_prj_are_read_once_the_system_is_said(layer_of, tmp_path):
    path = zones_without(".prj", ring=GRID)(tmp_path)
    layer = layer_of(path, "--crs", "EPSG:7855")
    assert layer["area, ha"] == pytest.approx(2 * 25, rel=2e-3)  # 500 m by 500 m, twice
    assert "GDA2020 / MGA zone 55 (EPSG:7855) was taken, as you said" in layer["notes"][0]


def test_a_ring_of_a_hundred_thousand_corners_is_read_fast(layer_of, tmp_path):
    turn = np.linspace(0, -2 * np.pi, 100_000, endpoint=False)
    ring = np.column_stack([149 + 0.01 * np.cos(turn), -35 + 0.01 * np.sin(turn)]).tolist()
    write_shapefile(tmp_path / "round.shp", [[[*ring, ring[0]]]], ["Round"])
    (tmp_path / "round.geojson").write_text(json.dumps(feature([*ring, ring[0]])))
    began = time.process_time()
    found = [layer_of(tmp_path / name)["area, ha"] for name in ("round.shp", "round.geojson")]
    assert time.process_time() - began < 10.0  # half a second each where nothing else runs
    assert found[0] == pytest.approx(found[1], rel=1e-12)


@pytest.mark.parametrize(
    ("kind", "told"),
    [(shapefile.POLYGONZ, "heights are left out"), (shapefile.POLYGONM, "measures along")],
)
def test_heights_and_measures_are_left_out_and_told(layer_of, tmp_path, kind, told):  # SHP-10
    ring = [(x, y, 612.0) for x, y in RING]
    write_shapefile(tmp_path / "high.shp", [[ring]], ["High"], kind=kind)
    layer = layer_of(tmp_path / "high.shp")
    assert layer["shapes"] == "Polygon"
    assert told in " ".join(layer["notes"])


@pytest.mark.parametrize("name", ["Weide Süd.shp", "草地.gpkg", "Прокос 1.geojson", "ñandú.kml"])
def test_names_in_any_letters_are_read(layer_of, tmp_path, name):
    assert layer_of(sound(tmp_path, name))["features"] == 3


def test_boundary_and_zones_in_two_systems_lie_on_one_another(verb, tmp_path):
    boundary, zones, lab = (tmp_path / n for n in ("boundary.geojson", "zones.shp", "lab.csv"))
    boundary.write_text(json.dumps(feature(RING, name="Flat")))
    halves = [shapely.box(149.0, -35.0, 149.005, -34.99), shapely.box(149.005, -35, 149.01, -34.99)]
    in_metres = transformed(np.array(halves), from_crs=LON_LAT, to_crs="EPSG:7855")
    names = ("West", "East")
    write_with_gdal(zones, in_metres, crs="EPSG:7855", kind="Polygon", names=names)
    lab.write_text(f"{','.join(LAB_HEADER)}\nC1,West,0-10,20\nC2,East,0-10,20\n")
    code, out, _ = verb("prescribe", "--boundary", boundary, "--zones", zones, "--lab", lab,
                        "--yield", "4", "--out", tmp_path / "job", "--json")  # fmt: skip
    assert code == 0
    areas = {zone["zone"]: zone["area_ha"] for zone in json.loads(out)["zones"]}
    for name, half_ha in zip(names, lon_lat_area_ha(np.array(halves)), strict=True):
        assert areas[name] == pytest.approx(half_ha, rel=1e-4)


def test_a_formula_with_its_value_is_read(harmless, tmp_path):
    with xlsxwriter.Workbook(str(tmp_path / "lab.xlsx")) as book:
        tab = book.add_worksheet()
        for row, cells in enumerate((LAB_HEADER, ("C1", "North", "0-10"))):
            tab.write_row(row, 0, cells)
        tab.write_formula(1, 3, "=10+10", None, 20)
    code, out, _ = harmless("needs", "--lab", tmp_path / "lab.xlsx", "--yield", "4", "--json")
    (record,) = json.loads(out)
    assert (code, record["amount"]) == (0, 12.0)  # 4 t/ha at 3 kg P/t


def test_a_date_in_a_column_of_dates_is_in_nobodys_way(harmless, tmp_path):
    rows = [("Sampled", *LAB_HEADER), (datetime.date(2025, 4, 1), "C1", "North", "0-10", 20)]
    code, out, _ = harmless("inspect", workbook(rows)(tmp_path), "--json")
    assert (code, json.loads(out)["samples"]) == (0, 1)


@pytest.mark.parametrize("suffix", ["geojson", "shp", "zip", "gpkg", "kml", "kmz"])
def test_shapes_that_vanish_half_way_are_told(verb, check_refusal, monkeypatch, tmp_path, suffix):
    import vrxapp.files.formats as module

    path, gate = sound(tmp_path, f"a.{suffix}"), module.checked_head

    def gate_and_vanish(checked, **named):
        head = gate(checked, **named)
        checked.unlink()
        return head

    monkeypatch.setattr(module, "checked_head", gate_and_vanish)
    check_refusal(verb("inspect", path), "vanished while it was being read|there is no such file")
    assert not [p for p in tmp_path.iterdir() if p.stem != "a"]


@pytest.mark.parametrize("suffix", ["csv", "xlsx"])
@pytest.mark.parametrize("arguments", [("inspect",), ("needs", "--yield", "4", "--lab")])
def test_a_sheet_that_vanishes_half_way_is_told(
    verb, check_refusal, monkeypatch, tmp_path, suffix, arguments
):
    path, read = sound(tmp_path, f"a.{suffix}"), Path.read_bytes

    def vanish_and_read(file):
        file.unlink(missing_ok=True)
        return read(file)

    monkeypatch.setattr(Path, "read_bytes", vanish_and_read)
    check_refusal(verb(*arguments, path), r"cannot be read \(No such file or directory\)")
    assert not list(tmp_path.iterdir())


def test_a_raster_that_vanishes_half_way_is_told(verb, check_refusal, monkeypatch, tmp_path):
    import vrxapp.files.geotiff_band as module

    path, gate = write_geotiff(tmp_path / "a.tif"), module.refuse_no_tiff

    def gate_and_vanish(checked):
        gate(checked)
        checked.unlink()

    monkeypatch.setattr(module, "refuse_no_tiff", gate_and_vanish)
    check_refusal(verb("inspect", path), "vanished while it was being read")
    assert not list(tmp_path.iterdir())


def test_no_sentence_holds_the_path_of_a_copy_aside(verb, tmp_path):
    path = zones_without(".shx")(tmp_path)
    content = path.read_bytes()
    path.write_bytes(content[:108] + b"\x03" + content[109:])  # the kind of the first shape
    _, _, err = verb("inspect", path)
    assert re.match(r"Error: zones\.shp: its \.shx file.*not sound enough", err)
