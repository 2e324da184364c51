"""The layers and tables of a farm file, and how a season's columns lie in them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.farm import Farm
from vrxapp.files.farm_settings import StoredSamplePlan
from vrxapp.ground.exclusions import Exclusion, ExclusionKind
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind
from vrxapp.ground.guidance import GuidanceLine
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.projected_crs import LON_LAT
from vrxapp.ground.sample_plan import SamplePlan
from vrxapp.ground.zones import Zones
from vrxapp.soil.analytes import analyte
from vrxapp.soil.results_table import AnalyteColumn, ResultsTable
from vrxapp.trials.strips import CheckStrip

Column = NDArray[np.object_] | NDArray[np.float64] | NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class LayerRows:
    """Rows of one layer or table: geometry (None for a plain table) and columns.

    Parameters
    ----------
    name : str
        Name of the layer in the file.
    geometry_type : str or None
        Type that the file declares.
    shapes : ndarray of shapely geometry or None
        One a row; a sample without a position has none.
    fields : tuple of str
        Names of the columns.
    columns : tuple of ndarray
        Values, one array a field.
    """

    name: str
    geometry_type: str | None
    shapes: NDArray[np.object_] | None
    fields: tuple[str, ...]
    columns: tuple[Column, ...]


LAYER_FIELDS: dict[str, tuple[str, ...]] = {
    "paddock": ("season", "name"),
    "exclusion": ("season", "name", "kind", "setback_m"),
    "zone": ("season", "zone_id", "name", "locked"),
    "strip": ("season", "name", "width_m"),
    "sample": ("season", "file_row", "sample", "zone_name", "depth_cm", "paddock_name", "texture"),
    "ground_point": ("season", "name", "kind", "note"),
    "guidance": ("season", "name", "machine", "swath_m", "wheel_track_m"),
    "planned_sample": ("season", "stop", "sample", "zone_name", "cores"),
    "lab_result": ("season", "sample_index", "analyte", "value", "beyond"),
}
_GEOMETRY_TYPES: dict[str, str | None] = {
    "paddock": "MultiPolygon",
    "exclusion": "Unknown",
    "zone": "MultiPolygon",
    "strip": "LineString",
    "ground_point": "Point",
    "guidance": "LineString",
    "planned_sample": "Point",
    "sample": "Point",
    "lab_result": None,
}
LON_LAT_LAYERS = frozenset({"sample", "planned_sample"})


def layer_rows(farm: Farm) -> tuple[LayerRows, ...]:
    """All layers and tables of a farm that hold at least one row."""
    rows: dict[str, list[tuple[object, ...]]] = {name: [] for name in LAYER_FIELDS}
    for season in farm.seasons:
        paddock, zones = season.paddock, season.zones
        rows["paddock"].append((paddock.boundary, season.id, paddock.name))
        rows["exclusion"] += [
            (e.shape, season.id, e.name, str(e.kind), e.setback_m) for e in paddock.exclusions
        ]
        rows["zone"] += [
            (shape, season.id, zone_id, name, int(zone_id in zones.locked_ids))
            for shape, zone_id, name in zip(zones.shapes, zones.ids, zones.names, strict=True)
        ]
        rows["strip"] += [(s.line, season.id, s.name, s.width_m) for s in season.strips]
        rows["ground_point"] += [
            (shapely.Point(p.easting_m, p.northing_m), season.id, p.name, str(p.kind), p.note)
            for p in season.ground_points
        ]
        rows["guidance"] += [
            (g.line, season.id, g.name, g.machine, g.swath_m, g.wheel_track_m)
            for g in season.guidance
        ]
        if season.sample_plan is not None:
            rows["planned_sample"] += _stop_rows(season.id, season.sample_plan)
        if season.tests is not None:
            rows["sample"] += _sample_rows(season.id, season.tests)
            rows["lab_result"] += _result_rows(season.id, season.tests)
    return tuple(_as_columns(name, lines) for name, lines in rows.items() if lines)


def _stop_rows(season_id: str, plan: SamplePlan) -> list[tuple[object, ...]]:
    """One row for each stop of a sample plan, in walking order."""
    points = shapely.points(plan.longitude_degree, plan.latitude_degree)
    return [
        (point, season_id, number, sample, zone, int(cores))
        for number, (point, sample, zone, cores) in enumerate(
            zip(points, plan.sample_ids, plan.zone_names, plan.cores, strict=True), start=1
        )
    ]


def _sample_rows(season_id: str, tests: ResultsTable) -> list[tuple[object, ...]]:
    """One row for each row of the laboratory sheet."""
    known = np.isfinite(tests.longitude_degree)
    points = np.full(len(known), None, dtype=object)
    points[known] = shapely.points(tests.longitude_degree[known], tests.latitude_degree[known])
    paddocks, textures = (
        texts or ("",) * len(known) for texts in (tests.paddock_names, tests.textures)
    )
    return [
        (points[i], season_id, int(tests.file_rows[i]), tests.sample_ids[i], tests.zone_names[i],
         tests.depths_cm[i], paddocks[i], textures[i])
        for i in range(len(tests.sample_ids))
    ]  # fmt: skip


def _result_rows(season_id: str, tests: ResultsTable) -> list[tuple[object, ...]]:
    """One row for each result that there is."""
    return [
        (None, season_id, int(i), c.analyte.key, float(c.values[i]), str(c.limits[i]))
        for c in tests.columns
        for i in np.flatnonzero(~np.isnan(c.values))
    ]


def _as_columns(name: str, lines: Sequence[tuple[object, ...]]) -> LayerRows:
    """Rows turned into columns of one type each."""
    kind = _GEOMETRY_TYPES[name]
    shapes: NDArray[np.object_] | None = None
    if kind is not None:
        shapes = np.empty(len(lines), dtype=object)
        shapes[:] = [_multi(line[0]) if kind == "MultiPolygon" else line[0] for line in lines]
    columns = []
    for index in range(1, len(LAYER_FIELDS[name]) + 1):
        values = [line[index] for line in lines]
        plain = object if isinstance(values[0], str) else type(values[0])
        columns.append(np.array(values, dtype=plain))
    return LayerRows(name, kind, shapes, LAYER_FIELDS[name], tuple(columns))


def _multi(shape: object) -> object:
    """A polygon as a multipolygon of one part, so that the layer has one type."""
    return shapely.MultiPolygon([shape]) if isinstance(shape, shapely.Polygon) else shape


def _single(shape: shapely.Geometry) -> shapely.Geometry:
    """A multipolygon of one part as a polygon."""
    parts = shapely.get_parts(shape)
    return parts[0] if len(parts) == 1 else shape


def _of_season(layer: LayerRows | None, season_id: str) -> NDArray[np.intp]:
    """Rows of a layer that belong to a season."""
    if layer is None:
        return np.array([], dtype=np.intp)
    return np.flatnonzero(layer.columns[0] == season_id)


def paddock_from(layers: dict[str, LayerRows], season_id: str, crs: str) -> Paddock:
    """A season's paddock out of the layers of a farm file."""
    paddock, exclusion = layers["paddock"], layers.get("exclusion")
    row = int(_of_season(paddock, season_id)[0])
    assert paddock.shapes is not None
    exclusions: tuple[Exclusion, ...] = ()
    if exclusion is not None and exclusion.shapes is not None:
        exclusions = tuple(
            Exclusion(
                str(exclusion.columns[1][i]),
                ExclusionKind(exclusion.columns[2][i]),
                exclusion.shapes[i],
                float(exclusion.columns[3][i]),
            )
            for i in _of_season(exclusion, season_id)
        )
    return Paddock(str(paddock.columns[1][row]), crs, _single(paddock.shapes[row]), exclusions)


def zones_from(layers: dict[str, LayerRows], season_id: str) -> Zones:
    """A season's zones out of the layers of a farm file."""
    zone = layers.get("zone")
    rows = _of_season(zone, season_id)
    shapes = np.empty(len(rows), dtype=object)
    if zone is None or zone.shapes is None:
        return Zones((), (), shapes)
    shapes[:] = [_single(zone.shapes[i]) for i in rows]
    names = tuple(str(zone.columns[2][i]) for i in rows)
    ids = tuple(str(zone.columns[1][i]) for i in rows)
    return Zones(ids, names, shapes, _locked(zone, rows))


def _locked(zone: LayerRows, rows: NDArray[np.intp]) -> frozenset[str]:
    """Ids of the locked zones; none in older files, which do not tell."""
    if "locked" not in zone.fields:
        return frozenset()
    return frozenset(str(zone.columns[1][i]) for i in rows if zone.columns[3][i])


def strips_from(layers: dict[str, LayerRows], season_id: str) -> tuple[CheckStrip, ...]:
    """A season's check strips out of the layers of a farm file."""
    strip = layers.get("strip")
    if strip is None or strip.shapes is None:
        return ()
    return tuple(
        CheckStrip(str(strip.columns[1][i]), strip.shapes[i], float(strip.columns[2][i]))
        for i in _of_season(strip, season_id)
    )


def ground_points_from(layers: dict[str, LayerRows], season_id: str) -> tuple[GroundPoint, ...]:
    """A season's ground points out of the layers of a farm file; none in older files."""
    point = layers.get("ground_point")
    if point is None or point.shapes is None:
        return ()
    return tuple(
        GroundPoint(
            str(point.columns[1][i]),
            GroundPointKind(point.columns[2][i]),
            float(point.shapes[i].x),
            float(point.shapes[i].y),
            _text(point.columns[3][i]),
        )
        for i in _of_season(point, season_id)
    )


def guidance_from(layers: dict[str, LayerRows], season_id: str) -> tuple[GuidanceLine, ...]:
    """A season's guidance lines out of the layers of a farm file; none in older files."""
    guidance = layers.get("guidance")
    if guidance is None or guidance.shapes is None:
        return ()
    return tuple(
        GuidanceLine(
            str(guidance.columns[1][i]),
            _text(guidance.columns[2][i]),
            guidance.shapes[i],
            float(guidance.columns[3][i]),
            float(guidance.columns[4][i]),
        )
        for i in _of_season(guidance, season_id)
    )


def sample_plan_from(
    layers: dict[str, LayerRows], stored: StoredSamplePlan | None, paddock: Paddock, season_id: str
) -> SamplePlan | None:
    """A season's sample plan out of the layers of a farm file, without the ground points."""
    if stored is None:
        return None
    stop = layers["planned_sample"]
    rows = _of_season(stop, season_id)
    rows = rows[np.argsort(stop.columns[1][rows].astype(np.int64), kind="stable")]
    assert stop.shapes is not None
    return SamplePlan(
        paddock=paddock.name,
        sample_ids=tuple(map(_text, stop.columns[2][rows])),
        zone_names=tuple(map(_text, stop.columns[3][rows])),
        longitude_degree=shapely.get_x(stop.shapes[rows]),
        latitude_degree=shapely.get_y(stop.shapes[rows]),
        cores=stop.columns[4][rows].astype(np.intp),
        depth_cm=stored.depth_cm,
        design=stored.design,
        seed=stored.seed,
        walk_m=stored.walk_m,
        points=ground_points_from(layers, season_id),
        advice=stored.advice,
    )


def tests_from(
    layers: dict[str, LayerRows], season_id: str, *, file: str, analyte_keys: tuple[str, ...]
) -> ResultsTable:
    """A season's laboratory results out of the layers of a farm file, without notes."""
    sample = layers["sample"]
    rows = _of_season(sample, season_id)
    assert sample.shapes is not None
    shapes = sample.shapes[rows]
    _, file_row, sample_id, zone_name, depth = (column[rows] for column in sample.columns[:5])
    return ResultsTable(
        file=file,
        file_rows=file_row.astype(np.int64),
        sample_ids=tuple(map(str, sample_id)),
        zone_names=tuple(_text(name) for name in zone_name),
        longitude_degree=shapely.get_x(shapes),
        latitude_degree=shapely.get_y(shapes),
        depths_cm=tuple(_text(d) for d in depth),
        columns=_analyte_columns(layers, season_id, analyte_keys, count=len(rows)),
        paddock_names=_texts(sample, rows, "paddock_name"),
        textures=_texts(sample, rows, "texture"),
    )


def _texts(sample: LayerRows, rows: NDArray[np.intp], field: str) -> tuple[str, ...]:
    """A text of each sample; none at all where no row tells one, as in older files."""
    if field not in sample.fields:
        return ()
    texts = tuple(_text(text) for text in sample.columns[sample.fields.index(field)][rows])
    return texts if any(texts) else ()


def _analyte_columns(
    layers: dict[str, LayerRows], season_id: str, analyte_keys: tuple[str, ...], *, count: int
) -> tuple[AnalyteColumn, ...]:
    """Results put back into one column an analyte."""
    result = layers.get("lab_result")
    rows = _of_season(result, season_id)
    columns = []
    for key in analyte_keys:
        values, limits = np.full(count, np.nan), np.full(count, "", dtype="<U1")
        if result is not None:
            own = rows[result.columns[2][rows] == key]
            index = result.columns[1][own].astype(np.intp)
            values[index] = result.columns[3][own].astype(float)
            limits[index] = [_text(limit) for limit in result.columns[4][own]]
        columns.append(AnalyteColumn(analyte(key), values, limits))
    return tuple(columns)


def _text(value: object) -> str:
    """A text field; an empty one comes back from the file as None."""
    return "" if value is None else str(value)


def crs_of(layer: str, farm_crs: str) -> str:
    """Coordinate system of a layer: samples keep longitude and latitude."""
    return LON_LAT if layer in LON_LAT_LAYERS else farm_crs
