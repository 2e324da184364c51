import numpy as np
import pytest
from shapely import box

from vrxapp.errors import GroundError
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zoning_grid import cell_middles, cell_of_points, zoning_grid


def test_edges_lie_on_multiples_of_the_cell_so_that_grids_of_a_farm_fit(flat_grid):
    # the paddock's corner is a multiple of 5 m; one shifted by 2 m begins at the same lines
    shifted = Paddock("S", "EPSG:7855", box(682_002, 6_124_003, 682_298, 6_124_199))
    grid = zoning_grid(shifted, 5.0)
    assert (grid.west_m, grid.north_m) == (flat_grid.west_m, flat_grid.north_m)
    assert flat_grid.shape == (40, 60)
    assert flat_grid.inside.all()
    assert not grid.inside.all() or grid.inside.sum() == 2400


def test_a_cell_belongs_to_the_paddock_if_its_middle_does():
    hole = box(682_100, 6_124_050, 682_150, 6_124_100)
    paddock = Paddock("H", "EPSG:7855", box(682_000, 6_124_000, 682_300, 6_124_200) - hole)
    grid = zoning_grid(paddock, 5.0)
    assert grid.inside.sum() == 2400 - 100


def test_a_point_finds_its_cell_and_none_outside(flat_grid):
    x, y = cell_middles(flat_grid)
    cell = cell_of_points(flat_grid, np.array([x[3], x[0] - 9, np.nan]), np.array([y[2], y[0], 1]))
    assert cell.tolist() == [2 * 60 + 3, -1, -1]


@pytest.mark.parametrize(
    ("cell_m", "said"),
    [(0.0, "above 0"), (np.nan, "above 0"), (0.01, "would make"), (100.0, "only")],
)
def test_cells_that_cannot_be_worked_with_are_refused(flat_paddock, cell_m, said):
    with pytest.raises(GroundError, match=said):
        zoning_grid(flat_paddock, cell_m)
