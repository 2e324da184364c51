import os
import subprocess
import sys

import pytest

from vrxapp.files.gdal_drivers import ALLOWED_VECTOR_DRIVERS


def run(code):
    """What a fresh process prints, on stdout and on stderr."""
    clean = {k: v for k, v in os.environ.items() if not k.startswith(("GDAL_", "OGR_", "CPL_"))}
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code],
        env=clean,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.split("\n")[0], done.stderr


def test_only_the_drivers_that_are_used_are_left_and_nothing_is_complained_of():  # SEC-05
    code = (
        "import vrxapp.files.gdal_drivers, pyogrio; print(*sorted(pyogrio.list_drivers()), sep='|')"
    )
    printed, complained = run(code)
    assert printed.split("|") == sorted(ALLOWED_VECTOR_DRIVERS)
    assert complained == ""


def test_without_the_limit_a_driver_that_points_elsewhere_is_there():  # SEC-02
    printed, _ = run("import pyogrio; print(*pyogrio.list_drivers(), sep='|')")
    assert {"OGR_VRT", "HTTP", "WFS"} <= set(printed.split("|"))


def test_a_limit_set_after_the_library_has_loaded_comes_too_late():  # SEC-02
    code = (
        "import pyogrio; pyogrio.list_drivers(); import vrxapp.files.gdal_drivers;"
        "print('OGR_VRT' in pyogrio.list_drivers())"
    )
    assert run(code)[0] == "True"


def test_reading_a_file_sets_the_limit_before_the_library_loads(tmp_path):
    path = tmp_path / "a.shp"
    code = (
        "import sys, pathlib; from vrxapp.files.gdal_reading import GdalSource, gdal_info\n"
        "assert 'pyogrio' not in sys.modules\n"
        f"path = pathlib.Path({str(path)!r})\n"
        "try: gdal_info(GdalSource(path, 'a', driver='GPKG', kind='GeoPackage'))\n"
        "except Exception as error: import pyogrio; print('OGR_VRT' in pyogrio.list_drivers())"
    )
    assert run(code)[0] == "False"


@pytest.mark.parametrize("name", ["VRT", "HTTP", "WMS"])
def test_the_raster_library_loses_its_virtual_and_network_drivers_too(name):
    code = (
        "import vrxapp.files.gdal_drivers, rasterio\n"
        f"with rasterio.Env() as env: print({name!r} in env.drivers(), 'GTiff' in env.drivers())"
    )
    assert run(code)[0] == "False True"
