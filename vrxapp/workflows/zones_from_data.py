"""Zones of a season from its data, as they would stand in it: what screen and terminal share."""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from vrxapp.edits.made_zones import ZoneChange, change_notes, replace_zones
from vrxapp.errors import MissingInputError, Note
from vrxapp.ground.geodesic_area import geodesic_area_ha
from vrxapp.ground.grid import Grid
from vrxapp.ground.grid_layers import GridLayer
from vrxapp.ground.points_in_zones import OUTSIDE, zone_of_points
from vrxapp.ground.zone_worth import zone_means
from vrxapp.ground.zones import Zones
from vrxapp.ground.zoning_grid import zoning_grid
from vrxapp.progress import Progress, Unwatched
from vrxapp.season import Season
from vrxapp.soil.results_table import ResultsTable
from vrxapp.workflows.make_zones import (
    MadeZones,
    ZoneMethod,
    ZoneRecipe,
    zones_from_layers,
    zones_of_samples,
    zones_of_squares,
)
from vrxapp.workflows.placed_samples import placed_samples
from vrxapp.workflows.zone_layers import LayerFiles, layers_from

_STEPS = 4


@dataclass(frozen=True, slots=True)
class ZonesAsked:
    """Which zones are wanted.

    Parameters
    ----------
    files : LayerFiles
        What they are made from; not read for squares and ground around samples.
    recipe : ZoneRecipe
        How.
    cell_m : float
        Side of a cell. [m]
    hectares, bearing_degree : float
        Size of squares, and how they lie from grid north. [ha, degrees]
    sampled : str
        Key of the soil test whose samples get ground around them; the first without any.
    """

    files: LayerFiles = field(default_factory=LayerFiles)
    recipe: ZoneRecipe = field(default_factory=ZoneRecipe)
    cell_m: float = 5.0
    hectares: float = 2.0
    bearing_degree: float = 0.0
    sampled: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class ZonesFound:
    """Made zones as they would stand in the season; columns have a row a zone.

    Parameters
    ----------
    made : MadeZones
        As they were made, before locked zones were minded.
    zones : Zones
        As they would stand: locked zones first, as they are.
    area_ha : ndarray of float
        Geodesic. [ha]
    sureness : ndarray of float
        NaN for locked zones, and where cells were not grouped. [0 to 1]
    layers : tuple of (str, str)
        Name and unit of each layer they were made from.
    means : ndarray of float, shape (zones, layers)
        Mean of each layer. [unit of the layer]
    change : ZoneChange
        What they mean for what is there.
    least_ha : float
        Smaller parts beside locked zones went to their neighbours. [ha]
    notes : tuple of Note
        What was doubtful, and what the change means.
    """

    made: MadeZones
    zones: Zones
    area_ha: NDArray[np.float64]
    sureness: NDArray[np.float64]
    layers: tuple[tuple[str, str], ...]
    means: NDArray[np.float64]
    change: ZoneChange
    least_ha: float
    notes: tuple[Note, ...]


def zones_from_data(
    season: Season,
    asked: ZonesAsked,
    *,
    tests: ResultsTable | None = None,
    progress: Progress | None = None,
) -> ZonesFound:
    """Make zones for a season, and see them beside what is there; nothing is changed.

    Parameters
    ----------
    season : Season
        The paddock, its layers, tests and locked zones.
    asked : ZonesAsked
        Which zones are wanted.
    tests : ResultsTable, optional
        A sheet to take samples from instead of the season's own.
    progress : Progress, optional
        Who is told how far it is, and may stop it.

    Raises
    ------
    VrxError
        If the zones cannot be made; the message says why.
    """
    watch = progress or Unwatched()
    grid: Grid | None = None
    layers: tuple[GridLayer, ...] = ()
    if asked.recipe.method is ZoneMethod.SQUARES:
        made = zones_of_squares(
            season.paddock, hectares=asked.hectares, bearing_degree=asked.bearing_degree
        )
    elif asked.recipe.method is ZoneMethod.SAMPLES:
        made = _around_samples(season, asked, tests if tests is not None else season.tests)
    else:
        grid = zoning_grid(season.paddock, asked.cell_m)
        layers = layers_from(asked.files, season, grid, tests=tests, progress=watch)
        made = zones_from_layers(layers, season.paddock, grid, recipe=asked.recipe, progress=watch)
    watch.step(_STEPS - 1, _STEPS, "Fitting the zones round what is locked")
    least_ha = asked.recipe.tidy.least_ha if layers else 0.0
    after, change = replace_zones(season, made.zones, least_ha=least_ha)
    return ZonesFound(
        made=made,
        zones=after.zones,
        area_ha=geodesic_area_ha(after.zones.shapes, season.paddock.crs),
        sureness=_sureness(made, after.zones),
        layers=tuple((layer.name, layer.unit) for layer in layers),
        means=_means(layers, grid, after.zones.shapes),
        change=change,
        least_ha=least_ha,
        notes=(*made.notes, *change_notes(change)),
    )


def _around_samples(season: Season, asked: ZonesAsked, sheet: ResultsTable | None) -> MadeZones:
    """Ground around each sample of a test."""
    if sheet is None or not np.any(np.isfinite(sheet.longitude_degree)):
        raise MissingInputError(
            "there are no samples with a position", mend="Give a lab sheet with positions"
        )
    key = asked.sampled or sheet.columns[0].analyte.key
    return zones_of_samples(season.paddock, placed_samples(sheet, key, season.paddock.crs).points)


def _sureness(made: MadeZones, zones: Zones) -> NDArray[np.float64]:
    """How sure each zone is, from the made zone that its ground was."""
    spots = [shape.representative_point() for shape in zones.shapes]
    x, y = (np.array([getattr(spot, axis) for spot in spots]) for axis in ("x", "y"))
    row = zone_of_points(x, y, made.zones.shapes)
    is_locked = np.array([zone_id in zones.locked_ids for zone_id in zones.ids])
    return np.where(is_locked | (row == OUTSIDE), math.nan, made.sureness[row])


def _means(
    layers: tuple[GridLayer, ...], grid: Grid | None, shapes: NDArray[np.object_]
) -> NDArray[np.float64]:
    """Mean of each layer in each zone, a column a layer."""
    if grid is None or not layers:
        return np.empty((len(shapes), 0))
    return np.column_stack([zone_means(layer, grid, shapes) for layer in layers])


def with_found_zones(season: Season, found: ZonesFound) -> Season:
    """The season with zones that were found for it, around what is locked now.

    Raises
    ------
    GroundError
        If they cannot be fitted round the locked zones.
    """
    return replace_zones(season, found.made.zones, least_ha=found.least_ha)[0]
