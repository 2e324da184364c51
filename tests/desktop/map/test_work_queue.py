"""Work in slices: in order, a little at a time, and never after its time."""

import time

import pytest
from PySide6.QtWidgets import QApplication
from shiboken6 import delete, isValid

from vrxapp.desktop.map.map_view import MapView
from vrxapp.desktop.map.work_queue import BUDGET_S, WorkQueue


@pytest.fixture
def queue(qapp):
    return WorkQueue()


@pytest.fixture
def diary():
    return []


@pytest.fixture
def work(diary):
    """Work that writes down its name at each of some steps."""

    def begin(name, steps):
        def steps_of_work():
            try:
                for step in range(steps):
                    diary.append((name, step))
                    yield
            finally:
                diary.append((name, "end"))

        return steps_of_work

    return begin


def test_work_is_done_in_order_and_told(qtbot, queue, work, diary):
    finished = []
    queue.finished.connect(finished.append)
    queue.replace({"a": work("a", 2), "b": work("b", 1)})
    qtbot.waitUntil(lambda: finished == ["a", "b"])
    assert diary == [("a", 0), ("a", 1), ("a", "end"), ("b", 0), ("b", "end")]


def test_a_turn_ends_when_its_time_is_spent(qtbot, queue):
    turns = []

    def endless():
        while True:
            turns.append(time.perf_counter())
            yield

    queue.replace({"endless": endless})
    start = time.perf_counter()
    QApplication.processEvents()
    assert len(turns) > 10
    assert turns[-1] - turns[0] < 4 * BUDGET_S
    assert turns[0] >= start
    queue.replace({})


def test_work_begun_and_still_wanted_is_finished_first(qtbot, queue, work, diary):
    queue.replace({"long": work("long", 10**9)})
    qtbot.waitUntil(lambda: len(diary) > 0)
    queue.replace({"new": work("new", 1), "long": work("long", 3)})
    QApplication.processEvents()
    assert all(name == "long" for name, _ in diary)
    queue.replace({})


def test_work_no_longer_wanted_is_closed(qtbot, queue, work, diary):
    queue.replace({"long": work("long", 10**9)})
    qtbot.waitUntil(lambda: len(diary) > 0)
    queue.replace({"new": work("new", 1)})
    assert diary[-1] == ("long", "end")
    qtbot.waitUntil(lambda: diary[-2:] == [("new", 0), ("new", "end")])


def test_a_map_that_goes_in_the_middle_of_its_work_goes_quietly(qtbot, qapp, diary):
    view = MapView()

    class LastLayer:
        name, rows, margin_px, opacity, has_drafts = "last", 0, 0.0, 1.0, False
        bounds = (0.0, 0.0, 100.0, 100.0)

        def paint(self, painter, frame):
            diary.append("begun")
            delete(view)
            yield
            diary.append("went on")

    view.resize(300, 200)
    view.set_layers([LastLayer()])
    with qtbot.captureExceptions() as raised:
        qtbot.waitUntil(lambda: bool(diary))
        qapp.processEvents()
        qapp.processEvents()
    assert raised == []
    assert diary == ["begun"]
    assert not isValid(view)
