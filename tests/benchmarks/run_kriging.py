"""One kriging run in a process of its own, so that its time and memory are its own.

Prints seconds and megabytes beyond those held before as JSON. Usage:
``run_kriging.py own|peer SAMPLES ROWS [DETAIL]``; a row has a thousand cells.
"""

import json
import re
import sys
import time
from pathlib import Path

import numpy as np
from pykrige.ok import OrdinaryKriging
from shapely import box

from vrxapp.ground.grid import column_eastings_m, paddock_grid, row_northings_m
from vrxapp.ground.kriging import Detail, kriged_grid
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.sample_points import SamplePoints
from vrxapp.ground.variogram import Model, Variogram

COLUMNS, CELL_M = 1000, 2.0
NUGGET, PARTIAL_SILL, RANGE_M = 0.1, 0.9, 400.0


def held_mb(field):
    """Memory of this process now (VmRSS) or at its highest (VmHWM)."""
    status = Path("/proc/self/status").read_text("ascii")
    return int(re.search(rf"{field}:\s+(\d+) kB", status)[1]) / 1024


def own(samples, grid, detail):
    length_m = RANGE_M / 3.0
    variogram = Variogram(Model.EXPONENTIAL, NUGGET, PARTIAL_SILL, length_m)
    cells, loss = kriged_grid(samples, variogram, grid, detail=detail)
    told = {name: getattr(loss, name) for name in loss.__slots__} if loss else {}
    return cells.mean, cells.standard_error, told


def peer(samples, grid, _):
    solver = OrdinaryKriging(
        *(samples.easting_m, samples.northing_m, samples.values),
        variogram_model="exponential",
        variogram_parameters={"psill": PARTIAL_SILL, "range": RANGE_M, "nugget": NUGGET},
    )
    axes = column_eastings_m(grid), row_northings_m(grid)
    mean, variance = solver.execute("grid", *axes, backend="vectorized")
    return np.asarray(mean), np.sqrt(np.asarray(variance)), {}


def main():
    who, count, rows = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    detail = Detail[sys.argv[4]] if len(sys.argv) > 4 else Detail.EXACT
    rng = np.random.default_rng(1)
    east, north = rng.uniform(0.0, COLUMNS * CELL_M, (2, count))
    values = np.sin(east / 150.0) + np.cos(north / 120.0) + rng.normal(0.0, 0.3, count)
    samples = SamplePoints(east, north, values)
    ground = box(0.0, 0.0, COLUMNS * CELL_M, rows * CELL_M)
    grid = paddock_grid(Paddock("Flat", "EPSG:7855", ground), CELL_M)
    before_mb, start = held_mb("VmRSS"), time.perf_counter()
    mean, error, loss = {"own": own, "peer": peer}[who](samples, grid, detail)
    seconds = time.perf_counter() - start
    print(
        json.dumps(
            {
                "seconds": seconds,
                "peak_mb": held_mb("VmHWM") - before_mb,
                "mean": mean[:: rows // 10, ::100].ravel().tolist(),
                "error": error[:: rows // 10, ::100].ravel().tolist(),
                "loss": loss,
            }
        )
    )


if __name__ == "__main__":
    main()
