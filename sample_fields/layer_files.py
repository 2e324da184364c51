"""Layers of the invented farm as files: GeoTIFF for grids, columns for points."""

from collections.abc import Sequence

import numpy as np
import rasterio
import shapely
from invented_harvests import FRONT_M, Harvest
from invented_layers import CELL_M, InventedLayer
from numpy.typing import NDArray
from rasterio.io import MemoryFile
from rasterio.transform import Affine
from vector_files import Column, geopackage

from vrxapp.ground.projected_crs import LON_LAT, transformed

_NODATA = -9999.0
_DECIMALS = 7


def geotiff(layer: InventedLayer, crs: str) -> bytes:
    """A grid as a GeoTIFF of one band in float32, missing cells marked."""
    rows, columns = layer.values.shape
    with MemoryFile() as memory:
        with memory.open(
            driver="GTiff",
            width=columns,
            height=rows,
            count=1,
            dtype="float32",
            crs=rasterio.CRS.from_user_input(crs),
            transform=Affine(CELL_M, 0.0, layer.west_m, 0.0, -CELL_M, layer.north_m),
            nodata=_NODATA,
            compress="deflate",
            predictor=3,
        ) as out:
            out.write(np.where(np.isnan(layer.values), np.float32(_NODATA), layer.values), 1)
            out.set_band_description(1, layer.name)
            out.units = (layer.unit,)
            out.update_tags(
                AREA_OR_POINT="Area",
                TIFFTAG_IMAGEDESCRIPTION=f"Invented {layer.name}: nothing was measured there",
            )
        return bytes(memory.read())


def harvest_rows(harvest: Harvest, crs: str) -> list[Sequence[object]]:
    """Points of a harvest as rows under a header, longitude and latitude first."""
    spots = shapely.get_coordinates(_lon_lat_points(harvest, crs))
    columns = _columns(harvest)
    values = [column.tolist() for _, column in columns]
    header = ("longitude", "latitude", *(name for name, _ in columns))
    return [header, *zip(*spots.T.tolist(), *values, strict=True)]


def harvest_package(harvest: Harvest, crs: str) -> bytes:
    """Points of a harvest as a GeoPackage in longitude and latitude."""
    layer = f"harvest_{harvest.season.year}"
    return geopackage(list(_lon_lat_points(harvest, crs)), _columns(harvest), layer=layer)


def _lon_lat_points(harvest: Harvest, crs: str) -> NDArray[np.object_]:
    """Where the points lie, to the nearest centimetre or so. [degrees]"""
    turned = transformed(shapely.points(harvest.spots_m), from_crs=crs, to_crs=LON_LAT)
    return np.asarray(shapely.transform(turned, lambda xy: np.round(xy, _DECIMALS)))


def _columns(harvest: Harvest) -> list[Column]:
    count = len(harvest.times)
    return [
        ("time_utc", np.array(harvest.times, dtype=object)),
        ("pass", harvest.passes),
        ("speed_m_s", harvest.speed_m_s),
        ("width_m", np.full(count, FRONT_M)),
        ("moisture_percent", harvest.moisture_percent),
        ("yield_t_ha", harvest.yield_t_ha),
    ]
