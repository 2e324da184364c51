"""Ground points, guidance lines and sample stops, as the map and its legend show them."""

from functools import lru_cache

import numpy as np
import shapely

from vrxapp.desktop.map.line_layer import LineLayer
from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind
from vrxapp.ground.guidance import GuidanceLine
from vrxapp.ground.projected_crs import LON_LAT, transformed_xy
from vrxapp.ground.sample_plan import SamplePlan
from vrxapp.legend import LineStyle, Step, Symbol

POINTS = "ground points"
WALK, STOPS, GUIDANCE = "walk", "planned stops", "guidance"
STOP = Step("planned stop", "#f29a4a", is_marker=True)
_GUIDANCE = LineStyle("guidance line", "#0d1315", width_px=2.2, dashes_px=(14.0, 4.0))
_WALK = LineStyle("walk", "#0d1315", width_px=1.8, dashes_px=(2.0, 3.0))
_CALM, _DANGER = "#ffffff", "#f6d04d"
_SYMBOLS = {
    GroundPointKind.GATE: (Symbol.GATE, _CALM),
    GroundPointKind.DUMP_SITE: (Symbol.HEAP, _CALM),
    GroundPointKind.POWERLINE: (Symbol.BOLT, _DANGER),
    GroundPointKind.FORD: (Symbol.WAVES, _CALM),
    GroundPointKind.WET_PATCH: (Symbol.TUFTS, _CALM),
    GroundPointKind.WASH_DOWN: (Symbol.DROPS, _CALM),
    GroundPointKind.CONTACT: (Symbol.PERSON, _CALM),
}


def point_step(kind: GroundPointKind) -> Step:
    """How a kind of point is drawn: its sign tells it, the colour only warns."""
    symbol, fill = _SYMBOLS[kind]
    return Step(str(kind), fill, is_marker=True, symbol=symbol)


@lru_cache(maxsize=16)
def point_layers(points: tuple[GroundPoint, ...]) -> tuple[MarkerLayer, ...]:
    """One marker a point with its name; no layer without points."""
    if not points:
        return ()
    kinds = _kinds(points)
    layer = MarkerLayer(
        POINTS,
        np.array([p.easting_m for p in points]),
        np.array([p.northing_m for p in points]),
        tuple(point_step(kind) for kind in kinds),
        np.array([kinds.index(p.kind) for p in points], dtype=np.intp),
        labels=tuple(p.name for p in points),
    )
    return (layer,)


def point_steps(points: tuple[GroundPoint, ...]) -> tuple[Step, ...]:
    """The steps of the legend for the kinds that there are."""
    return tuple(point_step(kind) for kind in _kinds(points))


@lru_cache(maxsize=16)
def walk_layers(plan: SamplePlan, crs: str) -> tuple[LineLayer | MarkerLayer, ...]:
    """The walk of a sample plan, and its stops numbered in walking order."""
    x, y = transformed_xy(plan.longitude_degree, plan.latitude_degree, from_crs=LON_LAT, to_crs=crs)
    labels = tuple(str(number) for number in range(1, len(x) + 1))
    stops = MarkerLayer(STOPS, x, y, (STOP,), labels=labels, is_pickable=False)
    if len(x) < 2:
        return (stops,)
    line = np.array([shapely.linestrings(np.column_stack([x, y]))], dtype=object)
    return (LineLayer(WALK, line, (_WALK,), is_pickable=False), stops)


@lru_cache(maxsize=16)
def guidance_layers(lines: tuple[GuidanceLine, ...]) -> tuple[LineLayer, ...]:
    """The guidance lines with their names; no layer without lines."""
    if not lines:
        return ()
    shapes = np.empty(len(lines), dtype=object)
    shapes[:] = [line.line for line in lines]
    labels = [f"{line.name}\nguidance" for line in lines]
    return (LineLayer(GUIDANCE, shapes, (_GUIDANCE,), labels=labels),)


def _kinds(points: tuple[GroundPoint, ...]) -> list[GroundPointKind]:
    """The kinds that there are, in the order of all kinds."""
    present = {p.kind for p in points}
    return [kind for kind in GroundPointKind if kind in present]
