import pytest

from vrxapp.errors import GroundError
from vrxapp.files.geojson_crs import declared_crs


def named(name):
    return {"crs": {"type": "name", "properties": {"name": name}}}


@pytest.mark.parametrize("root", [{}, {"crs": None}])
def test_a_file_that_declares_nothing_is_in_longitude_and_latitude(root):
    assert declared_crs(root) is None


@pytest.mark.parametrize(
    "name",
    [
        "urn:ogc:def:crs:OGC:1.3:CRS84",
        "urn:ogc:def:crs:OGC::CRS84",
        "EPSG:4326",
        "urn:ogc:def:crs:EPSG::4326",
        "urn:x-ogc:def:crs:EPSG:6.9:4326",
    ],
)
def test_wgs_84_by_any_of_its_names_is_plain_longitude_and_latitude(name):
    assert declared_crs(named(name)) is None


@pytest.mark.parametrize("name", ["EPSG:7855", "urn:ogc:def:crs:EPSG::7855", "epsg:7855"])
def test_a_map_grid_is_known_by_its_code(name):
    crs = declared_crs(named(name))
    assert (crs.code, crs.lon_lat, crs.is_projected) == ("EPSG:7855", "EPSG:4326", True)
    assert "MGA" in crs.name


@pytest.mark.parametrize("code", [4283, 28355])
def test_coordinates_on_gda94_go_to_gda2020_and_keep_its_shift(code):
    assert declared_crs(named(f"EPSG:{code}")).lon_lat == "EPSG:7844"


@pytest.mark.parametrize(
    "member",
    [
        {"type": "name", "properties": {"name": "EPSG:999999"}},
        {"type": "name", "properties": {"name": "the local grid"}},
        {"type": "name", "properties": {"name": "EPSG:5711"}},  # a height
        {"type": "name", "properties": {"name": "EPSG:4978"}},  # metres from the earth's centre
        {"type": "name", "properties": {"name": 7855}},
        {"type": "name"},
        {"type": "link", "properties": {"href": "crs.txt"}},
        "EPSG:7855",
    ],
)
def test_a_declaration_that_names_no_map_system_is_refused(member):
    with pytest.raises(GroundError, match="no coordinate system") as caught:
        declared_crs({"crs": member})
    assert caught.value.note.column == "crs"
    assert "longitude and latitude" in caught.value.note.mend
