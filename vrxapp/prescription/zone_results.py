"""The laboratory's results joined to the zones of a paddock."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray

from vrxapp.errors import GroundError, Note
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.projected_crs import LON_LAT, transformed
from vrxapp.ground.zones import Zones
from vrxapp.soil.by_layer import results_in_layer
from vrxapp.soil.by_place import PlaceResults, RowMatch, place_of_rows
from vrxapp.soil.results_table import ResultsTable


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class RowPlaces:
    """The zone of each row of a laboratory sheet, -1 for none, and what was doubtful."""

    rows: NDArray[np.intp]
    notes: tuple[Note, ...]


@lru_cache(maxsize=64)
def row_places(
    tests: ResultsTable, zones: Zones, paddock: Paddock, matches: tuple[RowMatch, ...]
) -> RowPlaces:
    """Join rows to zones: by hand-made match, else by zone name, else by position.

    Raises
    ------
    GroundError
        If the sheet has positions and not one lies in the paddock.
    """
    points = _sample_points(tests, paddock)
    located = np.full(len(tests.sample_ids), -1, dtype=np.intp)
    point_rows, zone_rows = shapely.STRtree(zones.shapes).query(points, predicate="intersects")
    located[point_rows[::-1]] = zone_rows[::-1]
    outside_m = shapely.distance(paddock.boundary, points)
    placed = np.isfinite(outside_m)
    if np.any(placed) and np.all(outside_m[placed] > 0):
        raise GroundError(
            f"not one of the {int(np.sum(placed))} samples lies in the paddock "
            f"{paddock.name!r}; the nearest is {float(np.min(outside_m[placed])):.0f} m outside",
            mend="Check that boundary and lab sheet belong together, and that longitude and "
            "latitude are not swapped",
            file=tests.file,
            row=int(tests.file_rows[placed][0]),
        )
    rows, notes = place_of_rows(
        tests,
        place_names=zones.names,
        place_ids=zones.ids,
        matches=matches,
        located=located,
    )
    return RowPlaces(rows, notes)


def _sample_points(tests: ResultsTable, paddock: Paddock) -> NDArray[np.object_]:
    """Sample positions in the paddock's metres; None where not told."""
    known = np.isfinite(tests.longitude_degree) & np.isfinite(tests.latitude_degree)
    points = np.full(len(known), None, dtype=object)
    lon_lat = shapely.points(tests.longitude_degree[known], tests.latitude_degree[known])
    points[known] = transformed(lon_lat, from_crs=LON_LAT, to_crs=paddock.crs)
    return points


@lru_cache(maxsize=256)
def zone_results(
    tests: ResultsTable, places: RowPlaces, analyte_key: str, depth_cm: str, zone_count: int
) -> PlaceResults:
    """Mean, number and standard error of one analyte for each zone."""
    return results_in_layer(
        tests, analyte_key, place_of_row=places.rows, place_count=zone_count, depth_cm=depth_cm
    )
