import math

import numpy as np
import pytest
import shapely

from vrxapp.errors import GroundError
from vrxapp.files.file_description import describe_file
from vrxapp.files.gdal_drivers import limit_drivers

BOX = shapely.box(149.0, -35.0, 149.01, -34.99)


def add_layer(path, shapes, *, layer, kind, crs="EPSG:4326"):
    limit_drivers()
    import pyogrio.raw

    pyogrio.raw.write(
        path,
        shapely.to_wkb(np.array(shapes, dtype=object)),
        [np.arange(len(shapes))],
        ["cell"],
        layer=layer,
        geometry_type=kind,
        crs=crs,
        driver="GPKG",
        append=path.exists(),
    )


def test_each_layer_is_told_with_kind_count_place_and_area(tmp_path):
    path = tmp_path / "farm.gpkg"
    add_layer(path, [BOX, shapely.force_3d(BOX)], layer="zones", kind="Polygon Z", crs="EPSG:7844")
    add_layer(path, [shapely.Point(149, -35)], layer="samples", kind="Point")
    told = describe_file(path)
    samples, zones = told.layers
    assert (told.file, told.format) == ("farm.gpkg", "GeoPackage")
    assert (zones.name, zones.geometry_type, zones.feature_count) == ("zones", "Polygon", 2)
    assert zones.crs == "GDA2020 (EPSG:7844)"
    assert zones.extent == (149.0, -35.0, 149.01, -34.99)
    assert zones.area_ha == pytest.approx(2 * 101.2817, abs=1e-3)
    assert zones.field_names == ("cell",)
    assert any("heights" in str(note) for note in zones.notes)
    assert (samples.geometry_type, samples.feature_count) == ("Point", 1)
    assert math.isnan(samples.area_ha)


@pytest.mark.parametrize(
    ("name", "text", "kind", "crs"),
    [
        (
            "a.geojson",
            '{"type": "Point", "coordinates": [149, -35]}',
            "GeoJSON",
            "WGS 84 (EPSG:4326)",
        ),
        (
            "b.geojson",
            '{"type": "Point", "coordinates": [149, -35], "crs": '
            '{"type": "name", "properties": {"name": "EPSG:4283"}}}',
            "GeoJSON",
            "GDA94 (EPSG:4283)",
        ),
        (
            "a.kml",
            "<kml><Placemark><Point><coordinates>149,-35</coordinates></Point></Placemark></kml>",
            "KML",
            "WGS 84 (EPSG:4326)",
        ),
        ("a.csv", "lon,lat,ph\n149,-35,5.4\n", "table with coordinates", ""),
    ],
)
def test_the_system_is_told_as_the_file_names_it(tmp_path, name, text, kind, crs):
    path = tmp_path / name
    path.write_text(text)
    told = describe_file(path)
    (layer,) = told.layers
    assert (told.format, layer.crs, layer.feature_count) == (kind, crs, 1)


def test_a_file_that_could_not_be_used_is_refused_as_in_use(tmp_path):
    path = tmp_path / "a.kml"
    path.write_text(
        "<kml><Placemark><Polygon><outerBoundaryIs><LinearRing><coordinates>0,0 2,2 2,0 0,2 0,0"
        "</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>"
    )
    with pytest.raises(GroundError, match="crosses itself"):
        describe_file(path)
