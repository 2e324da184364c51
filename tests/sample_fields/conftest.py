"""The invented farm made once for all its tests, and the eyes that look at it."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pyproj
import pytest
import shapely

SHIPPED = Path(__file__).parents[2] / "sample_fields"


def _make(folder: Path) -> subprocess.CompletedProcess[str]:
    script = str(SHIPPED / "make_sample_fields.py")
    command = [sys.executable, "-B", "-W", "error", script, str(folder)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


@pytest.fixture(scope="session")
def make() -> Callable[[Path], subprocess.CompletedProcess[str]]:
    """Makes the farm in a folder, with a Python of its own."""
    return _make


@pytest.fixture(scope="session")
def shipped() -> Path:
    """The farm that travels with the program."""
    return SHIPPED


@pytest.fixture(scope="session")
def remade(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The farm made anew."""
    folder = tmp_path_factory.mktemp("farm") / "made"
    done = _make(folder)
    assert done.returncode == 0, done.stderr
    return folder


@pytest.fixture(scope="session")
def geodesic_ha() -> Callable[[shapely.Geometry], float]:
    """Measures hectares on the ellipsoid, from longitude and latitude."""

    def hectares(shape):
        oriented = shapely.orient_polygons(shape, exterior_cw=False)
        return pyproj.Geod(ellps="WGS84").geometry_area_perimeter(oriented)[0] / 1e4

    return hectares
