"""What the map shows of a season: zones by rate, exclusions, strips, boundary, samples."""

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.desktop.ground_layers import (
    STOP,
    guidance_layers,
    point_layers,
    point_steps,
    walk_layers,
)
from vrxapp.desktop.map.layer import Layer, geometry_column
from vrxapp.desktop.map.line_layer import LineLayer
from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.desktop.map.pixels import packed_steps
from vrxapp.desktop.map.raster_layer import RasterLayer
from vrxapp.desktop.map.zone_layer import ZoneLayer
from vrxapp.ground.clipped_shapes import clipped
from vrxapp.ground.exclusions import excluded_shape
from vrxapp.ground.linked_raster import LinkedRaster
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.ground.raster_source import Bounds
from vrxapp.ground.zones import Zones
from vrxapp.legend import (
    CHECK_STRIP,
    EXCLUSION,
    NO_RATE,
    ClassedColumn,
    Legend,
    LineStyle,
    MeasuredClasses,
    Step,
    amount_classes,
    capped,
)
from vrxapp.prescription.pipeline import RATE_UNIT, Prescription
from vrxapp.season import Season
from vrxapp.soil.results_table import ResultsTable
from vrxapp.trials.strips import CheckStrip, strip_shape

if TYPE_CHECKING:
    from vrxapp.workflows.map_layers import RasterPicture

RASTER = "raster"
ZONES, EXCLUSIONS, STRIPS, BOUNDARY, SAMPLES = (
    "zones",
    "exclusions",
    "strips",
    "boundary",
    "samples",
)
_SAMPLE = Step("sample", "#ffffff", is_marker=True)
_CLEAR = Step("zone", "#00000000")  # see-through, yet with the outline that suits a fill
_BOUNDARY = LineStyle("boundary", width_px=2.4)


@dataclass(frozen=True, slots=True, eq=False)
class ShownRaster:
    """A raster over a paddock in pixels, what was read for it, and the classes it shows."""

    layer: LinkedRaster
    paddock: Paddock
    pixels: RasterLayer
    bounds: Bounds
    cell_m: float
    is_finest: bool
    classes: MeasuredClasses


def shown_raster(
    picture: "RasterPicture", classes: MeasuredClasses, paddock: Paddock
) -> ShownRaster:
    """A picture of a raster as the map draws it; cells without a value are clear."""
    pixels = packed_steps(classes.legend.steps, classes.step_of(picture.values))
    within = geometry_column([paddock.boundary])
    layer = RasterLayer(RASTER, pixels, picture.affine, within=within)
    return ShownRaster(
        picture.layer,
        paddock,
        layer,
        picture.bounds,
        cell_m=picture.affine[0],
        is_finest=picture.is_finest,
        classes=classes,
    )


@dataclass(frozen=True, slots=True)
class SeasonMap:
    """The layers of a season, lowest first, and the legend that explains them."""

    layers: tuple[Layer, ...]
    legend: Legend


def season_map(
    season: Season,
    plan: Prescription | None,
    raster: ShownRaster | None = None,
    *,
    is_ground_open: bool = False,
) -> SeasonMap:
    """The map of a season; without a plan its zones have no rate.

    Exclusions can be chosen, and guidance lines and the sample plan are seen, only while
    their stage is open: elsewhere a click means the zone.

    Over a raster the zones are outlines with their rates in words: two colour scales at
    once would leave open what a colour means.
    """
    classed = _rate_classes(season, plan)
    steps = classed.legend.steps
    zones = ZoneLayer(
        ZONES,
        _zones_in_paddock(season.paddock, season.zones),
        steps,
        classed.step_of_row,
        _zone_labels(season, plan),
    )
    explained, layers = classed.legend, [zones]
    if raster is not None:
        explained = raster.classes.legend
        outlines = zones.restyled((_CLEAR,), np.zeros(zones.rows, dtype=np.intp))
        layers = [raster.pixels, outlines]
    legend_steps = list(explained.steps)
    if season.paddock.exclusions:
        names = [exclusion.name for exclusion in season.paddock.exclusions]
        shapes = _exclusion_shapes(season.paddock)
        layers.append(
            ZoneLayer(EXCLUSIONS, shapes, (EXCLUSION,), labels=names, is_pickable=is_ground_open)
        )
        legend_steps.append(EXCLUSION)
    if season.strips:
        names = [strip.name for strip in season.strips]
        shapes = _strip_shapes(season.paddock, season.strips)
        layers.append(ZoneLayer(STRIPS, shapes, (CHECK_STRIP,), labels=names, is_pickable=False))
        legend_steps.append(CHECK_STRIP)
    layers.append(LineLayer(BOUNDARY, _outline(season.paddock), (_BOUNDARY,), is_pickable=False))
    if season.tests is not None:
        layers += _sample_layers(season.tests, season.paddock)
        legend_steps += [_SAMPLE] if np.isfinite(season.tests.longitude_degree).any() else []
    layers += guidance_layers(season.guidance) if is_ground_open else ()
    if season.sample_plan is not None and is_ground_open:
        layers += walk_layers(season.sample_plan, season.paddock.crs)
        legend_steps.append(STOP)
    layers += point_layers(season.ground_points)
    legend_steps += point_steps(season.ground_points)
    legend = Legend(explained.title, explained.unit, tuple(legend_steps))
    return SeasonMap(tuple(layers), legend)


def _rate_classes(season: Season, plan: Prescription | None) -> ClassedColumn:
    """The legend step of each zone: its rate, hatched where it was capped."""
    if plan is None:
        rates = np.full(len(season.zones.ids), np.nan)
        return amount_classes(rates, title="No rates yet", unit=RATE_UNIT)
    classed = amount_classes(plan.rates_kg_ha, title=plan.rate_map.product, unit=RATE_UNIT)
    cut = next(step.told for step in plan.trail.steps if step.name == "cap")
    return classed if cut is None else capped(classed, cut)


def _zone_labels(season: Season, plan: Prescription | None) -> list[str]:
    """Name and rate of each zone."""
    if plan is None:
        return list(season.zones.names)
    return [
        f"{name}\n{NO_RATE.label}" if plan.reasons[row]
        else f"{name}\n{plan.rates_kg_ha[row]:g} {RATE_UNIT}"
        for row, name in enumerate(season.zones.names)
    ]  # fmt: skip


@lru_cache(maxsize=16)
def _zones_in_paddock(paddock: Paddock, zones: Zones) -> NDArray[np.object_]:
    """Zones cut at the boundary; the same column as long as nothing changes."""
    return geometry_column(clipped(zones.shapes, paddock.boundary))


@lru_cache(maxsize=16)
def _exclusion_shapes(paddock: Paddock) -> NDArray[np.object_]:
    shapes = np.array([excluded_shape(e) for e in paddock.exclusions], dtype=object)
    return geometry_column(shapely.intersection(shapes, paddock.boundary))


@lru_cache(maxsize=16)
def _strip_shapes(paddock: Paddock, strips: tuple[CheckStrip, ...]) -> NDArray[np.object_]:
    shapes = np.array([strip_shape(strip) for strip in strips], dtype=object)
    return geometry_column(shapely.intersection(shapes, paddock.boundary))


@lru_cache(maxsize=16)
def _outline(paddock: Paddock) -> NDArray[np.object_]:
    return geometry_column(shapely.get_parts(shapely.boundary(paddock.boundary)))


@lru_cache(maxsize=16)
def _sample_layers(tests: ResultsTable, paddock: Paddock) -> tuple[Layer, ...]:
    """Samples with a position, one marker a row of the sheet."""
    known = np.isfinite(tests.longitude_degree)
    if not known.any():
        return ()
    easting, northing = np.full(len(known), np.nan), np.full(len(known), np.nan)
    lon_lat = shapely.points(tests.longitude_degree[known], tests.latitude_degree[known])
    points = transformed(lon_lat, from_crs=LON_LAT, to_crs=paddock.crs)
    easting[known], northing[known] = shapely.get_x(points), shapely.get_y(points)
    labels = _once_a_place(tests.sample_ids, easting, northing)
    return (MarkerLayer(SAMPLES, easting, northing, (_SAMPLE,), labels=labels),)


def _once_a_place(
    names: tuple[str, ...], easting: NDArray[np.float64], northing: NDArray[np.float64]
) -> tuple[str, ...]:
    """Names of samples; replicates and deeper layers of the same place stay silent."""
    seen: set[tuple[str, float, float]] = set()
    labels = []
    for place in zip(names, easting.tolist(), northing.tolist(), strict=True):
        labels.append("" if place in seen else place[0])
        seen.add(place)
    return tuple(labels)
