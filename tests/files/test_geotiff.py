"""Rasters are read where they lie, in their unit, and refused in words otherwise."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import rasterio
from foreign_files import VALUES, VIRTUAL_RASTER, write_geotiff
from hypothesis import given, settings
from hypothesis import strategies as st
from rasterio.transform import Affine

from vrxapp.errors import GroundError, InputFileError, MissingInputError, UnknownChoiceError
from vrxapp.files.geotiff import describe_raster, open_raster

METRES = Affine(10.0, 0.0, 680_000.0, 0.0, -10.0, 6_125_000.0)
TURNED = Affine(9.4, 3.4, 680_000.0, 3.4, -9.4, 6_125_000.0)
MIRRORED = Affine(-10.0, 0.0, 680_000.0, 0.0, -10.0, 6_125_000.0)
OPEN_FILES = Path("/proc/self/fd")
WHOLE = (149.0, -35.0, 149.00036, -34.9998)


def whole(source, max_cells=10_000):
    return source.window(source.bounds, max_cells)


def test_a_raster_lies_where_its_file_says(tmp_path):  # TIF-01
    source = open_raster(write_geotiff(tmp_path / "a.tif"))
    assert source.bounds == pytest.approx(WHOLE, abs=1e-9)
    assert source.shape == (2, 3)
    a, _, c, _, e, f = source.transform
    assert (c + a / 2, f + e / 2) == pytest.approx((149.00006, -34.99985), abs=1e-9)
    # the point of row 1, column 0 lies in the cell without a value, the others around it
    found = source.values_at(
        np.array([149.00006, 149.00006, 149.00018]), np.array([-34.99985, -34.99995, -34.99995])
    )
    assert np.array_equal(found, [150.0, np.nan, 50.0], equal_nan=True)


def test_a_cell_marked_as_missing_has_no_value(tmp_path):  # TIF-02
    values = whole(open_raster(write_geotiff(tmp_path / "a.tif"))).values
    assert np.array_equal(values, np.where(VALUES == -9999, np.nan, VALUES), equal_nan=True)
    assert np.nanmean(values) == 150.0


def test_scale_and_offset_are_applied(tmp_path):  # TIF-03
    raw = np.array([[1500, 65535], [0, 20]])
    path = write_geotiff(
        *(tmp_path / "a.tif", raw),
        dtype="uint16",
        nodata=65535,
        scales=(0.1,),
        offsets=(-5.0,),
    )
    values = whole(open_raster(path)).values
    expected = np.array([[145.0, np.nan], [-5.0, -3.0]])
    assert np.allclose(values, expected, atol=1e-12, equal_nan=True)


def test_a_window_holds_every_cell_that_it_touches_and_no_other(tmp_path):  # TIF-04, touched
    source = open_raster(write_geotiff(tmp_path / "a.tif"))
    _, south, east, north = source.bounds
    part = source.window((149.00013, south, east, north), 100)
    assert np.array_equal(part.values, [[200, 250], [50, 100]])
    assert part.transform[2] == pytest.approx(149.00012, abs=1e-9)
    assert source.window((149.00007, south, east, north), 100).values.shape == (2, 3)


def test_a_file_tagged_point_lies_where_the_same_file_tagged_area_does(tmp_path):  # TIF-05
    area, point = (
        open_raster(write_geotiff(tmp_path / f"{kind}.tif", tags={"AREA_OR_POINT": kind}))
        for kind in ("Area", "Point")
    )
    # the two files differ: the point's tie is the middle of its first cell
    assert area.path.read_bytes() != point.path.read_bytes()
    assert point.transform == pytest.approx(area.transform, abs=1e-9)
    assert (point.transform[2], point.transform[5]) == pytest.approx((149.0, -34.9998), abs=1e-9)


@pytest.mark.parametrize("beside", [True, False])
def test_a_virtual_raster_named_tif_is_refused(tmp_path, beside):  # SEC-01
    if beside:
        write_geotiff(tmp_path / "real.tif")
    path = tmp_path / "virtual.tif"
    path.write_text(VIRTUAL_RASTER)
    for read in (open_raster, describe_raster):
        with pytest.raises(InputFileError, match=r"virtual\.tif: it is a virtual file"):
            read(path)


def test_overviews_beside_the_file_are_not_opened(tmp_path):
    path = write_geotiff(tmp_path / "a.tif", np.ones((64, 64)), transform=METRES, crs="EPSG:7855")
    write_geotiff(tmp_path / "other.tif", np.full((32, 32), 7.0), transform=METRES, crs="EPSG:7855")
    (tmp_path / "other.tif").rename(tmp_path / "a.tif.ovr")
    with rasterio.open(path) as dataset:  # by itself the library would take them
        assert np.all(dataset.read(1, out_shape=(16, 16)) == 7.0)
    assert np.all(whole(open_raster(path), 256).values == 1.0)


def test_a_file_that_starts_like_a_tiff_and_is_none_is_refused(tmp_path):
    path = tmp_path / "a.tif"
    path.write_bytes(b"II*\0" + bytes(50))
    with pytest.raises(InputFileError, match=r"a\.tif: it is damaged, or no GeoTIFF"):
        open_raster(path)


def test_text_named_tif_is_refused(tmp_path):
    (tmp_path / "a.tif").write_text("east,north,value\n1,2,3\n")
    with pytest.raises(InputFileError, match="its name says GeoTIFF, but inside it is plain text"):
        open_raster(tmp_path / "a.tif")


def test_an_empty_file_a_folder_and_a_missing_file_are_refused(tmp_path):
    (tmp_path / "empty.tif").touch()
    (tmp_path / "folder.tif").mkdir()
    for name, words in (("empty", "empty"), ("folder", "folder"), ("gone", "no such file")):
        with pytest.raises(InputFileError, match=words) as caught:
            open_raster(tmp_path / f"{name}.tif")
        assert caught.value.note.file == f"{name}.tif"
        assert caught.value.note.mend


@pytest.mark.parametrize("share_left", [0.02, 0.3, 0.6, 0.9, 0.999])
@pytest.mark.parametrize("layout", [{}, {"tiled": True, "BIGTIFF": "YES"}, {"ENDIANNESS": "BIG"}])
def test_a_file_that_is_cut_short_is_refused_when_it_is_opened(tmp_path, share_left, layout):
    rng = np.random.default_rng(1)
    path = write_geotiff(
        *(tmp_path / "a.tif", rng.normal(size=(200, 200))),
        transform=METRES,
        crs="EPSG:7855",
        compress="deflate",
        **{"blockxsize": 64, "blockysize": 64, **layout} if "tiled" in layout else layout,
    )
    assert open_raster(path).shape == (200, 200)
    os.truncate(path, int(share_left * path.stat().st_size))
    for read in (open_raster, describe_raster):
        with pytest.raises(InputFileError, match=r"cut short|damaged|inside it is") as caught:
            read(path)
        assert "again" in caught.value.note.mend


def test_a_file_that_vanishes_or_changes_after_it_was_opened_is_told(tmp_path):
    source = open_raster(write_geotiff(tmp_path / "a.tif"))
    write_geotiff(tmp_path / "a.tif", np.ones((4, 4)))
    with pytest.raises(InputFileError, match="has changed"):
        whole(source)
    (tmp_path / "a.tif").unlink()
    with pytest.raises(InputFileError, match="no such file"):
        source.values_at(np.array([149.0001]), np.array([-34.9999]))


def test_a_raster_without_coordinate_system_or_place_is_refused(tmp_path):
    with pytest.raises(GroundError, match="no coordinate system"):
        open_raster(write_geotiff(tmp_path / "no_crs.tif", crs=None))
    with pytest.raises(GroundError, match="does not say where it lies"):
        open_raster(write_geotiff(tmp_path / "no_place.tif", crs=None, transform=None))


def test_a_local_coordinate_system_is_refused(tmp_path):
    with pytest.raises(GroundError, match="none that is known here"):
        open_raster(write_geotiff(tmp_path / "a.tif", crs='LOCAL_CS["shed",UNIT["metre",1]]'))


@pytest.mark.parametrize("transform", [TURNED, MIRRORED], ids=["turned", "mirrored"])
def test_a_turned_or_mirrored_raster_is_refused(tmp_path, transform):
    with pytest.raises(GroundError, match="turned or mirrored") as caught:
        open_raster(write_geotiff(tmp_path / "a.tif", transform=transform, crs="EPSG:7855"))
    assert "north up" in caught.value.note.mend


def test_a_raster_with_its_first_row_in_the_south_is_read_alike(tmp_path):
    north_up = open_raster(write_geotiff(tmp_path / "n.tif", transform=METRES, crs="EPSG:7855"))
    upside_down = Affine(10.0, 0.0, 680_000.0, 0.0, 10.0, 6_124_980.0)
    south_up = open_raster(
        write_geotiff(tmp_path / "s.tif", VALUES[::-1], transform=upside_down, crs="EPSG:7855")
    )
    assert south_up.bounds == north_up.bounds
    east, north = np.meshgrid([680_005.0, 680_015.0, 680_025.0], [6_124_995.0, 6_124_985.0])
    found = south_up.values_at(east, north)
    assert np.array_equal(found, north_up.values_at(east, north), equal_nan=True)
    assert np.isfinite(found).sum() == 5
    top = (680_000.0, 6_124_991.0, 680_030.0, 6_124_999.0)
    assert np.array_equal(south_up.window(top, 9).values, north_up.window(top, 9).values)


@pytest.mark.parametrize(
    ("size_m", "read"), [(0.04, False), (0.06, True), (999, True), (1001, False)]
)
def test_cells_of_an_unlikely_size_are_refused(tmp_path, size_m, read):
    transform = Affine(size_m, 0.0, 680_000.0, 0.0, -size_m, 6_125_000.0)
    path = write_geotiff(tmp_path / "a.tif", transform=transform, crs="EPSG:7855")
    if read:
        assert open_raster(path).shape == (2, 3)
    else:
        with pytest.raises(GroundError, match="a cell is"):
            open_raster(path)


def test_a_raster_that_is_too_large_is_refused_before_it_is_read(tmp_path):
    path = tmp_path / "large.tif"
    size = {"width": 40_001, "height": 100_000, "count": 1, "dtype": "uint8"}
    place = {"crs": "EPSG:7855", "transform": METRES}
    with rasterio.open(path, "w", driver="GTiff", sparse_ok=True, **size, **place):
        pass
    with pytest.raises(InputFileError, match=r"40001 columns.*4,000 million"):
        open_raster(path)
    write_geotiff(tmp_path / "bands.tif", np.ones((101, 2, 2)), transform=METRES, crs="EPSG:7855")
    with pytest.raises(InputFileError, match="101 bands"):
        open_raster(tmp_path / "bands.tif", band=1)


def test_memory_does_not_grow_with_the_raster(tmp_path):
    path = tmp_path / "large.tif"
    size = {"width": 25_000, "height": 25_000, "count": 1, "dtype": "uint8"}
    place = {"crs": "EPSG:7855", "transform": METRES}
    with rasterio.open(path, "w", driver="GTiff", tiled=True, sparse_ok=True, **size, **place):
        pass
    reading = (
        "import sys; from pathlib import Path\n"
        "from vrxapp.files.geotiff import describe_raster\n"
        "describe_raster(Path(sys.argv[1]))\n"
        "print(Path('/proc/self/status').read_text().split('VmHWM:')[1].split()[0])"
    )
    done = subprocess.run(
        [sys.executable, "-c", reading, path], capture_output=True, text=True, check=True
    )
    peak_bytes = int(done.stdout) * 1024
    assert peak_bytes < 25_000 * 25_000  # less than its cells alone take


def test_a_file_of_several_bands_asks_which(tmp_path):
    path = write_geotiff(
        tmp_path / "a.tif", np.stack([VALUES, 2 * VALUES]), descriptions=("red", "nir")
    )
    with pytest.raises(MissingInputError, match=r"2 bands\. Choose one of them: 1 red, 2 nir"):
        open_raster(path)
    with pytest.raises(UnknownChoiceError, match="no band 3"):
        open_raster(path, band=3)
    second = open_raster(path, band=2)
    assert second.band_name == "nir"
    assert whole(second).values[0, 0] == 300.0


def test_complex_numbers_are_refused(tmp_path):
    path = write_geotiff(tmp_path / "a.tif", dtype="complex64", nodata=None)
    with pytest.raises(InputFileError, match="complex64, not plain numbers"):
        open_raster(path)


def test_a_raster_without_any_value_is_read_and_told(tmp_path):
    path = write_geotiff(tmp_path / "a.tif", np.full((2, 3), -9999.0))
    assert np.all(np.isnan(whole(open_raster(path)).values))
    assert np.all(np.isnan(whole(open_raster(path), 1).values))
    (note,) = describe_raster(path).notes
    assert "no cell of band 1 holds a value" in str(note)


def test_values_that_are_no_numbers_are_missing(tmp_path):
    path = write_geotiff(tmp_path / "a.tif", [[np.nan, np.inf, 3.0]], nodata=None)
    assert np.array_equal(whole(open_raster(path)).values, [[np.nan, np.nan, 3.0]], equal_nan=True)


def test_a_description_says_what_the_file_holds(tmp_path):
    path = write_geotiff(
        *(tmp_path / "a.tif", VALUES),
        transform=METRES,
        crs="EPSG:7855",
        units=("mS/m",),
        descriptions=("apparent conductivity",),
    )
    told = describe_raster(path)
    assert (told.file, told.crs, told.crs_name) == ("a.tif", "EPSG:7855", "GDA2020 / MGA zone 55")
    assert told.bounds == (680_000.0, 6_124_980.0, 680_030.0, 6_125_000.0)
    assert (told.shape, told.cell_size_m, told.notes) == ((2, 3), (10.0, 10.0), ())
    (band,) = told.bands
    assert (band.number, band.name, band.unit) == (1, "apparent conductivity", "mS/m")
    assert (band.stored_as, band.share_with_value) == ("float32", pytest.approx(5 / 6))
    assert (band.lowest, band.highest) == (50.0, 250.0)
    source = open_raster(path)
    assert (source.crs, source.band_name, source.unit) == ("EPSG:7855", band.name, band.unit)


def test_the_unit_may_stand_in_the_tags(tmp_path):
    assert open_raster(write_geotiff(tmp_path / "a.tif", tags={"UNITS": "kg/ha"})).unit == "kg/ha"


def test_a_large_window_is_joined_into_fewer_cells_of_the_same_ground(tmp_path):
    values = np.add.outer(np.arange(300.0), np.arange(500.0))
    path = write_geotiff(tmp_path / "a.tif", values, transform=METRES, crs="EPSG:7855")
    part = whole(open_raster(path), 6000)
    assert part.values.shape == (60, 100)
    assert part.transform == (50.0, 0.0, 680_000.0, 0.0, -50.0, 6_125_000.0)
    # each is the mean of its 25 cells
    assert part.values[0, 0] == pytest.approx(4.0)
    assert part.values.mean() == pytest.approx(values.mean())


def test_joined_whole_numbers_are_means_to_the_nearest_step(tmp_path):
    raw = np.array([[0, 40], [3, 0]])
    path = write_geotiff(tmp_path / "a.tif", raw, dtype="uint8", nodata=255, scales=(0.5,))
    # a quarter of 43 is 10.75, stored as 11 steps of 0.5
    assert whole(open_raster(path), 1).values == pytest.approx(np.array([[5.5]]))


def test_cells_without_a_value_do_not_count_when_cells_are_joined(tmp_path):
    for name, nothing in (("a.tif", -9999.0), ("b.tif", np.nan)):
        path = write_geotiff(tmp_path / name, [[4.0, 8.0], [nothing, nothing]], nodata=nothing)
        assert whole(open_raster(path), 1).values == pytest.approx(np.array([[6.0]]))


def test_overviews_inside_the_file_serve_large_windows(tmp_path):
    path = write_geotiff(tmp_path / "a.tif", np.ones((512, 512)), transform=METRES, crs="EPSG:7855")
    with rasterio.open(path, "r+") as out:
        out.build_overviews([4])
    with rasterio.open(path, "r+", overview_level=0) as out:  # marked, to see who reads it
        out.write(np.full((1, 128, 128), 9.0, dtype="float32"))
    source = open_raster(path)
    assert np.all(whole(source, 128 * 128).values == 9.0)
    assert np.all(whole(source, 512 * 512).values == 1.0)


def test_a_window_beside_the_raster_or_of_no_cells_is_refused(tmp_path):
    source = open_raster(write_geotiff(tmp_path / "a.tif"))
    with pytest.raises(GroundError, match="nothing of the raster lies there"):
        source.window((150.0, -35.0, 150.1, -34.9), 10)
    with pytest.raises(GroundError, match="at least one"):
        source.window(source.bounds, 0)


def test_a_window_cannot_be_changed(tmp_path):
    part = whole(open_raster(write_geotiff(tmp_path / "a.tif")))
    with pytest.raises(ValueError, match="read-only"):
        part.values[0, 0] = 1.0


def test_points_all_over_a_large_raster_find_their_cells(tmp_path):
    rng = np.random.default_rng(2)
    values = rng.integers(0, 60_000, (2100, 2300))
    path = write_geotiff(
        *(tmp_path / "a.tif", values),
        transform=METRES,
        crs="EPSG:7855",
        dtype="uint16",
        nodata=None,
    )
    row, column = rng.integers(0, 2100, 500), rng.integers(0, 2300, 500)
    found = open_raster(path).values_at(680_005.0 + 10 * column, 6_124_995.0 - 10 * row)
    assert np.array_equal(found, values[row, column])


def test_points_outside_and_points_without_a_place_have_no_value(tmp_path):
    source = open_raster(write_geotiff(tmp_path / "a.tif"))
    found = source.values_at(
        np.array([148.9999, 149.00036, np.nan, 149.0]),
        np.array([-34.9999, -34.9999, -35, -34.9998]),
    )
    assert np.array_equal(found, [np.nan, np.nan, np.nan, 150.0], equal_nan=True)
    assert source.values_at(np.array([]), np.array([])).size == 0


@pytest.mark.skipif(not OPEN_FILES.is_dir(), reason="this system does not list open files")
def test_no_file_is_open_between_reads(tmp_path):
    path = write_geotiff(tmp_path / "a.tif")
    source = open_raster(path)
    whole(source)
    source.values_at(np.array([149.0001]), np.array([-34.9999]))
    targets = [link.resolve() for link in OPEN_FILES.iterdir()]
    assert path.resolve() not in targets


@pytest.mark.parametrize("name", ["ä å 麦.tif", "a#1.tif", "a?b%20c.tif", "x!y.tif", "{a}.tif"])
def test_any_name_of_a_file_is_taken_as_it_is(tmp_path, name):
    assert describe_raster(write_geotiff(tmp_path / "a.tif").rename(tmp_path / name)).file == name


def test_a_system_without_a_code_is_given_in_full(tmp_path):
    own = "+proj=tmerc +lat_0=0 +lon_0=147 +k=1 +x_0=0 +y_0=0 +ellps=GRS80 +units=m"
    source = open_raster(write_geotiff(tmp_path / "a.tif", transform=METRES, crs=own))
    assert "Transverse" in source.crs
    assert whole(source).values.shape == (2, 3)


@pytest.fixture(scope="module")
def random_raster(tmp_path_factory):
    values = np.random.default_rng(3).normal(size=(37, 53)).astype("float32")
    path = tmp_path_factory.mktemp("raster") / "a.tif"
    return open_raster(write_geotiff(path, values, transform=METRES, crs="EPSG:7855")), values


@given(
    west=st.floats(0, 529),
    south=st.floats(0, 369),
    width=st.floats(0.01, 600),
    height=st.floats(0.01, 400),
)
@settings(max_examples=60, deadline=None)
def test_any_window_agrees_with_the_values_at_its_cells(random_raster, west, south, width, height):
    source, _ = random_raster
    x, y = 680_000.0 + west, 6_125_000.0 - 370.0 + south
    part = source.window((x, y, x + width, y + height), 10_000)
    a, _, c, _, e, f = part.transform
    rows, columns = part.values.shape
    east, north = np.meshgrid(c + a * (np.arange(columns) + 0.5), f + e * (np.arange(rows) + 0.5))
    assert np.array_equal(source.values_at(east, north), part.values)
    assert c <= x
    assert f >= min(y + height, 6_125_000.0)


@given(max_cells=st.integers(1, 3000))
@settings(max_examples=40, deadline=None)
def test_a_window_never_holds_more_cells_than_asked_for(random_raster, max_cells):
    source, values = random_raster
    part = whole(source, max_cells)
    assert part.values.size <= max_cells
    assert values.min() <= part.values.min() <= part.values.max() <= values.max()
    a, _, _, _, e, _ = part.transform
    covered = (a * part.values.shape[1], -e * part.values.shape[0])
    assert covered == pytest.approx((530.0, 370.0))
