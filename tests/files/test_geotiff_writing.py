"""A raster is written aside, read back, compared, and only then put in place."""

import struct
import zlib

import numpy as np
import pytest
import rasterio
import shapely

from vrxapp.errors import GroundError, InputFileError, ReadBackError, TargetExistsError, WriteError
from vrxapp.files import geotiff_writing
from vrxapp.files.geotiff import describe_raster, open_raster
from vrxapp.files.geotiff_writing import NODATA, RasterBand, write_geotiff
from vrxapp.ground.grid import paddock_grid
from vrxapp.ground.paddock import Paddock

EAST, NORTH = 682_000.0, 6_124_000.0


@pytest.fixture
def grid():
    """Cells of 10 m over a triangle, so that some have no value."""
    corners = [(0, 0), (300, 0), (0, 200)]
    shape = shapely.Polygon([(EAST + x, NORTH + y) for x, y in corners])
    return paddock_grid(Paddock("Wedge", "EPSG:7855", shape), 10.0)


@pytest.fixture
def bands(grid):
    """A mean and its error, missing outside."""
    mean = np.where(grid.inside, np.arange(grid.inside.size).reshape(grid.shape) / 7.0, np.nan)
    return (RasterBand("Colwell P", "mg/kg", mean), RasterBand("error", "mg/kg", mean / 10.0))


def test_what_is_written_comes_back_in_its_place(tmp_path, grid, bands):
    path = tmp_path / "map.tif"
    write_geotiff(bands, grid, path, facts={"WAY": "kriging"})
    with rasterio.open(path) as read:
        assert (read.count, read.dtypes[0], read.nodata) == (2, "float32", NODATA)
        assert read.crs.to_epsg() == 7855
        assert read.bounds == (EAST, NORTH, EAST + 300.0, NORTH + 200.0)
        assert read.tags()["AREA_OR_POINT"] == "Area"
        assert read.tags()["WAY"] == "kriging"
        assert read.compression.value == "DEFLATE"
        first = read.read(1, masked=True)
    assert np.array_equal(~first.mask, grid.inside)
    assert first.filled(np.nan) == pytest.approx(bands[0].values, rel=1e-6, nan_ok=True)
    described = describe_raster(path)
    assert [(band.name, band.unit) for band in described.bands] == [
        ("Colwell P", "mg/kg"),
        ("error", "mg/kg"),
    ]
    assert list(tmp_path.iterdir()) == [path]


def test_row_0_is_the_northern_one_and_a_cell_lies_around_its_middle(tmp_path, grid, bands):
    write_geotiff(bands, grid, tmp_path / "map.tif")
    source = open_raster(tmp_path / "map.tif", band=1)
    south_west = source.values_at(np.array([EAST + 5.0]), np.array([NORTH + 5.0]))
    assert south_west == pytest.approx(bands[0].values[-1, 0], rel=1e-6)


def test_the_bytes_are_those_of_a_tiff_by_another_reader(tmp_path, grid, bands):
    """Tags and the first tile are taken from the bytes, without any library for rasters."""
    path = tmp_path / "map.tif"
    write_geotiff(bands[:1], grid, path)
    data = path.read_bytes()
    assert data[:4] == b"II*\0"
    (start,) = struct.unpack_from("<I", data, 4)
    (count,) = struct.unpack_from("<H", data, start)
    tags = {}
    for number in range(count):
        tag, kind, length, _ = struct.unpack_from("<HHII", data, start + 2 + 12 * number)
        code = {3: "H", 4: "I", 12: "d"}.get(kind)
        at = start + 2 + 12 * number + 8
        if code is not None:
            layout = f"<{length}{code}"
            if struct.calcsize(layout) > 4:
                (at,) = struct.unpack_from("<I", data, at)
            tags[tag] = struct.unpack_from(layout, data, at)
    rows, columns = grid.shape
    assert (tags[256], tags[257]) == ((columns,), (rows,))
    assert tags[33550][:2] == (10.0, 10.0)  # size of a cell
    assert tags[33922][3:5] == (EAST, NORTH + 200.0)  # corner of the first
    offset, size, width = tags[324][0], tags[325][0], tags[322][0]
    tile = np.frombuffer(zlib.decompress(data[offset : offset + size]), "<f4").reshape(-1, width)
    meant = np.where(np.isnan(bands[0].values), NODATA, bands[0].values).astype(np.float32)
    assert np.array_equal(tile[:rows, :columns], meant)


def test_an_older_file_stays_unless_it_may_be_replaced(tmp_path, grid, bands):
    path = tmp_path / "map.tif"
    path.write_bytes(b"mine")
    with pytest.raises(TargetExistsError, match="exists already"):
        write_geotiff(bands, grid, path)
    assert path.read_bytes() == b"mine"
    write_geotiff(bands, grid, path, replace=True)
    assert open_raster(path, band=1).band_name == "Colwell P"


def spoilt(how, path):
    """A maker of files that makes something else than it was given."""
    honest = geotiff_writing._content

    def content(bands, grid, facts):
        path.write_bytes(honest(bands, grid, facts))
        with rasterio.open(path, "r+") as dataset:
            how(dataset)
        return path.read_bytes()

    return content


@pytest.mark.parametrize(
    ("how", "told"),
    [
        (lambda d: d.write(d.read(1) + np.float32(0.5), 1), "values"),
        (lambda d: d.set_band_description(2, "other"), "name"),
        (lambda d: setattr(d, "units", ("mg/kg", "g/kg")), "unit"),
        (lambda d: setattr(d, "crs", "EPSG:7854"), "coordinate system"),
        (
            lambda d: setattr(d, "transform", rasterio.Affine(10, 0, EAST + 10, 0, -10, NORTH)),
            "place of its cells",
        ),
    ],
    ids=["values", "name", "unit", "system", "place"],
)
def test_a_file_that_does_not_come_back_as_meant_is_not_put_in_place(
    tmp_path, grid, bands, monkeypatch, how, told
):
    folder = tmp_path / "maps"
    folder.mkdir()
    path = folder / "map.tif"
    path.write_bytes(b"older")
    monkeypatch.setattr(geotiff_writing, "_content", spoilt(how, tmp_path / "spoilt.tif"))
    with pytest.raises(ReadBackError, match=told):
        write_geotiff(bands, grid, path, replace=True)
    assert path.read_bytes() == b"older"
    assert list(folder.iterdir()) == [path]


def test_what_cannot_be_written_is_refused_before(tmp_path, grid, bands):
    with pytest.raises(InputFileError, match=r"end in \.tif"):
        write_geotiff(bands, grid, tmp_path / "map.png")
    with pytest.raises(GroundError, match="no band"):
        write_geotiff((), grid, tmp_path / "map.tif")
    narrow = RasterBand("narrow", "", bands[0].values[:, :-1])
    with pytest.raises(GroundError, match="rows and columns"):
        write_geotiff((narrow,), grid, tmp_path / "map.tif")
    for value in (NODATA, np.inf):
        odd = RasterBand("odd", "", np.where(grid.inside, value, np.nan))
        with pytest.raises(GroundError, match="cannot tell from none"):
            write_geotiff((odd,), grid, tmp_path / "map.tif")
    with pytest.raises(WriteError, match="folder does not exist"):
        write_geotiff(bands, grid, tmp_path / "nowhere" / "map.tif")
    assert list(tmp_path.iterdir()) == []
