"""The start: light until the first paint, and safe against a binding that loses references."""

import subprocess
import sys

import pytest

from vrxapp.desktop import refcount_guard
from vrxapp.desktop.refcount_guard import none_refcount_is_safe

HEAVY = ("geopandas", "pandas", "rasterio", "scipy", "sklearn", "matplotlib")
SHOWN = """
import sys
from vrxapp.desktop.application import application, fill
from vrxapp.desktop.main_window import MainWindow
app = application()
window = MainWindow()
window.show()
app.processEvents()
print(*(name for name in {heavy!r} if name in sys.modules), sep=",")
fill(window)
while not window.map.is_sharp():
    app.processEvents()
print(*(name for name in {heavy!r} if name in sys.modules), sep=",")
"""


def test_nothing_heavy_is_brought_in_before_the_sample_farm_is_painted(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    ended = subprocess.run(
        [sys.executable, "-c", SHOWN.format(heavy=HEAVY)],
        capture_output=True,
        text=True,
        check=True,
    )
    assert ended.stdout == "\n\n"


def test_this_binding_keeps_its_references(qapp):
    assert none_refcount_is_safe()


@pytest.mark.parametrize("lost_a_call", [1, -1])
def test_a_binding_that_loses_references_is_found_out(qapp, monkeypatch, lost_a_call):
    counts = iter([10_000, 10_000 - 1_000 * lost_a_call])
    monkeypatch.setattr(refcount_guard.sys, "getrefcount", lambda _: next(counts))
    assert not none_refcount_is_safe()
