"""Grids and layers made in the tests, so that every sum can be done by hand."""

import numpy as np
import pytest
from shapely import box

from vrxapp.ground.grid_layers import GridLayer
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.paddock_grid import paddock_grid

EAST, NORTH = 682_000.0, 6_124_000.0


@pytest.fixture(scope="session")
def flat_paddock():
    """300 m by 200 m, 6 ha, without exclusions."""
    return Paddock("Flat", "EPSG:7855", box(EAST, NORTH, EAST + 300, NORTH + 200))


@pytest.fixture(scope="session")
def flat_grid(flat_paddock):
    """Its cells of 5 m: 40 rows of 60."""
    return paddock_grid(flat_paddock, 5.0)


@pytest.fixture(scope="session")
def layer_of():
    """Makes a layer from values."""

    def made(values, name="layer", unit=""):
        return GridLayer(name, unit, np.array(values, dtype=float))

    return made


@pytest.fixture(scope="session")
def three_blocks(flat_grid, layer_of):
    """Two layers in which three blocks of columns stand apart, with a little noise."""
    rng = np.random.default_rng(7)
    block = np.repeat([0, 1, 2], 20)
    low = np.tile(np.array([10.0, 20.0, 40.0])[block], (40, 1))
    high = np.tile(np.array([5.0, 9.0, 1.0])[block], (40, 1))
    noise = rng.normal(size=(2, 40, 60))
    return (
        [layer_of(low + noise[0], "conductivity"), layer_of(high + 0.2 * noise[1], "index")],
        np.tile(block, (40, 1)),
    )
