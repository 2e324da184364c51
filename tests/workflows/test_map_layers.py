"""Rasters linked and read: the part asked for, in the paddock's own coordinates."""

from dataclasses import replace

import numpy as np
import pyproj
import pytest
import rasterio
import shapely
from rasterio.transform import Affine

from vrxapp.errors import GroundError, InputFileError
from vrxapp.files.checksum import file_checksum
from vrxapp.files.linked_rasters import found_path, stored_path
from vrxapp.ground.paddock import Paddock
from vrxapp.workflows.map_layers import (
    layer_notes,
    link_raster,
    overview_values,
    read_picture,
)

CRS = "EPSG:7855"
EAST, NORTH = 500_000.0, 6_100_000.0


@pytest.fixture
def paddock():
    """A square kilometre with a corner cut off."""
    corners = [(0, 0), (1000, 0), (1000, 1000), (400, 1000), (0, 600)]
    shape = shapely.Polygon([(EAST + x, NORTH + y) for x, y in corners])
    return Paddock("Home", CRS, shape, ())


def write(path, values, transform, crs, **more):
    with rasterio.open(
        path, "w", driver="GTiff", height=values.shape[0], width=values.shape[1], count=1,
        dtype="float32", crs=crs, transform=transform, **more,
    ) as out:  # fmt: skip
        out.write(values.astype("float32"), 1)
        out.set_band_description(1, "slope east")
        out.units = ("m",)
    return path


@pytest.fixture
def eastings(tmp_path):
    """Each cell of 10 m holds how far east its middle lies, over the paddock and beyond."""
    columns = np.arange(140)
    values = np.tile(-200.0 + 10.0 * columns + 5.0, (140, 1))
    transform = Affine(10.0, 0.0, EAST - 200.0, 0.0, -10.0, NORTH + 1200.0)
    return write(tmp_path / "east.tif", values, transform, CRS)


def test_a_link_takes_name_unit_and_checksum_from_the_file(eastings, paddock):
    layer = link_raster(eastings, paddock)
    assert (layer.name, layer.unit, layer.band) == ("slope east", "m", 1)
    assert layer.path.is_absolute()
    assert layer.checksum == file_checksum(eastings)
    assert link_raster(eastings, paddock, name="Survey").name == "Survey"


def test_a_raster_beside_the_paddock_is_refused(eastings, paddock):
    far = replace(paddock, boundary=shapely.affinity.translate(paddock.boundary, 9_000.0))
    with pytest.raises(GroundError, match="nothing of the raster lies on the paddock 'Home'"):
        link_raster(eastings, far)


def test_a_raster_without_a_value_on_the_paddock_is_refused(tmp_path, paddock):
    transform = Affine(250.0, 0.0, EAST, 0.0, -250.0, NORTH + 1000.0)
    path = write(tmp_path / "empty.tif", np.full((4, 4), -1.0), transform, CRS, nodata=-1.0)
    with pytest.raises(GroundError, match=r"empty\.tif: the raster holds no value on the paddock"):
        link_raster(path, paddock)


def test_only_the_ground_asked_for_is_read(eastings, paddock):
    layer = link_raster(eastings, paddock)
    bounds = (EAST + 100.0, NORTH + 500.0, EAST + 300.0, NORTH + 900.0)
    picture = read_picture(layer, paddock, bounds, 1_000_000)
    assert picture.values.shape == (40, 20)
    assert picture.is_finest
    a, _, c, _, e, f = picture.affine
    assert (a, e, c, f) == (10.0, -10.0, EAST + 100.0, NORTH + 900.0)
    assert picture.values[-1].tolist() == [105.0 + 10.0 * i for i in range(20)]


def test_fewer_cells_are_read_than_the_file_has_where_the_screen_is_small(eastings, paddock):
    layer = link_raster(eastings, paddock)
    picture = read_picture(layer, paddock, paddock.boundary.bounds, 400)
    assert picture.values.size <= 400
    assert not picture.is_finest
    middle = picture.affine[2] + (np.arange(picture.values.shape[1]) + 0.5) * picture.affine[0]
    known = np.isfinite(picture.values)
    off = (picture.values - (middle - EAST))[known]
    assert np.abs(off).max() < 1e-3 + 10.0  # means of joined cells


def test_a_raster_in_degrees_comes_to_lie_where_it_belongs(tmp_path, paddock):
    turn = pyproj.Transformer.from_crs(CRS, "EPSG:4326", always_xy=True)
    west, south = turn.transform(EAST - 300.0, NORTH - 300.0)
    cell = 0.0002
    lon = west + cell * (np.arange(120) + 0.5)
    lat = south + cell * 120 - cell * (np.arange(120) + 0.5)
    back = pyproj.Transformer.from_crs("EPSG:4326", CRS, always_xy=True)
    easting, _ = back.transform(*np.meshgrid(lon, lat))
    transform = Affine(cell, 0.0, west, 0.0, -cell, south + cell * 120)
    path = write(tmp_path / "deg.tif", easting - EAST, transform, "EPSG:4326")
    picture = read_picture(link_raster(path, paddock), paddock, paddock.boundary.bounds, 10**6)
    a, _, c, _, _, _ = picture.affine
    middles = c + (np.arange(picture.values.shape[1]) + 0.5) * a - EAST
    off = np.abs(picture.values - middles)[np.isfinite(picture.values)]
    assert off.size > 1_000
    assert off.max() < 0.0002 * 111_320.0  # never farther off than a cell is wide


def test_the_classes_are_decided_by_the_paddock_alone(eastings, paddock):
    values = overview_values(link_raster(eastings, paddock), paddock)
    # the file goes on for 200 m on every side, and a corner of the square is cut off
    assert (values.min(), values.max()) == (5.0, 995.0)
    assert values.size == pytest.approx(paddock.boundary.area / 100.0, rel=0.01)


def test_missing_and_changed_files_are_told(eastings, paddock, season):
    layer = link_raster(eastings, paddock)
    season = replace(season, layers=(layer,))
    assert layer_notes((season,)) == ()
    eastings.write_bytes(eastings.read_bytes() + b" ")
    (note,) = layer_notes((season, season))
    assert "has changed" in note.message
    with pytest.raises(InputFileError, match="has changed"):
        read_picture(layer, paddock, paddock.boundary.bounds, 100)
    eastings.unlink()
    (note,) = layer_notes((season,))
    assert "any more" in note.message


def test_paths_are_told_from_the_farm_file_on(tmp_path):
    path = tmp_path / "maps" / "a.tif"
    assert stored_path(path, tmp_path) == "maps/a.tif"
    assert found_path("maps/a.tif", tmp_path) == path
    assert found_path(stored_path(path, tmp_path / "farms" / "x"), tmp_path / "farms" / "x") == path
