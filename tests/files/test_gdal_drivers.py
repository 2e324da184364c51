import json
import os
import pkgutil
import subprocess
import sys

import pytest

import vrxapp.files
from vrxapp.files.gdal_drivers import ALLOWED_VECTOR_DRIVERS

MODULES = [m.name for m in pkgutil.walk_packages(vrxapp.files.__path__, "vrxapp.files.")]
VIRTUAL_SHAPES = (
    '<OGRVRTDataSource><OGRVRTLayer name="real"><SrcDataSource relativeToVRT="1">real.geojson'
    "</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>"
)
VIRTUAL_RASTER = (
    '<VRTDataset rasterXSize="3" rasterYSize="2"><VRTRasterBand dataType="Float32" band="1">'
    "</VRTRasterBand></VRTDataset>"
)
REAL_SHAPES = {
    "type": "Feature",
    "properties": {},
    "geometry": {"type": "Point", "coordinates": [149.0, -35.0]},
}
IN_A_FRESH_COPY = """
import importlib, os, sys, traceback, warnings
import numpy, pandas, pydantic, pyproj, scipy, shapely  # shared by the copies; none brings GDAL

def is_refused(open_it):
    try:
        open_it()
    except Exception:
        return True
    return False

def look(module):
    if module:
        importlib.import_module(module)
    heavy = [name for name in ("pyogrio", "rasterio") if name in sys.modules]
    import pyogrio, rasterio
    warnings.simplefilter("ignore")
    shapes = is_refused(lambda: pyogrio.read_info("shapes.geojson"))
    raster = is_refused(lambda: rasterio.open("raster.tif"))
    real = is_refused(lambda: pyogrio.read_info("real.geojson"))
    print(module or "none", heavy, shapes, raster, real, flush=True)

for module in sys.argv[1:]:
    copy = os.fork()
    if copy == 0:
        try:
            look(module)
        except BaseException:
            traceback.print_exc()
        os._exit(0)
    os.waitpid(copy, 0)
"""


def run(code, *arguments, cwd=None):
    """What a fresh process prints, on stdout and on stderr."""
    clean = {k: v for k, v in os.environ.items() if not k.startswith(("GDAL_", "OGR_", "CPL_"))}
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code, *arguments],
        cwd=cwd,
        env=clean,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.rstrip("\n"), done.stderr


def test_only_the_drivers_that_are_used_are_left_and_nothing_is_complained_of():  # SEC-05
    code = "import vrxapp.files, pyogrio; print(*sorted(pyogrio.list_drivers()), sep='|')"
    printed, complained = run(code)
    assert printed.split("|") == sorted(ALLOWED_VECTOR_DRIVERS)
    assert complained == ""


def test_without_the_limit_a_driver_that_points_elsewhere_is_there():  # SEC-02
    printed, _ = run("import pyogrio; print(*pyogrio.list_drivers(), sep='|')")
    assert {"OGR_VRT", "HTTP", "WFS"} <= set(printed.split("|"))


def test_a_limit_set_after_the_library_has_loaded_comes_too_late():  # SEC-02
    code = (
        "import pyogrio; pyogrio.list_drivers(); import vrxapp.files;"
        "print('OGR_VRT' in pyogrio.list_drivers())"
    )
    assert run(code)[0] == "True"


def test_whichever_module_comes_first_virtual_files_are_refused_and_gdal_waits(tmp_path):  # SEC-01
    (tmp_path / "shapes.geojson").write_text(VIRTUAL_SHAPES)
    (tmp_path / "raster.tif").write_text(VIRTUAL_RASTER)
    (tmp_path / "real.geojson").write_text(json.dumps(REAL_SHAPES))
    printed, complained = run(IN_A_FRESH_COPY, "", *MODULES, cwd=tmp_path)
    assert complained == ""
    without, *with_ours = printed.splitlines()
    assert without == "none [] False False False"  # without ours both are opened
    assert with_ours == [f"{module} [] True True False" for module in MODULES]


@pytest.mark.parametrize("name", ["VRT", "HTTP", "WMS"])
def test_the_raster_library_loses_its_virtual_and_network_drivers_too(name):
    code = (
        "import vrxapp.files, rasterio\n"
        f"with rasterio.Env() as env: print({name!r} in env.drivers(), 'GTiff' in env.drivers())"
    )
    assert run(code)[0] == "False True"
