"""Jobs: off the GUI thread, told step by step, stopped when asked, failing into one handler."""

import threading

import pytest

from vrxapp.desktop.jobs import JobRunner
from vrxapp.errors import WriteError


@pytest.fixture
def jobs(qtbot):
    runner = JobRunner()
    yield runner
    runner.cancel()
    runner.wait(5_000)


def test_a_result_arrives_on_the_gui_thread(qtbot, jobs):
    seen = []

    def work(progress):
        progress.step(1, 2, "half way")
        return threading.get_ident()

    with qtbot.waitSignals([jobs.stepped, jobs.finished]):
        jobs.start("Working", work, lambda result: seen.append((result, threading.get_ident())))
    ((worker, receiver),) = seen
    assert receiver == threading.get_ident()
    assert worker != receiver


def test_a_cancelled_job_brings_nothing(qtbot, jobs):
    under_way, seen = threading.Event(), []

    def work(progress):
        under_way.set()
        while True:
            progress.step(0, 1, "for ever")

    with qtbot.waitSignal(jobs.finished):
        jobs.start("Working", work, seen.append)
        under_way.wait(5)
        jobs.cancel()
    assert seen == []
    assert not jobs.is_busy()


def test_a_result_that_is_refused_is_told_and_the_window_is_idle_again(qtbot, jobs):
    def refuse(_result):
        raise WriteError("the disk is full")

    told = []
    jobs.failed.connect(told.append)
    with qtbot.waitSignal(jobs.finished):
        jobs.start("Working", lambda _: 1, refuse)
    assert [str(error) for error in told] == ["the disk is full."]
    assert not jobs.is_busy()


def test_an_error_is_told_and_the_next_job_runs(qtbot, jobs):
    def fail(_progress):
        raise WriteError("the disk is full")

    with qtbot.waitSignal(jobs.failed) as told:
        jobs.start("Working", fail, lambda _: None)
    assert str(told.args[0]) == "the disk is full."
    with qtbot.waitSignal(jobs.finished):
        jobs.start("Working", lambda _: 1, lambda _: None)
