"""Leaves GDAL only the drivers that are used here.

GDAL takes whatever a file claims to be, and some of its drivers then open other files or the
network. The environment is read once, when its library loads; `vrxapp.files` sets it before.
"""

import os

ALLOWED_VECTOR_DRIVERS = ("ESRI Shapefile", "GPKG", "GeoJSON", "KML", "LIBKML", "MEM")
"""What is left of the vector drivers."""

_NETWORK = (
    *("AmigoCloud", "Carto", "CSW", "DAAS", "EEDA", "EEDAI", "Elasticsearch", "HTTP", "NGW"),
    *("OAPIF", "OGCAPI", "PLMOSAIC", "PLSCENES", "STACIT", "STACTA", "WCS", "WFS", "WMS", "WMTS"),
)
_POINT_TO_OTHER_FILES = ("DERIVED", "GDALG", "GTI", "OGR_VRT", "VRT")
_NOT_USED = (
    *("ADBC", "AIVector", "AVCBin", "AVCE00", "CSV", "DGN", "DXF", "EDIGEO", "ESRIJSON"),
    *("FlatGeobuf", "GML", "GPSBabel", "GPX", "GTFS", "GeoJSONSeq", "GeoRSS", "Idrisi", "JML"),
    *("JSONFG", "LVBAG", "MBTiles", "MVT", "MapInfo File", "MapML", "MiraMonVector", "ODS"),
    *("OGR_GMT", "OGR_PDS", "OSM", "OpenFileGDB", "PCIDSK", "PDF", "PDS4", "PGDUMP", "PMTiles"),
    *("S57", "SQLite", "SXF", "Selafin", "TopoJSON", "VDV", "VFK", "VICAR", "WAsP", "XLSX"),
)
_SETTINGS = {
    "OGR_SKIP": ",".join((*_NETWORK, *_POINT_TO_OTHER_FILES, *_NOT_USED)),  # some hold blanks
    "CPL_VSIL_CURL_ALLOWED_EXTENSIONS": ".nothing-is-fetched",
    "GDAL_VRT_ENABLE_PYTHON": "NO",
}


def limit_drivers() -> None:
    """Set the environment that GDAL reads when it loads; later it has no effect."""
    os.environ.update(_SETTINGS)
