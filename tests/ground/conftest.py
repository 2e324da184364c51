"""Small paddocks and zones for the tests of the ground."""

import numpy as np
import pytest
import shapely
from shapely import box

from vrxapp.ground.exclusions import Exclusion, ExclusionKind
from vrxapp.ground.grid_layers import GridLayer
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.zones import Zones
from vrxapp.ground.zoning_grid import zoning_grid

EAST, NORTH = 682_000.0, 6_124_000.0


@pytest.fixture
def flat():
    """A square paddock of 4 ha at the origin."""
    return Paddock("Flat", "EPSG:7855", box(0, 0, 200, 200))


@pytest.fixture
def quarters():
    """Four zones of 1 ha that meet in the middle of `flat`: SW, SE, NW, NE."""
    shapes = [box(x, y, x + 100, y + 100) for y in (0, 100) for x in (0, 100)]
    return Zones(
        ("sw", "se", "nw", "ne"),
        ("South west", "South east", "North west", "North east"),
        np.array(shapes, dtype=object),
    )


@pytest.fixture
def crooked():
    """A paddock far from the origin with a hole and a dam, and a curve for a boundary."""
    rim = shapely.affinity.translate(shapely.Point(0, 0).buffer(300, quad_segs=9), EAST, NORTH)
    hole = box(EAST, NORTH, EAST + 40, NORTH + 70)
    pond = shapely.Point(EAST - 120, NORTH - 60).buffer(25)
    dam = Exclusion("Dam", ExclusionKind.DAM, pond, 20.0)
    return Paddock("Crooked", "EPSG:7855", rim.difference(hole), (dam,))


@pytest.fixture
def tiles():
    """Whether zones tile a paddock: the claim that every edit must keep."""

    def check(zones, paddock):
        assert shapely.coverage_is_valid(zones.shapes)
        assert shapely.is_empty(shapely.coverage_invalid_edges(zones.shapes)).all()
        assert np.all(shapely.area(zones.shapes) > 0.0)
        assert shapely.area(zones.shapes).sum() == pytest.approx(paddock.boundary.area, abs=1.0)
        ground = shapely.coverage_union_all(zones.shapes)
        assert shapely.symmetric_difference(ground, paddock.boundary).area < 1.0

    return check


@pytest.fixture(scope="session")
def flat_paddock():
    """300 m by 200 m, 6 ha, without exclusions."""
    return Paddock("Flat", "EPSG:7855", box(EAST, NORTH, EAST + 300, NORTH + 200))


@pytest.fixture(scope="session")
def flat_grid(flat_paddock):
    """Its cells of 5 m: 40 rows of 60."""
    return zoning_grid(flat_paddock, 5.0)


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
