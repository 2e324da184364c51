import gc
from dataclasses import replace

import numpy as np
import pytest
import shapely

from vrxapp.errors import InputFileError
from vrxapp.files import gdal_reading
from vrxapp.files.gdal_drivers import limit_drivers
from vrxapp.files.gdal_reading import GdalSource, gdal_info, read_gdal_layer

BOX = shapely.box(149.0, -35.0, 149.01, -34.99)


@pytest.fixture
def source(tmp_path):
    """A GeoPackage of two boxes that says it is a GeoPackage."""
    limit_drivers()
    import pyogrio.raw

    path = tmp_path / "a.gpkg"
    pyogrio.raw.write(
        path,
        shapely.to_wkb(np.array([BOX, BOX])),
        [np.array(["2024-05-06", "A"], dtype=object)],
        ["zone"],
        geometry_type="Polygon",
        crs="EPSG:4326",
        driver="GPKG",
    )
    return GdalSource(path, "shown.gpkg", driver="GPKG", kind="GeoPackage")


def test_a_layer_comes_as_it_stands_in_the_file(source):
    raw = read_gdal_layer(source)
    assert (raw.file, raw.crs, raw.notes) == ("shown.gpkg", "EPSG:4326", ())
    assert shapely.equals_exact(raw.shapes, [BOX, BOX]).all()
    assert raw.fields == ({"zone": "2024-05-06"}, {"zone": "A"})


def test_a_file_that_another_driver_recognises_is_refused(source):  # SEC-01
    with pytest.raises(InputFileError, match="no Shapefile: it was recognised as GPKG") as caught:
        gdal_info(replace(source, driver="ESRI Shapefile", kind="Shapefile"))
    assert caught.value.note.file == "shown.gpkg"


def test_a_file_that_gdal_cannot_open_is_told_under_the_name_the_user_knows(source):
    source.path.write_bytes(b"nonsense")
    with pytest.raises(InputFileError, match=r"shown\.gpkg: it is damaged, or no GeoPackage"):
        gdal_info(source)


def test_fewer_features_than_told_are_no_whole_file(source, monkeypatch):
    import pyogrio

    real = pyogrio.read_info
    monkeypatch.setattr(
        pyogrio, "read_info", lambda *given, **named: {**real(*given, **named), "features": 3}
    )
    with pytest.raises(InputFileError, match="says that it holds 3 features, and 2 can be read"):
        read_gdal_layer(source)
    assert len(read_gdal_layer(replace(source, deleted_rows=1)).shapes) == 2


def test_more_features_than_can_be_worked_with_are_refused_before_reading(source, monkeypatch):
    monkeypatch.setattr(gdal_reading, "MOST_POINTS", 1)
    with pytest.raises(InputFileError, match="it holds 2 features, and 1 can be read"):
        gdal_info(source)


@pytest.mark.parametrize("is_on", [True, False])
def test_the_search_for_garbage_is_left_as_it_was(source, is_on):
    was_on = gc.isenabled()
    try:
        (gc.enable if is_on else gc.disable)()
        read_gdal_layer(source)
        assert gc.isenabled() is is_on
    finally:
        (gc.enable if was_on else gc.disable)()
