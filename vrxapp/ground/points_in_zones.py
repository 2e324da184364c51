"""Finds the zone of each of many points: a look-up in a raster, and an exact test at edges.

A grid is laid over the zones. Every cell that an edge runs through is marked; what is left
falls into connected patches that lie wholly in one zone or in none, so that one test a patch
is enough. Only points in marked cells are tested one by one.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import ndimage

from vrxapp.errors import GroundError
from vrxapp.ground.grid import Grid

OUTSIDE = -1

_EDGE = -2
_FEW_POINTS = 5_000
_FEWEST_CELLS, _MOST_CELLS = 10_000.0, 4_000_000.0
_AT_CORNERS = 1e-6
"""How near to a cell's side an edge marks the cell beyond it too. [cells]"""


@dataclass(frozen=True, slots=True, eq=False)
class _LookUp:
    """A grid over zones, in rows from the south.

    `zone` holds the zone of each cell, -1 for none (as all round), -2 where an edge runs
    through; `low` and `high` the lowest and highest row of the zones whose edges do.
    """

    west_m: float
    south_m: float
    cell_m: float
    zone: NDArray[np.int32]
    low: NDArray[np.int32]
    high: NDArray[np.int32]


def zone_of_points(
    easting_m: NDArray[np.float64], northing_m: NDArray[np.float64], zones: NDArray[np.object_]
) -> NDArray[np.int32]:
    """The row of the zone that each point lies in or on the edge of.

    Parameters
    ----------
    easting_m, northing_m : ndarray of float
        Points in the coordinates of the zones; NaN lies nowhere. [m]
    zones : ndarray of shapely geometry
        Polygons and MultiPolygons. [m]

    Returns
    -------
    ndarray of int
        -1 for none. Where zones overlap, and on an edge that they share, one of those that
        hold the point, and always the same.

    Raises
    ------
    GroundError
        If the columns differ in length.
    """
    if easting_m.shape != northing_m.shape:
        raise GroundError("eastings and northings of the points differ in number")
    if len(zones) == 0 or easting_m.size == 0:
        return np.full(easting_m.shape, OUTSIDE, dtype=np.int32)
    if easting_m.size <= _FEW_POINTS:
        return _tested(easting_m, northing_m, zones)
    table = _look_up(zones, easting_m.size)
    rows, columns = table.zone.shape
    # what lies outside, and NaN, ends in the last row or column, where there is no zone
    column = _cell_numbers(easting_m, table.west_m, table.cell_m, last=columns - 1)
    row = _cell_numbers(northing_m, table.south_m, table.cell_m, last=rows - 1)
    cell = row * np.int32(columns) + column
    found = table.zone.ravel()[cell]
    at_edge = np.flatnonzero(found == _EDGE)
    x, y = easting_m[at_edge], northing_m[at_edge]
    found[at_edge] = _told_apart(x, y, zones, table=table, cell=cell[at_edge])
    return np.asarray(found)


def cells_with_edges(zones: NDArray[np.object_], grid: Grid) -> NDArray[np.bool_]:
    """Rows and columns of a grid: whether an edge of a zone, or the grid's own, lies in a cell.

    All other cells lie wholly in one zone or in none.
    """
    rows, columns = grid.shape
    south_m = grid.north_m - rows * grid.cell_m
    east_m = grid.west_m + columns * grid.cell_m
    near = shapely.clip_by_rect(zones, grid.west_m, south_m, east_m, grid.north_m)
    lie = (grid.west_m - grid.cell_m, south_m - grid.cell_m, grid.cell_m)
    cell, _ = _cells_of_edges(near, lie, (rows + 2, columns + 2))
    marked = np.zeros((rows + 2) * (columns + 2), dtype=bool)
    marked[cell] = True
    return np.asarray(marked.reshape(rows + 2, columns + 2)[-2:0:-1, 1:-1])


def _cell_numbers(
    along_m: NDArray[np.float64], first_m: float, cell_m: float, *, last: int
) -> NDArray[np.int32]:
    """Which row or column each point lies in."""
    cells = (along_m - first_m) * (1.0 / cell_m)
    np.fmin(cells, last, out=cells)  # NaN becomes the last
    np.maximum(cells, 0.0, out=cells)
    return cells.astype(np.int32)


def _tested(
    x: NDArray[np.float64], y: NDArray[np.float64], zones: NDArray[np.object_]
) -> NDArray[np.int32]:
    """The lowest zone that holds each point, by the exact test."""
    found = np.full(x.size, len(zones), dtype=np.int32)
    somewhere = np.flatnonzero(np.isfinite(x) & np.isfinite(y))
    points = shapely.points(x[somewhere], y[somewhere])
    point, zone = shapely.STRtree(zones).query(points, predicate="intersects")
    np.minimum.at(found, somewhere[point], zone.astype(np.int32))
    found[found == len(zones)] = OUTSIDE
    return found


def _told_apart(
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    zones: NDArray[np.object_],
    *,
    table: _LookUp,
    cell: NDArray[np.int32],
) -> NDArray[np.int32]:
    """A zone that holds each point in a cell with an edge.

    A point is first sought in the lowest zone with an edge there, then in the highest;
    mostly there is no third. What is left is tested against all.
    """
    shapely.prepare(zones)
    found = np.full(x.size, OUTSIDE, dtype=np.int32)
    open_yet = np.arange(x.size)
    for candidates in (table.low.ravel()[cell], table.high.ravel()[cell]):
        zone = candidates[open_yet]
        # in the order of zones, each stays at hand while it is asked
        order = np.argsort(zone, kind="stable")
        asked, zone = open_yet[order], zone[order]
        is_in = shapely.intersects_xy(zones[zone], x[asked], y[asked])
        found[asked[is_in]] = zone[is_in]
        open_yet = asked[~is_in]
    found[open_yet] = _tested(x[open_yet], y[open_yet], zones)
    return found


def _look_up(zones: NDArray[np.object_], count: int) -> _LookUp:
    """A look-up of zones with about as many cells as there are points to find."""
    west, south, east, north = (float(side) for side in shapely.total_bounds(zones))
    cells = min(max(float(count), _FEWEST_CELLS), _MOST_CELLS)
    width, height = east - west, north - south
    cell_m = max(float(np.sqrt(width * height / cells)), (width + height) / cells)
    shape = (int(height / cell_m) + 4, int(width / cell_m) + 4)
    west_m, south_m = west - cell_m, south - cell_m
    cell, zone_of_cell = _cells_of_edges(zones, (west_m, south_m, cell_m), shape)
    low = np.full(shape, len(zones), dtype=np.int32)
    high = np.full(shape, OUTSIDE, dtype=np.int32)
    high.ravel()[cell] = zone_of_cell  # zones rise, so that the last one stays
    low.ravel()[cell[::-1]] = zone_of_cell[::-1]
    patches, patch_count = ndimage.label(high == OUTSIDE)
    some_cell = np.zeros(patch_count + 1, dtype=np.intp)
    some_cell[patches.ravel()] = np.arange(patches.size)
    row, column = np.divmod(some_cell[1:], shape[1])
    own = _tested(west_m + (column + 0.5) * cell_m, south_m + (row + 0.5) * cell_m, zones)
    zone_of_patch = np.concatenate([[_EDGE], own]).astype(np.int32)
    return _LookUp(west_m, south_m, cell_m, zone_of_patch[patches], low, high)


def _cells_of_edges(
    zones: NDArray[np.object_], lie: tuple[float, float, float], shape: tuple[int, int]
) -> tuple[NDArray[np.intp], NDArray[np.int32]]:
    """Cells that an edge runs through, and the zone of that edge, in the order of zones."""
    parts, zone_of_part = shapely.get_parts(zones, return_index=True)
    rings, part_of_ring = shapely.get_rings(parts, return_index=True)
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    corners = (corners - lie[:2]) / lie[2]
    goes_on = ring[1:] == ring[:-1]
    (x0, y0), (x1, y1) = corners[:-1][goes_on].T, corners[1:][goes_on].T
    upright, line = _crossed(x0, x1)
    at_upright = y0[upright] + (line - x0[upright]) * _ratio(y1 - y0, x1 - x0)[upright]
    level, height = _crossed(y0, y1)
    at_level = x0[level] + (height - y0[level]) * _ratio(x1 - x0, y1 - y0)[level]
    marks = (
        _beside(x0, y0, np.arange(len(x0)), shape[1]),
        _beside(line.astype(float), at_upright, upright, shape[1]),
        _beside(at_level, height.astype(float), level, shape[1]),
    )
    cell, edge = (np.concatenate(column) for column in zip(*marks, strict=True))
    zone = zone_of_part[part_of_ring][ring[:-1][goes_on]][edge].astype(np.int32)
    order = np.argsort(zone, kind="stable")
    return cell[order], zone[order]


def _ratio(rise: NDArray[np.float64], run: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rise over run, zero where there is no run: then nothing is crossed."""
    ratio = np.zeros_like(rise)
    np.divide(rise, run, out=ratio, where=run != 0.0)
    return ratio


def _crossed(
    one: NDArray[np.float64], other: NDArray[np.float64]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """For each whole number between two numbers, which pair and which number."""
    first = np.ceil(np.minimum(one, other)).astype(np.intp)
    count = np.floor(np.maximum(one, other)).astype(np.intp) - first + 1
    np.maximum(count, 0, out=count)
    pair = np.repeat(np.arange(len(one)), count)
    start = np.repeat(np.cumsum(count) - count, count)
    return pair, first[pair] + np.arange(len(pair)) - start


def _beside(
    x: NDArray[np.float64], y: NDArray[np.float64], edge: NDArray[np.intp], columns: int
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The cells around spots on edges: one, or those that meet on a line or in a corner."""
    left, right = (np.floor(x + aside).astype(np.intp) for aside in (-_AT_CORNERS, _AT_CORNERS))
    down, up = (np.floor(y + aside).astype(np.intp) for aside in (-_AT_CORNERS, _AT_CORNERS))
    wide, high = left != right, down != up
    both = wide & high
    cells = (
        down * columns + left,
        (down * columns + right)[wide],
        (up * columns + left)[high],
        (up * columns + right)[both],
    )
    return np.concatenate(cells), np.concatenate([edge, edge[wide], edge[high], edge[both]])
