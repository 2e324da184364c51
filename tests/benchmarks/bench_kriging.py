"""Speed and memory of kriging a million cells, beside pykrige's fastest way.

Each run has a process of its own; both take turns, so that they meet the same load, and
the shortest of several runs counts. Matrix products get one thread each: on a busy
machine two wait for each other, and what is measured is the waiting.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

pytestmark = pytest.mark.benchmark
RUN = Path(__file__).with_name("run_kriging.py")
ONE_THREAD = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
SILL = 1.0
ROWS, PEER_ROWS = 1000, 50


def run(*arguments):
    """One run in a process of its own, as `run_kriging.py` tells."""
    command = [sys.executable, str(RUN), *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True, check=True, env=ONE_THREAD)
    return json.loads(done.stdout)


def quickest(times, *runs):
    """The shortest of several runs of each, turn about."""
    taken = [[run(*arguments) for arguments in runs] for _ in range(times)]
    return [min(column, key=lambda r: r["seconds"]) for column in zip(*taken, strict=True)]


def most_off(one, other, what):
    return float(np.max(np.abs(np.subtract(one[what], other[what]))))


def test_200_samples_to_a_million_cells_with_error(capsys):
    own, peer = quickest(3, ("own", 200, ROWS), ("peer", 200, ROWS))
    ratio, memory = peer["seconds"] / own["seconds"], peer["peak_mb"] / own["peak_mb"]
    with capsys.disabled():
        print(
            f"\n200 samples, 1 M cells, mean and error: own {own['seconds']:.2f} s and "
            f"{own['peak_mb']:.0f} MB, pykrige {peer['seconds']:.1f} s and "
            f"{peer['peak_mb']:.0f} MB: {ratio:.1f} x faster, 1/{memory:.0f} of the memory; "
            f"means differ by {most_off(own, peer, 'mean'):.0e}, "
            f"errors by {most_off(own, peer, 'error'):.0e}"
        )
    assert most_off(own, peer, "mean") < 1e-9
    assert most_off(own, peer, "error") < 1e-9 * SILL
    assert ratio >= 8.0
    assert memory > 20.0


def test_1000_samples_to_a_million_cells_the_faster_ways(capsys):
    """The peer would need some 40 GB: it is run on a twentieth of the cells, times 20."""
    single, fourth, peer = quickest(
        3,
        ("own", 1000, ROWS, "SINGLE_PRECISION"),
        ("own", 1000, ROWS, "ERROR_EVERY_FOURTH_CELL"),
        ("peer", 1000, PEER_ROWS),
    )
    peer_s = peer["seconds"] * ROWS / PEER_ROWS
    with capsys.disabled():
        print(f"\n1000 samples, 1 M cells; pykrige {peer_s:.0f} s (from a twentieth of the cells)")
        for name, own in (("single precision", single), ("error at every fourth", fourth)):
            print(
                f"  {name}: {own['seconds']:.2f} s, {peer_s / own['seconds']:.1f} x faster, "
                f"{own['peak_mb']:.0f} MB, loss {own['loss']}"
            )
    assert max(single["loss"]["mean_largest"], single["loss"]["error_largest"]) < 1e-4
    assert fourth["loss"]["mean_largest"] < 1e-4
    assert fourth["loss"]["error_typical"] < 0.05 * SILL
    assert peer_s / single["seconds"] >= 6.0
    assert peer_s / fourth["seconds"] >= 20.0
