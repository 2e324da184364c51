"""Files as other programs make them, for the tests that open such files."""

import json
import warnings
import zipfile

import numpy as np
import pyogrio.raw
import rasterio
import shapefile
import shapely
from rasterio.errors import NotGeoreferencedWarning
from rasterio.transform import Affine

ZONES = np.array(
    [
        shapely.box(149.0, -35.0, 149.01, -34.99),
        shapely.box(149.01, -35.0, 149.02, -34.99).difference(
            shapely.box(149.012, -34.998, 149.014, -34.996)
        ),
        shapely.MultiPolygon(
            [shapely.box(149.03, -35.0, 149.04, -34.99), shapely.box(149.05, -35, 149.06, -34.99)]
        ),
    ]
)
NAMES = ("Nördlich", "South", "Two parts")
DRIVERS = {".shp": "ESRI Shapefile", ".gpkg": "GPKG"}
SET_SUFFIXES = (".shp", ".shx", ".dbf", ".prj", ".cpg")
WGS84 = (
    'GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],'
    'PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]'
)
RING = [(149.0, -35.0), (149.0, -34.99), (149.01, -34.99), (149.01, -35.0), (149.0, -35.0)]
HOLE = [(149.002, -34.998), (149.004, -34.998), (149.004, -34.996), (149.002, -34.996)]
HOLE = [*HOLE, HOLE[0]]
FAR_RING = [(x + 0.02, y) for x, y in RING]
DEGREES = Affine(0.00012, 0.0, 149.0, 0.0, -0.0001, -34.9998)
VALUES = np.array([[150.0, 200.0, 250.0], [-9999.0, 50.0, 100.0]])
VIRTUAL_RASTER = """<VRTDataset rasterXSize="3" rasterYSize="2"><SRS>EPSG:4326</SRS>
<GeoTransform>149, 0.00012, 0, -34.9998, 0, -0.0001</GeoTransform>
<VRTRasterBand dataType="Float32" band="1"><SimpleSource>
<SourceFilename relativeToVRT="1">real.tif</SourceFilename></SimpleSource></VRTRasterBand>
</VRTDataset>"""


def write_with_gdal(path, shapes=ZONES, *, crs="EPSG:4326", kind="MultiPolygon", names=NAMES):
    """A set or a GeoPackage as the library that most programs stand on writes it."""
    pyogrio.raw.write(
        path,
        shapely.to_wkb(np.asarray(shapes, dtype=object)),
        [np.array(names, dtype=object)],
        ["name"],
        geometry_type=kind,
        crs=crs,
        driver=DRIVERS[path.suffix],
    )


def kml_text(shapes, names=NAMES):
    """The shapes as KML, written by hand."""

    def ring(points):
        listed = " ".join(f"{x!r},{y!r}" for x, y in points)
        return f"<LinearRing><coordinates>{listed}</coordinates></LinearRing>"

    def polygon(shape):
        holes = "".join(
            f"<innerBoundaryIs>{ring(hole.coords)}</innerBoundaryIs>" for hole in shape.interiors
        )
        outline = f"<outerBoundaryIs>{ring(shape.exterior.coords)}</outerBoundaryIs>"
        return f"<Polygon>{outline}{holes}</Polygon>"

    marks = "".join(
        f"<Placemark><name>{name}</name><MultiGeometry>"
        f"{''.join(map(polygon, shapely.get_parts(shape)))}</MultiGeometry></Placemark>"
        for shape, name in zip(shapes, names, strict=True)
    )
    return f'<kml xmlns="http://www.opengis.net/kml/2.2"><Document>{marks}</Document></kml>'


def write_zones(path, shapes=ZONES, names=NAMES):
    """The same zones in the format of the suffix."""
    if path.suffix == ".geojson":
        features = [
            {
                "type": "Feature",
                "properties": {"name": name},
                "geometry": shapely.geometry.mapping(s),
            }
            for s, name in zip(shapes, names, strict=True)
        ]
        path.write_text(json.dumps({"type": "FeatureCollection", "features": features}), "utf-8")
    elif path.suffix == ".kml":
        path.write_text(kml_text(shapes, names), "utf-8")
    elif path.suffix == ".csv":
        path.write_text('lon,lat,name\n149,-35,"A, B"\n', "utf-8")
    elif path.suffix in (".zip", ".kmz"):
        inner = path.with_suffix({".zip": ".shp", ".kmz": ".kml"}[path.suffix])
        write_zones(inner, shapes, names)
        parts = [
            part
            for part in path.parent.iterdir()
            if part.stem == path.stem and part.suffix in (*SET_SUFFIXES, inner.suffix)
        ]
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
            for part in parts:
                made.write(part, part.name)
        for part in parts:
            part.unlink()
    else:
        write_with_gdal(path, shapes, names=names)
    return path


def write_shapefile(path, polygons, names, *, encoding="utf-8", prj=WGS84, kind=shapefile.POLYGON):
    """A set of polygons by a library that is not GDAL."""
    with shapefile.Writer(str(path), shapeType=kind, encoding=encoding) as out:
        out.field("zone", "C", 20)
        out.field("ph", "N", 10, 2)
        out.field("cell", "N", 9, 0)
        for row, (rings, name) in enumerate(zip(polygons, names, strict=True)):
            {shapefile.POLYGON: out.poly, shapefile.POLYGONZ: out.polyz}.get(kind, out.polym)(rings)
            out.record(name, 5.25 + row, row)
    if encoding == "utf-8":
        path.with_suffix(".cpg").write_text("UTF-8")
    if prj:
        path.with_suffix(".prj").write_text(prj)


def zipped(path, *, folder="", keep=SET_SUFFIXES):
    """An archive of a set beside it."""
    archive = path.with_suffix(".zip")
    with zipfile.ZipFile(archive, "w") as made:
        for suffix in keep:
            made.write(path.with_suffix(suffix), f"{folder}{path.stem}{suffix}")
    return archive


def write_geotiff(path, values=VALUES, *, transform=DEGREES, crs="EPSG:4326", tags=None, **profile):
    """A small GeoTIFF; the band's settings are given as rasterio calls them."""
    values = np.asarray(values)
    bands = values if values.ndim == 3 else values[None]
    band_facts = {key: profile.pop(key) for key in ("scales", "offsets", "units") if key in profile}
    names = profile.pop("descriptions", ())
    shape = {"count": bands.shape[0], "height": bands.shape[1], "width": bands.shape[2]}
    settings = {"dtype": "float32", "nodata": -9999.0, **shape, **profile}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", NotGeoreferencedWarning)
        with rasterio.open(
            path, "w", driver="GTiff", crs=crs, transform=transform, **settings
        ) as out:
            out.write(bands.astype(settings["dtype"]))
            out.update_tags(**(tags or {}))
            for key, value in band_facts.items():
                setattr(out, key, value)
            for band, name in enumerate(names, start=1):
                out.set_band_description(band, name)
    return path
