"""The grid over a paddock: aligned, counted, and inside where the middle is."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, box

from vrxapp.errors import GroundError
from vrxapp.ground.grid import (
    CellValues,
    cells_of,
    column_eastings_m,
    grid_transform,
    paddock_grid,
    row_northings_m,
)
from vrxapp.ground.paddock import Paddock

EAST, NORTH = 682_000.0, 6_124_000.0


def paddock(shape):
    return Paddock("Flat", "EPSG:7855", shape)


def test_rows_run_south_and_columns_east_from_whole_multiples_of_the_cell():
    grid = paddock_grid(paddock(box(EAST + 3, NORTH + 3, EAST + 47, NORTH + 27)), 10.0)
    assert grid_transform(grid) == (10.0, 0.0, EAST, 0.0, -10.0, NORTH + 30.0)
    assert column_eastings_m(grid)[[0, -1]].tolist() == [EAST + 5, EAST + 45]
    assert row_northings_m(grid)[[0, -1]].tolist() == [NORTH + 25, NORTH + 5]


def test_a_hole_is_outside():
    hole = [(40, 40), (60, 40), (60, 60), (40, 60)]
    ring = Polygon([(0, 0), (100, 0), (100, 100), (0, 100)], [hole])
    grid = paddock_grid(paddock(ring), 10.0)
    assert int(grid.inside.sum()) == 96
    assert not grid.inside[4:6, 4:6].any()


@given(st.floats(3.0, 40.0), st.floats(-0.4, 0.4))
def test_each_cell_is_inside_exactly_if_its_middle_is(cell_m, lean):
    shape = Polygon([(0, 0), (300, 60 * lean), (280, 200), (lean * 50, 190)])
    grid = paddock_grid(paddock(shape), cell_m)
    e, n = np.meshgrid(column_eastings_m(grid), row_northings_m(grid))
    assert (grid.inside == shapely.within(shapely.points(e, n), shape)).all()
    row, column = cells_of(grid, e.ravel(), n.ravel())
    assert (np.ravel_multi_index((row, column), e.shape) == np.arange(e.size)).all()


def test_points_beyond_the_grid_have_no_cell():
    grid = paddock_grid(paddock(box(0, 0, 100, 50)), 10.0)
    row, column = cells_of(grid, np.array([-1.0, 5.0, 101.0]), np.array([5.0, 51.0, 5.0]))
    assert row.tolist() == column.tolist() == [-1, -1, -1]


@pytest.mark.parametrize(
    ("shape", "cell_m", "words"),
    [
        (box(0, 0, 100, 100), 0.0, "above 0"),
        (box(0, 0, 100, 100), np.nan, "above 0"),
        (box(0, 0, 10_000, 10_000), 1.0, "at least 2 m"),
        (box(1, 1, 3, 3), 100.0, "smaller cell"),
    ],
)
def test_a_size_that_cannot_serve_is_refused_with_a_mend(shape, cell_m, words):
    with pytest.raises(GroundError, match=words):
        paddock_grid(paddock(shape), cell_m)


def test_values_must_fit_their_grid():
    grid = paddock_grid(paddock(box(0, 0, 100, 50)), 10.0)
    with pytest.raises(GroundError, match="rows and columns"):
        CellValues(grid, np.zeros((5, 10)), np.zeros((10, 5)))
