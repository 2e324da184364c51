"""Reads rasters, points and lab sheets into what zones are made from and judged by."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.edits.layers import layer_called
from vrxapp.errors import InputFileError, MissingInputError, UnknownChoiceError
from vrxapp.files.formats import read_features
from vrxapp.files.geotiff import open_raster
from vrxapp.files.linked_rasters import open_linked
from vrxapp.ground.derived_layers import mean_of_seasons, slope_percent, swing_of_seasons
from vrxapp.ground.features import numbers
from vrxapp.ground.grid import Grid
from vrxapp.ground.grid_layers import GridLayer, PointValues, points_on_grid, raster_on_grid
from vrxapp.ground.paddock import Paddock, excluded_ground
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.ground.zoning_grid import cell_middles
from vrxapp.season import Season
from vrxapp.soil.results_table import ResultsTable
from vrxapp.workflows.placed_samples import placed_samples


@dataclass(frozen=True, slots=True)
class LayerFiles:
    """What zones are made from.

    Parameters
    ----------
    rasters : tuple of (Path, int or None)
        GeoTIFFs and the band of each; None where there is only one.
    elevations : tuple of (Path, int or None)
        The same, of which the slope is taken.
    points : tuple of (Path, str)
        Files of points, and the column of each that holds the values.
    harvests : tuple of (Path, str)
        The same, one a season; from two on, their mean and their swing are taken.
    linked : tuple of str
        Names of map layers of the season.
    crs : str
        Coordinate system of files of points that name none.
    reach_m : float
        How far a cell without a point looks for others. [m]
    """

    rasters: tuple[tuple[Path, int | None], ...] = ()
    elevations: tuple[tuple[Path, int | None], ...] = ()
    points: tuple[tuple[Path, str], ...] = ()
    harvests: tuple[tuple[Path, str], ...] = ()
    linked: tuple[str, ...] = ()
    crs: str = ""
    reach_m: float = 25.0


def layers_from(files: LayerFiles, season: Season, grid: Grid) -> tuple[GridLayer, ...]:
    """All layers on the grid of a paddock, without ground that is excluded.

    Raises
    ------
    MissingInputError
        If no layer is given.
    VrxError
        If a file cannot be used; the message names it.
    """
    layers = [_raster(path, band, grid) for path, band in files.rasters]
    layers += [slope_percent(_raster(path, band, grid), grid) for path, band in files.elevations]
    layers += [_linked(name, season, grid) for name in files.linked]
    layers += [_points(path, column, season, grid, files=files) for path, column in files.points]
    harvests = [_points(path, column, season, grid, files=files) for path, column in files.harvests]
    if len(harvests) > 1:
        layers += [mean_of_seasons(harvests, grid), swing_of_seasons(harvests, grid)]
    else:
        layers += harvests
    if not layers:
        raise MissingInputError(
            "there is no layer to make zones from",
            mend="Give a raster, points, harvests, or the name of a map layer of the paddock",
        )
    left_out = _in_excluded(season.paddock, grid)
    return tuple(
        GridLayer(x.name, x.unit, np.where(left_out, np.nan, x.values), x.notes) for x in layers
    )


def read_point_values(path: Path, column: str, paddock: Paddock, *, crs: str = "") -> PointValues:
    """The points of a file in a paddock's coordinates, with one column of values.

    Raises
    ------
    InputFileError
        If the file holds no points, or no such column; the mend lists the columns.
    """
    features = read_features(path, crs=crs)
    is_point = np.array([shape.geom_type == "Point" for shape in features.shapes], dtype=bool)
    if not np.any(is_point):
        raise InputFileError(
            "it holds no points", mend="Export the measured points themselves", file=path.name
        )
    columns = {name.casefold() for row in features.fields[:1] for name in row}
    if column.casefold() not in columns:
        raise UnknownChoiceError(
            f"no column is called {column!r}",
            mend=f"Choose one of: {', '.join(sorted(columns)) or 'none'}",
            file=path.name,
            column=column,
        )
    values = numbers(features, column)[is_point]
    shapes = transformed(features.shapes[is_point], from_crs=LON_LAT, to_crs=paddock.crs)
    x, y = shapely.get_coordinates(shapes).T
    return PointValues(f"{column} of {path.stem}", "", x, y, values)


def tested_points(tests: ResultsTable, analyte_key: str, crs: str) -> PointValues:
    """One test of the samples of a sheet that have a position, as `placed_samples` tells."""
    return placed_samples(tests, analyte_key, crs).points


def _raster(path: Path, band: int | None, grid: Grid) -> GridLayer:
    source = open_raster(path, band=band)
    return raster_on_grid(source, grid, name=source.band_name or path.stem.replace("_", " "))


def _linked(name: str, season: Season, grid: Grid) -> GridLayer:
    """A map layer of the season, if its file is still the one that was linked."""
    layer = layer_called(season, name)
    return raster_on_grid(open_linked(layer), grid, name=layer.name)


def _points(path: Path, column: str, season: Season, grid: Grid, *, files: LayerFiles) -> GridLayer:
    points = read_point_values(path, column, season.paddock, crs=files.crs)
    return points_on_grid(points, grid, reach_m=files.reach_m)


def _in_excluded(paddock: Paddock, grid: Grid) -> NDArray[np.bool_]:
    """Cells whose middle lies in ground that gets nothing: it should not make zones."""
    ground = excluded_ground(paddock)
    if ground.is_empty:
        return np.zeros(grid.shape, dtype=bool)
    shapely.prepare(ground)
    return np.asarray(shapely.contains_xy(ground, *np.meshgrid(*cell_middles(grid))))
