"""Start of the program beside that of a bare Qt window, each in a fresh process."""

import os
import statistics
import subprocess
import sys
import time

import pytest

pytestmark = pytest.mark.benchmark
ROUNDS = 7
BARE = """
from PySide6.QtWidgets import QApplication, QMainWindow
app = QApplication([])
class Window(QMainWindow):
    def paintEvent(self, event):
        super().paintEvent(event)
        print("painted", flush=True)
window = Window()
window.resize(1280, 720)
window.show()
app.processEvents()
"""
EMPTY = """
from vrxapp.desktop.application import application
from vrxapp.desktop.main_window import MainWindow
app = application()
window = MainWindow()
window.show()
app.processEvents()
window.grab()
print("painted", flush=True)
"""
SAMPLE = """
import sys
from vrxapp.desktop.application import application, fill
from vrxapp.desktop.main_window import MainWindow
app = application()
window = MainWindow()
window.show()
app.processEvents()
fill(window)
while not window.map.is_sharp():
    app.processEvents()
print("painted", flush=True)
"""


def seconds_until_painted(code, home):
    """Shortest time from the start of a process to its word that it has painted."""
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "XDG_DATA_HOME": str(home),
                   "XDG_CONFIG_HOME": str(home)}  # fmt: skip
    # an installed program keeps its compiled modules; without them each start compiles anew
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    taken = []
    for _ in range(ROUNDS + 1):
        start = time.perf_counter()
        with subprocess.Popen(
            [sys.executable, "-c", code], env=environment, stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL, text=True,
        ) as child:  # fmt: skip
            assert child.stdout.readline().strip() == "painted"
            taken.append(time.perf_counter() - start)
    return statistics.median(taken[1:])  # the first may have compiled


def test_the_window_opens_almost_as_fast_as_a_bare_one(tmp_path, capsys):
    bare_s = seconds_until_painted(BARE, tmp_path)
    empty_s = seconds_until_painted(EMPTY, tmp_path)
    sample_s = seconds_until_painted(SAMPLE, tmp_path)
    with capsys.disabled():
        print(
            f"\nstart: bare window {bare_s:.3f} s; empty window {empty_s:.3f} s "
            f"({empty_s / bare_s:.2f} x); sample farm painted {sample_s:.3f} s "
            f"({sample_s / bare_s:.2f} x)"
        )
    assert empty_s / bare_s <= 2.0
    assert sample_s / bare_s <= 8.0
