"""Speed of reading shapes, beside the plain library call that only fetches their bytes."""

import time

import numpy as np
import pytest
import shapely

from vrxapp.files import gdal_drivers
from vrxapp.files.formats import read_features

pytestmark = pytest.mark.benchmark
COUNT = 100_000
CORNERS = 8
FIELDS = ("zone", "soil", "ph", "colwell_p", "cell", "rate")


def polygons():
    """Eight-cornered cells side by side, as a zone map of a farm may hold them."""
    turn = np.linspace(0.0, 2.0 * np.pi, CORNERS, endpoint=False)
    index = np.arange(COUNT)
    x = 148.0 + (index % 400)[:, None] * 0.001 + 0.0004 * np.cos(turn)
    y = -35.0 + (index // 400)[:, None] * 0.001 + 0.0004 * np.sin(turn)
    return shapely.polygons(np.stack([x, y], axis=-1))


def write(path, driver):
    """A layer with two texts, two measured numbers, a number of the cell and a rate."""
    import pyogrio.raw

    rng = np.random.default_rng(1)
    columns = [
        np.array([f"Zone {k % 40}" for k in range(COUNT)], dtype=object),
        np.array(["clay loam", "sand", "loam"], dtype=object)[rng.integers(0, 3, COUNT)],
        rng.uniform(4, 8, COUNT),
        rng.uniform(5, 60, COUNT),
        np.arange(COUNT),
        rng.uniform(0, 150, COUNT),
    ]
    pyogrio.raw.write(
        path,
        shapely.to_wkb(polygons()),
        columns,
        list(FIELDS),
        geometry_type="Polygon",
        crs="EPSG:4326",
        driver=driver,
    )


def shortest_s(work, times=5):
    """Shortest of several runs, in seconds."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


@pytest.mark.parametrize(("name", "driver"), [("a.gpkg", "GPKG"), ("a.shp", "ESRI Shapefile")])
def test_reading_and_checking_costs_less_than_twice_the_plain_call(tmp_path, capsys, name, driver):
    gdal_drivers.limit_drivers()
    import pyogrio.raw

    path = tmp_path / name
    write(path, driver)
    assert len(read_features(path).shapes) == COUNT
    plain_s = shortest_s(lambda: pyogrio.raw.read(path))
    ours_s = shortest_s(lambda: read_features(path))
    with capsys.disabled():
        print(
            f"\n{driver}, {COUNT:,} polygons: {ours_s:.3f} s; {ours_s / plain_s:.2f} x plain call"
        )
    assert ours_s < 2 * plain_s
