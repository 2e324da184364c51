"""Reads rasters, points and lab sheets into what zones are made from and judged by."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.edits.layers import layer_called
from vrxapp.errors import (
    GroundError,
    InputFileError,
    MissingInputError,
    Note,
    UnknownChoiceError,
)
from vrxapp.files.formats import read_features
from vrxapp.files.geotiff import open_raster
from vrxapp.files.linked_rasters import open_linked
from vrxapp.ground.derived_layers import mean_of_seasons, slope_percent, swing_of_seasons
from vrxapp.ground.features import numbers
from vrxapp.ground.grid import Grid
from vrxapp.ground.grid_layers import GridLayer, PointValues, points_on_grid, raster_on_grid
from vrxapp.ground.interpolation_choice import Interpolation
from vrxapp.ground.paddock import Paddock, excluded_ground
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.ground.zone_editing import whole_paddock
from vrxapp.ground.zoning_grid import cell_middles
from vrxapp.progress import Progress, Unwatched
from vrxapp.season import Season
from vrxapp.soil.results_table import ResultsTable
from vrxapp.workflows.interpolate import MapGrain, soil_map
from vrxapp.workflows.interpolation_study import MapRequest, map_study


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
    tests : tuple of str
        Keys of soil tests with positions, mapped between their samples.
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
    tests: tuple[str, ...] = ()
    crs: str = ""
    reach_m: float = 25.0


def layers_from(
    files: LayerFiles,
    season: Season,
    grid: Grid,
    *,
    tests: ResultsTable | None = None,
    progress: Progress | None = None,
) -> tuple[GridLayer, ...]:
    """All layers on the grid of a paddock, without ground that is excluded.

    Parameters
    ----------
    files : LayerFiles
        What is read.
    season : Season
        The paddock, its map layers and its tests.
    grid : Grid
        The paddock's cells.
    tests : ResultsTable, optional
        A sheet to take soil tests from instead of the season's own.
    progress : Progress, optional
        Who is told how far it is, and may stop it.

    Raises
    ------
    MissingInputError
        If no layer is given.
    VrxError
        If a file cannot be used; the message names it.
    """
    watch, sheet = progress or Unwatched(), tests if tests is not None else season.tests
    layers: list[GridLayer] = []
    harvests: list[GridLayer] = []
    asked = _asked(files, season, grid, sheet=sheet, watch=watch)
    for done, (name, is_harvest, read) in enumerate(asked):
        watch.step(done, len(asked), f"Reading {name}")
        (harvests if is_harvest else layers).append(read())
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


def _asked(
    files: LayerFiles, season: Season, grid: Grid, *, sheet: ResultsTable | None, watch: Progress
) -> list[tuple[str, bool, Callable[[], GridLayer]]]:
    """Name of each layer, whether it is a harvest, and how it is read."""

    def sloping(path: Path, band: int | None) -> GridLayer:
        return slope_percent(_raster(path, band, grid), grid)

    def mapped(key: str) -> GridLayer:
        return _tested(key, sheet, season, grid, watch=watch)

    def pointed(path: Path, column: str) -> GridLayer:
        return _points(path, column, season, grid, files=files)

    return [
        *((p.name, False, partial(_raster, p, band, grid)) for p, band in files.rasters),
        *((p.name, False, partial(sloping, p, band)) for p, band in files.elevations),
        *((name, False, partial(_linked, name, season, grid)) for name in files.linked),
        *((p.name, False, partial(pointed, p, column)) for p, column in files.points),
        *((key, False, partial(mapped, key)) for key in files.tests),
        *((p.name, True, partial(pointed, p, column)) for p, column in files.harvests),
    ]


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


def _tested(
    key: str, sheet: ResultsTable | None, season: Season, grid: Grid, *, watch: Progress
) -> GridLayer:
    """A soil test mapped the advised way, if its samples show how it varies between them."""
    if sheet is None:
        raise MissingInputError("there are no soil tests", mend="Give a lab sheet with positions")
    # the zones there are now have no say in those to be made
    sampled = replace(season, tests=sheet, zones=whole_paddock(season.paddock))
    study = map_study(sampled, MapRequest(key), watch)
    name, count = study.analyte.name, study.samples.values.size
    if study.way not in (Interpolation.KRIGING, Interpolation.INVERSE_DISTANCE):
        raise GroundError(
            f"{name} cannot be mapped between {count} samples: "
            + " ".join(str(note) for note in study.choice.notes),
            mend="Make zones from other layers, and judge them by this test",
        )
    found = soil_map(sampled, study, MapGrain(grid.cell_m), watch)
    mapped = Note(f"{name} was mapped by {study.way} from {count} samples")
    notes = (mapped, *study.notes, *found.notes)
    return GridLayer(name, study.analyte.unit, found.cells.mean, notes)


def _in_excluded(paddock: Paddock, grid: Grid) -> NDArray[np.bool_]:
    """Cells whose middle lies in ground that gets nothing: it should not make zones."""
    ground = excluded_ground(paddock)
    if ground.is_empty:
        return np.zeros(grid.shape, dtype=bool)
    shapely.prepare(ground)
    return np.asarray(shapely.contains_xy(ground, *np.meshgrid(*cell_middles(grid))))


def columns_of_points(path: Path, *, crs: str = "") -> tuple[str, ...]:
    """Columns of numbers in a file of points, to choose one from.

    Raises
    ------
    VrxError
        If the file cannot be read, or holds no column of numbers.
    """
    features = read_features(path, crs=crs)
    found = tuple(name for name in (features.fields[0] if features.fields else {})
                  if _is_number(features.fields[0][name]))  # fmt: skip
    if not found:
        raise InputFileError(
            "it holds no column of numbers", mend="Export the measured values too", file=path.name
        )
    return found


def _is_number(value: object) -> bool:
    """Whether a field can be read as a number."""
    try:
        float(str(value).replace(",", "."))
    except ValueError:
        return False
    return True
