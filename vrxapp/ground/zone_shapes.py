"""Groups of cells as polygons that share their edges.

The polygons are a coverage: no gap, no overlap, and each edge the same from both sides. That
is checked here, every time, and not only in tests.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from vrxapp.errors import GroundError
from vrxapp.ground.clipped_shapes import plain
from vrxapp.ground.grid import Grid
from vrxapp.ground.label_tidying import filled_labels
from vrxapp.ground.zone_smoothing import without_steps

AREA_TOLERANCE_M2 = 0.01
"""By how much the zones' areas in sum may differ from the ground they cover. [m²]"""
CRUMB_M2 = 1.0
CRUMB_WIDTH_M = 0.05
"""Ground this small or narrow comes from cutting, and goes to a neighbour. [m², m]"""

_REPORT = "Choose other cells or less smoothing; if it happens again, report it"


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class LabelledShapes:
    """One shape for each label that has ground.

    Parameters
    ----------
    labels : ndarray of int
        Rising.
    shapes : ndarray of shapely geometry
        Polygons and MultiPolygons; a valid coverage. [m]
    """

    labels: NDArray[np.int16]
    shapes: NDArray[np.object_]


def shapes_of_labels(
    labels: NDArray[np.int16], grid: Grid, boundary: BaseGeometry, *, smooth_m: float
) -> LabelledShapes:
    """Shapes of labelled cells, smoothed and clipped to the boundary.

    Parameters
    ----------
    labels : ndarray of int
        Rows and columns; cells with -1 take the label of the nearest that has one.
    grid : Grid
        Their grid.
    boundary : shapely geometry
        Polygon or MultiPolygon that the shapes fill wholly. [m]
    smooth_m : float
        How far an edge may move to lose its steps, 0 to keep them; one to two cells are
        usual, more changes small zones a good deal. [m]

    Raises
    ------
    GroundError
        If the shapes do not fit together; then nothing of them should be used.
    """
    filled = filled_labels(labels)
    rows, columns = filled.shape
    cells = _cell_shapes(filled)
    names = np.unique(filled)
    whole = dissolved(cells.shapes, np.searchsorted(names, cells.labels), len(names))
    if smooth_m > 0.0:
        whole = without_steps(whole, (0.0, 0.0, columns, rows), reach=smooth_m / grid.cell_m)
    placed = shapely.transform(
        whole,
        lambda xy: np.column_stack(
            [grid.west_m + xy[:, 0] * grid.cell_m, grid.north_m - xy[:, 1] * grid.cell_m]
        ),
    )
    cut = tiled_by(shapely.orient_polygons(placed), boundary)
    kept = ~shapely.is_empty(cut)
    return LabelledShapes(names[kept].astype(np.int16), cut[kept])


def tiled_by(shapes: NDArray[np.object_], boundary: BaseGeometry) -> NDArray[np.object_]:
    """Shapes of a coverage cut along a boundary, so that they fill it and fit each other.

    All edges and the boundary are noded into one linework. Crumbs go to the neighbour with
    which they share the longest edge.

    Parameters
    ----------
    shapes : ndarray of shapely geometry
        A coverage that covers the boundary. [m]
    boundary : shapely geometry
        Polygon or MultiPolygon. [m]

    Returns
    -------
    ndarray of shapely geometry
        One for each shape, empty where nothing is left.

    Raises
    ------
    GroundError
        If the result is no valid coverage of the boundary.
    """
    lines = shapely.boundary(np.append(shapes, boundary))
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(shapely.union_all(lines))))
    spots = shapely.point_on_surface(faces)
    shapely.prepare(boundary)
    within = shapely.contains_xy(boundary, shapely.get_x(spots), shapely.get_y(spots))
    faces, spots = faces[within], spots[within]
    face, shape = shapely.STRtree(shapes).query(spots, predicate="within")
    owner = np.full(len(faces), -1, dtype=np.intp)
    owner[face] = shape
    joined = dissolved(faces, _without_crumbs(faces, owner), len(shapes))
    require_coverage(joined, boundary)
    return joined


def dissolved(
    faces: NDArray[np.object_], owner: NDArray[np.intp], count: int
) -> NDArray[np.object_]:
    """Faces of a coverage joined by owner; empty for an owner without a face."""
    joined = np.full(count, shapely.Polygon(), dtype=object)
    for row in range(count):
        mine = faces[owner == row]
        if len(mine):
            joined[row] = shapely.normalize(plain(shapely.coverage_union_all(mine)))
    return joined


def require_coverage(shapes: NDArray[np.object_], boundary: BaseGeometry) -> None:
    """Refuse shapes that overlap, leave a gap, or do not fill the boundary.

    Raises
    ------
    GroundError
        If so.
    """
    full = shapes[~shapely.is_empty(shapes)]
    missing_m2 = boundary.area - float(np.sum(shapely.area(full)))
    sound = np.all(shapely.is_valid(full)) and shapely.coverage_is_valid(full)
    if not sound or abs(missing_m2) > AREA_TOLERANCE_M2:
        raise GroundError(
            "the zones do not fit together: "
            + (f"{abs(missing_m2):.3f} m² too much or too little" if sound else "edges differ"),
            mend=_REPORT,
        )


def narrow_shares(shapes: NDArray[np.object_], width_m: float) -> NDArray[np.float64]:
    """Share of each shape that a disc of some width cannot reach without leaving it. [0 to 1]

    Corners count too, which is some hundredths even of a wide shape.

    Examples
    --------
    >>> strip, block = shapely.box(0, 0, 500, 8), shapely.box(0, 0, 500, 500)
    >>> narrow_shares(np.array([strip, block]), 10.0).round(3)
    array([1., 0.])
    """
    within = shapely.buffer(shapes, -width_m / 2.0)
    reached = shapely.intersection(shapely.buffer(within, width_m / 2.0), shapes)
    return np.asarray(1.0 - shapely.area(reached) / shapely.area(shapes))


def _cell_shapes(labels: NDArray[np.int16]) -> LabelledShapes:
    """Faces of equal cells in cell units, rows downwards; edges have a vertex at every cell.

    Those vertices make neighbours agree where three of them meet.
    """
    rows, columns = labels.shape
    padded = np.pad(labels, 1, constant_values=-1)
    row, column = np.nonzero(padded[:, :-1] != padded[:, 1:])  # edges that run down
    down = np.stack([column, row - 1, column, row], axis=1)
    row, column = np.nonzero(padded[:-1] != padded[1:])  # edges that run across
    across = np.stack([column - 1, row, column, row], axis=1)
    ends = np.concatenate([down, across]).astype(float).reshape(-1, 2, 2)
    faces = shapely.get_parts(shapely.polygonize(shapely.linestrings(ends)))
    spots = shapely.get_coordinates(shapely.point_on_surface(faces))
    at = np.floor(spots).astype(np.intp)
    inside = (at[:, 0] >= 0) & (at[:, 0] < columns) & (at[:, 1] >= 0) & (at[:, 1] < rows)
    return LabelledShapes(labels[at[inside, 1], at[inside, 0]], faces[inside])


def _without_crumbs(faces: NDArray[np.object_], owner: NDArray[np.intp]) -> NDArray[np.intp]:
    """The owner of each face once crumbs went to their neighbours."""
    width_m = 2.0 * shapely.area(faces) / np.maximum(shapely.length(faces), 1e-12)
    crumb = (shapely.area(faces) < CRUMB_M2) | (width_m < CRUMB_WIDTH_M) | (owner < 0)
    if not np.any(crumb) or np.all(crumb):
        return owner
    given, waiting = owner.copy(), crumb.copy()
    tree = shapely.STRtree(faces)
    for _ in range(int(np.sum(crumb))):
        rows = np.flatnonzero(waiting)
        here, there = tree.query(faces[rows], predicate="intersects")
        settled = ~waiting[there]
        one, other = rows[here[settled]], there[settled]
        shared_m = shapely.length(
            shapely.intersection(shapely.boundary(faces[one]), shapely.boundary(faces[other]))
        )
        order = np.lexsort((other, -shared_m, one))
        one, other, shared_m = one[order], other[order], shared_m[order]
        first = np.concatenate([[True], one[1:] != one[:-1]]) & (shared_m > 0.0)
        if not np.any(first):
            break
        given[one[first]] = given[other[first]]
        waiting[one[first]] = False
        if not np.any(waiting):
            break
    return given
