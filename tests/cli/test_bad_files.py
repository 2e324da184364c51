"""Files as they come by mail and on sticks: read or refused in one sentence, nothing written."""

import datetime

import pytest
from bad_files import (
    ENTITIES,
    GRID,
    LAB_HEADER,
    NO_PLACEMARK,
    OUTSIDE,
    VIRTUAL_SHAPES,
    cut,
    directory,
    empty,
    farm_cut,
    geopackage_with,
    kml_of,
    missing,
    text_called,
    virtual,
    workbook,
    workbook_with,
    zip_of,
    zip_that_leads_out,
    zones_without,
)
from foreign_files import VIRTUAL_RASTER, ZONES, kml_text, write_zones

SHAPES = ("geojson", "json", "shp", "zip", "gpkg", "kml", "kmz")
LAB = ("csv", "xlsx")
KML = kml_text(ZONES)
TRIGGER = "CREATE TRIGGER own AFTER INSERT ON gpkg_contents BEGIN SELECT 1; END"

OF_SHAPES = {
    **{f"text-named-{s}": (text_called(f"a.{s}"), "its name says") for s in SHAPES},
    **{f"empty-{s}": (empty(f"a.{s}"), "the file is empty") for s in SHAPES},
    **{f"folder-{s}": (directory(f"a.{s}"), "this is a folder") for s in SHAPES},
    **{f"missing-{s}": (missing(f"a.{s}"), "there is no such file") for s in SHAPES},
    **{
        f"{s}-cut-to-{left:.0%}": (cut(f"a.{s}", left), "cut short|damaged")
        for s in ("geojson", "zip", "gpkg", "kml", "kmz")
        for left in (0.3, 0.97)
    },
    **{
        f"{part[1:]}-cut-to-{left:.0%}": (
            cut("a.shp", left, part=part),
            f"{part} file is cut short",
        )
        for part in (".shp", ".shx", ".dbf")
        for left in (0.3, 0.97)
    },
    "zip-without-shp": (zip_of(("photo.jpg", b"x")), r"no \.shp in the archive"),
    "set-without-dbf": (zones_without(".dbf"), r"its \.dbf file.* is missing"),
    "set-without-prj-in-metres": (zones_without(".prj", ring=GRID), "metres of a map grid"),
    "zip-that-leads-out": (zip_that_leads_out, "leads out of the archive"),  # SEC-03
    "zip-bomb": (zip_of(("a.shp", bytes(60_000_000))), "times its size"),  # SEC-03
    "zip-in-zip": (zip_of(("b.zip", b"")), "an archive in the archive"),
    "kml-with-entities": (kml_of(ENTITIES + KML), "begins with a DOCTYPE"),  # SEC-04
    "kml-that-pulls-in": (kml_of(OUTSIDE + KML), "begins with a DOCTYPE"),  # SEC-04
    "kmz-with-entities": (kml_of(ENTITIES + KML, name="a.kmz"), "begins with a DOCTYPE"),
    "kml-without-placemarks": (kml_of(NO_PLACEMARK), "it holds no placemark"),
    "geopackage-with-trigger": (geopackage_with(TRIGGER), "it holds a trigger"),
    **{
        f"virtual-shapes-named-{s}": (virtual(VIRTUAL_SHAPES, f"a.{s}"), "points to other files")
        for s in SHAPES  # SEC-01
    },
}
OF_RASTERS = {
    "virtual-raster-named-tif": (virtual(VIRTUAL_RASTER, "a.tif"), "points to other files"),
    "text-named-tif": (text_called("a.tif"), "its name says GeoTIFF"),
    "empty-tif": (empty("a.tif"), "the file is empty"),
    "folder-tif": (directory("a.tif"), "this is a folder"),
    "missing-tif": (missing("a.tif"), "there is no such file"),
    "tif-cut-to-30%": (cut("a.tif", 0.3), "cut short|damaged"),
    "tif-cut-to-97%": (cut("a.tif", 0.97), "cut short|damaged"),
}
DECLARED = b'<!DOCTYPE a [<!ENTITY b "c">]>'
DATED = datetime.date(2025, 10, 1)  # what a spreadsheet makes of the layer 10-1
OF_SHEETS = {
    **{f"empty-{s}": (empty(f"a.{s}"), "the file is empty") for s in LAB},
    **{f"folder-{s}": (directory(f"a.{s}"), "this is a folder") for s in LAB},
    **{f"missing-{s}": (missing(f"a.{s}"), "there is no such file") for s in LAB},
    "text-named-xlsx": (text_called("a.xlsx"), "no known analyte"),
    "xlsx-cut-to-30%": (cut("lab.xlsx", 0.3), "damaged|no text file"),
    "xlsx-cut-to-97%": (cut("lab.xlsx", 0.97), "damaged|no text file"),
    "csv-cut-in-a-quote": (cut("a.csv", 0.82), "quotation mark"),
    "xlsx-with-a-formula-without-value": (
        workbook([LAB_HEADER, ("C1", "North", "0-10", "=10+10")]),
        r"row 2, column Colwell P.*formula without its value",
    ),
    "xlsx-with-a-date-for-a-sample": (
        workbook([LAB_HEADER, (DATED, "North", "0-10", 20)]),
        "row 2, column Sample.*date",
    ),
    "xlsx-with-a-date-for-a-layer": (  # XLS-01
        workbook([LAB_HEADER, ("C1", "North", DATED, 20)]),
        r"row 2, column Depth \(cm\).*date",
    ),
    "xlsx-bomb": (workbook_with("xl/media/a.png", bytes(60_000_000)), "unpacks to"),
    "xlsx-with-entities": (
        workbook_with(
            "xl/workbook.xml", b'<!DOCTYPE a [<!ENTITY b "c">]><workbook', replaces=b"<workbook"
        ),
        "declares entities",
    ),
    "xlsx-with-macros": (workbook_with("xl/vbaProject.bin", b"x"), "holds macros"),
}
OF_FARMS = {
    "text-named-farm": (text_called("a.gpkg"), "no farm file"),
    "empty-farm": (empty("a.gpkg"), "no farm file"),
    "folder-farm": (directory("a.gpkg"), "this is a folder"),
    "missing-farm": (missing("a.gpkg"), "there is no such file"),
    "farm-cut-to-30%": (farm_cut(0.3), "damaged|cut short"),
    "farm-cut-to-97%": (farm_cut(0.97), "damaged|cut short"),
    "shapes-for-a-farm": (lambda folder: write_zones(folder / "a.gpkg"), "no farm file"),
}


def cases(*tables):
    return [pytest.param(*case, id=name) for table in tables for name, case in table.items()]


@pytest.mark.parametrize(("make", "told"), cases(OF_SHAPES, OF_RASTERS, OF_SHEETS))
def test_a_bad_file_is_refused_by_inspect(refused, tmp_path, make, told):
    refused("inspect", make(tmp_path), told=told)


@pytest.mark.parametrize(("make", "told"), cases(OF_SHAPES))
def test_a_bad_boundary_is_refused_by_prescribe(refused, tmp_path, make, told):
    path, out = make(tmp_path), tmp_path / "job"
    refused("prescribe", "--boundary", path, "--yield", "4", "--out", out, told=told)


@pytest.mark.parametrize(("make", "told"), cases(OF_SHEETS))
def test_a_bad_lab_sheet_is_refused_by_needs(refused, tmp_path, make, told):
    refused("needs", "--lab", make(tmp_path), "--yield", "4", told=told)


@pytest.mark.parametrize(("make", "told"), cases(OF_FARMS))
def test_a_bad_farm_file_is_refused_by_prescribe(refused, tmp_path, make, told):
    refused("prescribe", "--farm", make(tmp_path), "--out", tmp_path / "job", told=told)
