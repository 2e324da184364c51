"""Shapes as the files that people have: GeoJSON, Shapefile, GeoPackage, KML and KMZ."""

import io
import json
import zipfile
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from xml.sax.saxutils import escape

import numpy as np
import pyogrio
import pyogrio.raw
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from vrxapp.ground.projected_crs import LON_LAT, transformed

Feature = tuple[BaseGeometry, dict[str, object]]
Column = tuple[str, NDArray[np.generic]]

WRITTEN_ON = (2026, 4, 20)  # in every file that holds a date, so that it is made alike
_GDA2020 = "EPSG:7844"
_DECIMALS = 8
_KML_NAMESPACE = "http://www.opengis.net/kml/2.2"


def lon_lat(shapes: NDArray[np.object_], crs: str) -> NDArray[np.object_]:
    """Shapes in longitude and latitude, rounded as they are written. [degrees]"""
    turned = transformed(shapes, from_crs=crs, to_crs=LON_LAT)
    return np.asarray(shapely.transform(turned, lambda xy: np.round(xy, _DECIMALS)))


def geojson(features: Sequence[Feature]) -> bytes:
    """Features after RFC 7946, one a line, outer rings anticlockwise."""
    lines = [
        json.dumps(
            {
                "type": "Feature",
                "properties": fields,
                "geometry": shapely.geometry.mapping(
                    shapely.orient_polygons(shape, exterior_cw=False)
                ),
            }
        )
        for shape, fields in features
    ]
    text = '{"type": "FeatureCollection", "features": [\n' + ",\n".join(lines) + "\n]}\n"
    return text.encode()


def boundary_files(stem: str, boundary: Feature, *, metric_crs: str) -> dict[str, bytes]:
    """One boundary in each other format: WGS 84, GDA2020 and the metric system among them."""
    shape, fields = boundary
    columns = [(name, np.array([text], dtype=object)) for name, text in fields.items()]
    (metric,) = transformed(np.array([shape]), from_crs=LON_LAT, to_crs=metric_crs)
    plain = _shapefile(stem, shape, columns, crs=LON_LAT)
    in_metres = _shapefile(stem, metric, columns, crs=metric_crs)
    kml = _kml(shape, fields)
    folder = f"{stem}_shapefile"
    return {
        **{f"{folder}/{name}": content for name, content in plain.items()},
        f"{stem}_shapefile.zip": _zipped(in_metres),
        f"{stem}.gpkg": geopackage([shape], columns, layer="boundary", crs=_GDA2020),
        f"{stem}.kml": kml,
        f"{stem}.kmz": _zipped({"doc.kml": kml}),
    }


def geopackage(
    shapes: Sequence[BaseGeometry], columns: Sequence[Column], *, layer: str, crs: str = LON_LAT
) -> bytes:
    """A GeoPackage of one layer; it says itself that it is invented."""
    kind = shapes[0].geom_type
    description = "Invented: no real paddock of a real farm, and nothing was measured there"
    day = "{}-{:02d}-{:02d}T00:00:00.000Z".format(*WRITTEN_ON)
    pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": day})
    try:
        files = _written(
            f"{layer}.gpkg",
            shapes,
            columns,
            crs=crs,
            geometry_type=kind,
            layer=layer,
            driver="GPKG",
            layer_options={"SPATIAL_INDEX": "NO", "DESCRIPTION": description},
        )
    finally:
        pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": None})
    return files[f"{layer}.gpkg"]


def _shapefile(
    stem: str, shape: BaseGeometry, columns: Sequence[Column], *, crs: str
) -> dict[str, bytes]:
    """The files of a Shapefile of one record, by name."""
    return _written(
        f"{stem}.shp",
        [shape],
        columns,
        crs=crs,
        geometry_type="Polygon",
        driver="ESRI Shapefile",
        encoding="UTF-8",
        layer_options={"DBF_DATE_LAST_UPDATE": "{}-{:02d}-{:02d}".format(*WRITTEN_ON)},
    )


def _written(
    name: str, shapes: Sequence[BaseGeometry], columns: Sequence[Column], **how: object
) -> dict[str, bytes]:
    """What GDAL writes for a layer, file by file."""
    with TemporaryDirectory() as folder:
        pyogrio.raw.write(
            Path(folder) / name,
            shapely.to_wkb(np.array(shapes, dtype=object)),
            [column for _, column in columns],
            [field for field, _ in columns],
            **how,
        )
        return {path.name: path.read_bytes() for path in sorted(Path(folder).iterdir())}


def _kml(shape: BaseGeometry, fields: dict[str, object]) -> bytes:
    """One placemark; a boundary in several parts is one geometry of several."""
    parts = [_kml_polygon(part) for part in shapely.get_parts(shape)]
    drawn = parts[0] if len(parts) == 1 else f"<MultiGeometry>{''.join(parts)}</MultiGeometry>"
    text = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<kml xmlns="{_KML_NAMESPACE}"><Document><Placemark>\n'
        f"<name>{escape(str(fields['name']))}</name>\n"
        f"<description>{escape(str(fields['note']))}</description>\n"
        f"{drawn}\n</Placemark></Document></kml>\n"
    )
    return text.encode()


def _kml_polygon(part: BaseGeometry) -> str:
    turned = shapely.orient_polygons(part, exterior_cw=False)
    holes = "".join(
        f"<innerBoundaryIs>{_kml_ring(ring)}</innerBoundaryIs>" for ring in turned.interiors
    )
    outer = f"<outerBoundaryIs>{_kml_ring(turned.exterior)}</outerBoundaryIs>"
    return f"<Polygon>{outer}{holes}</Polygon>"


def _kml_ring(ring: BaseGeometry) -> str:
    corners = " ".join(f"{x:.{_DECIMALS}f},{y:.{_DECIMALS}f},0" for x, y in ring.coords)
    return f"<LinearRing><coordinates>{corners}</coordinates></LinearRing>"


def _zipped(files: dict[str, bytes]) -> bytes:
    """Files in an archive, all of the same day."""
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as out:
        for name, content in files.items():
            member = zipfile.ZipInfo(name, (*WRITTEN_ON, 0, 0, 0))
            out.writestr(member, content, zipfile.ZIP_DEFLATED)
    return archive.getvalue()
