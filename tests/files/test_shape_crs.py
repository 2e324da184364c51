import numpy as np
import pyproj
import pytest
import shapely

from vrxapp.errors import GroundError
from vrxapp.files.shape_crs import crs_from_text, lon_lat_shapes, told_crs

GDA94, GDA2020 = "EPSG:4283", "EPSG:7844"
GEOD = pyproj.Geod(ellps="GRS80")


def moved(x, y, crs):
    """A point through the door, with the notes."""
    shapes, notes = lon_lat_shapes(
        np.array([shapely.Point(x, y)], dtype=object),
        crs,
        points=np.array([[x, y]]),
        file="a.shp",
    )
    return shapes[0].x, shapes[0].y, notes


def dms(degrees, minutes, seconds):
    return degrees + minutes / 60 + seconds / 3600


def test_the_worked_example_of_the_datum_manual_comes_out():  # CRS-11
    x, y, _ = moved(dms(133, 53, 7.847844), -dms(23, 40, 12.446019), GDA94)
    assert x == pytest.approx(dms(133, 53, 7.877791), abs=1e-5 / 3600)
    assert y == pytest.approx(-dms(23, 40, 12.396499), abs=1e-5 / 3600)


def test_the_older_datum_goes_straight_to_the_newer_one():  # CRS-12
    x, y, notes = moved(149.0, -35.0, GDA94)
    assert (x, y) == (
        pytest.approx(149.000005609, abs=1e-8),
        pytest.approx(-34.999987128, abs=1e-8),
    )
    assert GEOD.inv(149.0, -35.0, x, y)[2] == pytest.approx(1.5171, abs=1e-3)
    assert "EPSG:4283 (GDA94)" in str(notes[0])


def test_the_older_datum_never_stays_where_it_was():  # CRS-13
    assert moved(149.0, -35.0, GDA94)[:2] != (149.0, -35.0)


def test_the_shift_is_that_of_the_published_parameters():  # CRS-14
    before = -4052051.7643, 4212836.2017, -2545106.0245
    after = -4052052.7379, 4212835.9897, -2545104.5898
    to_degrees = pyproj.Transformer.from_crs(
        "+proj=geocent +ellps=GRS80", "+proj=longlat +ellps=GRS80", always_xy=True
    )
    x, y, _ = to_degrees.transform(*before)
    wanted_x, wanted_y, _ = to_degrees.transform(*after)
    x, y, _ = moved(x, y, GDA94)
    assert GEOD.inv(x, y, wanted_x, wanted_y)[2] < 1e-3


def test_the_newer_datum_keeps_its_numbers_and_is_called_wgs_84():
    assert moved(149.0, -35.0, GDA2020)[:2] == (149.0, -35.0)


def test_plain_longitude_and_latitude_need_no_note():
    assert moved(149.0, -35.0, "EPSG:4326") == (149.0, -35.0, ())


def test_a_grid_without_a_code_follows_the_rule_of_its_datum():
    wkt = pyproj.CRS("EPSG:28355").to_wkt().replace("500000", "500001")
    wkt = wkt.replace('ID["EPSG",28355]', 'REMARK["shifted"]')
    assert crs_from_text(wkt).lon_lat == GDA2020
    east, north = pyproj.Transformer.from_crs(GDA94, "EPSG:28355", always_xy=True).transform(
        149.0, -35.0
    )
    x, y, _ = moved(east + 1, north, wkt)
    assert (x, y) == (
        pytest.approx(149.000005609, abs=1e-8),
        pytest.approx(-34.999987128, abs=1e-8),
    )


def test_ground_and_height_together_count_as_the_ground():
    assert crs_from_text("EPSG:7844+5711").code == "EPSG:7844"
    assert crs_from_text("EPSG:4979") is None


@pytest.mark.parametrize("text", ["the local grid", "EPSG:5711", "EPSG:4978", 'LOCAL_CS["x"]'])
def test_what_is_no_system_for_a_map_is_refused(text):
    with pytest.raises(GroundError, match="names is not known here") as caught:
        moved(149.0, -35.0, text)
    assert caught.value.note.file == "a.shp"


def test_degrees_without_a_system_are_taken_and_told():
    x, y, notes = moved(149.0, -35.0, "")
    assert (x, y) == (149.0, -35.0)
    assert "names no coordinate system" in str(notes[0])


def test_metres_without_a_system_are_refused_with_the_likely_zones():
    with pytest.raises(GroundError) as caught:
        moved(682516.0, 6125129.0, "")
    note = caught.value.note
    assert "MGA zone 49, 50, 51, 52, 53, 54, 55 (GDA2020: EPSG:7849 to 7855)" in str(note)
    assert "do not say which" in note.message
    assert ".prj" in note.mend


def test_a_zone_in_which_the_place_would_lie_at_sea_is_not_named():
    with pytest.raises(GroundError) as caught:
        moved(200000.0, 6125129.0, "")  # at the west of zone 49 it is no part of Australia
    assert "MGA zone 50, 51" in str(caught.value)


@pytest.mark.parametrize(
    ("x", "y", "crs", "told"),
    [
        (-35.0, 149.0, "EPSG:4326", "look swapped"),
        (-35.0, 149.0, "", "look swapped"),
        (682516.0, 6125129.0, "EPSG:4326", "no longitude and latitude"),
        (149.0, -35.0, "EPSG:7855", "look like degrees"),
    ],
)
def test_numbers_that_do_not_fit_the_system_are_refused(x, y, crs, told):
    with pytest.raises(GroundError, match=told):
        moved(x, y, crs)


def test_systems_are_told_by_name_and_code():
    assert told_crs("EPSG:28355") == "GDA94 / MGA zone 55 (EPSG:28355)"
    assert told_crs("nonsense") == "nonsense"
