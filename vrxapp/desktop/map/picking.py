"""Which feature lies at a place: points before lines before areas, the topmost first."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.desktop.map.layer import Layer
from vrxapp.desktop.map.line_layer import LineLayer
from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.desktop.map.point_layer import PointLayer
from vrxapp.desktop.map.zone_layer import ZoneLayer


class Feature(NamedTuple):
    """A row of a layer."""

    layer_name: str
    row: int


class Picker:
    """Finds features; its search trees live as long as the columns they were built from."""

    def __init__(self) -> None:
        self._layers: tuple[Layer, ...] = ()
        self._trees: dict[int, tuple[NDArray[np.object_], shapely.STRtree]] = {}

    def set_layers(self, layers: Sequence[Layer]) -> None:
        """Look among other layers, given from the lowest to the topmost."""
        self._layers = tuple(layer for layer in layers if getattr(layer, "is_pickable", False))
        columns = {id(layer.geometries) for layer in self._layers if hasattr(layer, "geometries")}
        self._trees = {key: kept for key, kept in self._trees.items() if key in columns}

    def feature_at(
        self, easting_m: float, northing_m: float, *, reach_m: float, fine_reach_m: float
    ) -> Feature | None:
        """The feature at a place on the ground, or None.

        Parameters
        ----------
        easting_m, northing_m : float
            The place in projected metres.
        reach_m : float
            How far away a marker or a line may lie. [m]
        fine_reach_m : float
            How far away one of many points may lie. [m]
        """
        place = (easting_m, northing_m)
        kinds = ((MarkerLayer, reach_m), (PointLayer, fine_reach_m))
        for kind, reach in (*kinds, (LineLayer, reach_m), (ZoneLayer, 0.0)):
            for layer in reversed(self._layers):
                if isinstance(layer, kind):
                    row = self._row_at(layer, place, reach)
                    if row is not None:
                        return Feature(layer.name, row)
        return None

    def _row_at(self, layer: Layer, place: tuple[float, float], reach_m: float) -> int | None:
        """The topmost row of an area layer at a place, or the nearest row of another."""
        if isinstance(layer, MarkerLayer):
            return _nearest(layer.easting_m, layer.northing_m, place, reach_m)
        if isinstance(layer, PointLayer):
            return _nearest_of_many(layer, place, reach_m)
        tree = self._tree(layer.geometries)
        spot = shapely.Point(place)
        if isinstance(layer, ZoneLayer):
            rows = tree.query(spot, predicate="intersects")
            return int(rows.max()) if len(rows) else None
        rows = tree.query_nearest(spot, max_distance=max(reach_m, 1e-9), all_matches=False)
        return int(rows[0]) if len(rows) else None

    def _tree(self, geometries: NDArray[np.object_]) -> shapely.STRtree:
        """The search tree of a column, built at the first question."""
        if id(geometries) not in self._trees:
            shapely.prepare(geometries)
            self._trees[id(geometries)] = (geometries, shapely.STRtree(geometries))
        return self._trees[id(geometries)][1]


def _nearest(
    easting_m: NDArray[np.float64],
    northing_m: NDArray[np.float64],
    place: tuple[float, float],
    reach_m: float,
) -> int | None:
    """The row nearest to a place and within reach, or None."""
    apart_m = np.hypot(easting_m - place[0], northing_m - place[1])
    apart_m[np.isnan(apart_m)] = np.inf
    if not len(apart_m):
        return None
    row = int(np.argmin(apart_m))
    return row if apart_m[row] <= reach_m else None


def _nearest_of_many(layer: PointLayer, place: tuple[float, float], reach_m: float) -> int | None:
    """The row of the point nearest to a place, looked for in its buckets only."""
    easting_m, northing_m = place
    around = (
        easting_m - reach_m,
        northing_m - reach_m,
        easting_m + reach_m,
        northing_m + reach_m,
    )
    rows = layer.index.row_of_point[layer.index.chosen(around)]
    found = _nearest(layer.easting_m[rows], layer.northing_m[rows], place, reach_m)
    return None if found is None else int(rows[found])
