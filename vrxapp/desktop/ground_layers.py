"""Gates, powerlines and other ground points as the map and its legend show them."""

from functools import lru_cache

import numpy as np

from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.ground.ground_points import GroundPoint, GroundPointKind
from vrxapp.legend import Step, Symbol

POINTS = "ground points"
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


def _kinds(points: tuple[GroundPoint, ...]) -> list[GroundPointKind]:
    """The kinds that there are, in the order of all kinds."""
    present = {p.kind for p in points}
    return [kind for kind in GroundPointKind if kind in present]
