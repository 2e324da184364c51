"""A boundary is the same ground in every format, whoever reads it."""

import json
import warnings
import zipfile
from xml.etree import ElementTree as ET

import numpy as np
import pyogrio
import pyogrio.raw
import pyproj
import pytest
import shapefile
import shapely
from shapely.geometry import shape

PADDOCKS = {"long_bend": "", "two_mile_sands": "two_mile_sands", "pan_block": "pan_block"}
METRIC = {"long_bend": 7855, "two_mile_sands": 7855, "pan_block": 7854}
KML = "{http://www.opengis.net/kml/2.2}"


def boundary(remade, paddock):
    path = remade / PADDOCKS[paddock] / "boundary.geojson"
    (feature,) = json.loads(path.read_text("utf-8"))["features"]
    return shape(feature["geometry"]), feature["properties"]


def by_gdal(path):
    """The one shape of a file as GDAL has it, in longitude and latitude, and its system."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        meta, _, (wkb,), _ = pyogrio.raw.read(path, force_2d=True)
    code = pyproj.CRS.from_user_input(meta["crs"]).to_epsg()
    turn = pyproj.Transformer.from_crs(code, 4326, always_xy=True).transform
    read = shapely.from_wkb(wkb)
    return shapely.transform(read, lambda xy: np.column_stack(turn(xy[:, 0], xy[:, 1]))), code


def differs_by_m(one, other):
    """Furthest that a corner of one lies from the lines of the other, both ways. [m]"""
    per_degree = 111_320.0
    return (
        max(
            shapely.hausdorff_distance(one.boundary, other.boundary),
            shapely.hausdorff_distance(other.boundary, one.boundary),
        )
        * per_degree
    )


@pytest.mark.parametrize("paddock", PADDOCKS)
@pytest.mark.parametrize(
    "suffix", ["_shapefile.zip", "_shapefile", ".gpkg", ".kml", ".kmz"], ids=lambda s: s[1:]
)
def test_the_boundary_equals_the_geojson_by_gdal(remade, paddock, suffix):
    expected, _ = boundary(remade, paddock)
    read, code = by_gdal(remade / "other_formats" / f"{paddock}{suffix}")
    systems = {"_shapefile.zip": METRIC[paddock], ".gpkg": 7844}
    assert code == systems.get(suffix, 4326)
    assert read.is_valid
    assert differs_by_m(read, expected) < 0.002
    assert shapely.equals_exact(read.normalize(), expected.normalize(), tolerance=2e-8)


@pytest.mark.parametrize("paddock", PADDOCKS)
def test_the_plain_shapefile_equals_the_geojson_by_another_reader(remade, paddock):
    expected, fields = boundary(remade, paddock)
    path = remade / "other_formats" / f"{paddock}_shapefile" / f"{paddock}.shp"
    with shapefile.Reader(str(path)) as reader:
        (found,) = reader.iterShapeRecords()
        read, record = shape(found.shape.__geo_interface__), found.record.as_dict()
    assert shapely.equals_exact(read.normalize(), expected.normalize(), tolerance=1e-9)
    assert record["name"] == fields["name"]
    assert record["note"].startswith("Invented")


@pytest.mark.parametrize("paddock", PADDOCKS)
def test_the_archives_hold_what_their_format_asks_for(remade, paddock):
    with zipfile.ZipFile(remade / "other_formats" / f"{paddock}_shapefile.zip") as archive:
        assert set(archive.namelist()) == {
            f"{paddock}.{suffix}" for suffix in ("shp", "shx", "dbf", "prj", "cpg")
        }
    with zipfile.ZipFile(remade / "other_formats" / f"{paddock}.kmz") as archive:
        inside = archive.read("doc.kml")
        assert archive.namelist() == ["doc.kml"]
    assert inside == (remade / "other_formats" / f"{paddock}.kml").read_bytes()


@pytest.mark.parametrize("paddock", PADDOCKS)
def test_the_placemark_tells_its_name_and_that_it_is_invented(remade, paddock):
    path = remade / "other_formats" / f"{paddock}.kml"
    (placemark,) = ET.fromstring(path.read_text("utf-8")).iter(f"{KML}Placemark")  # noqa: S314 - our own file
    assert placemark.findtext(f"{KML}name") == boundary(remade, paddock)[1]["name"]
    assert placemark.findtext(f"{KML}description").startswith("Invented")
