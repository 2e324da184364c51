"""Long work off the GUI thread: frozen inputs in, one result out, cancel at any step."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, wait
from threading import Event
from typing import Any

from PySide6.QtCore import QObject, Signal, Slot

from vrxapp.errors import VrxError
from vrxapp.progress import Cancelled, Progress

Work = Callable[[Progress], Any]


class JobRunner(QObject):
    """Runs one job after another in the background and tells the window how it goes.

    The thread is Python's own and stays for as long as the program runs: the
    coordinate library keeps a context in each thread, which must outlive its use.
    """

    started = Signal(str)  # what is being done
    stepped = Signal(int, int, str)  # done, total, stage
    finished = Signal()  # the last job has ended, however it ended
    failed = Signal(object)  # the exception
    _ended = Signal(object, object, object)  # job, result, exception; carried to the GUI thread

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="vrxapp-job")
        self._running: list[_Job] = []
        self._ended.connect(self._on_ended)

    def start(self, text: str, work: Work, on_done: Callable[[Any], None]) -> None:
        """Do some work in the background; `on_done` gets its result on the GUI thread."""
        job = _Job(self, work, on_done)
        self._running.append(job)
        self.started.emit(text)
        job.future = self._thread.submit(job.run)

    def is_busy(self) -> bool:
        """Whether a job runs or waits."""
        return bool(self._running)

    @Slot()
    def cancel(self) -> None:
        """Ask every job to stop at its next step; a cancelled job leaves no trace."""
        for job in self._running:
            job.stop.set()

    def wait(self, milliseconds: int) -> bool:
        """Wait for the running jobs, for instance before the program ends."""
        futures = [job.future for job in self._running]
        return not wait(futures, timeout=milliseconds / 1000).not_done

    @Slot(object, object, object)
    def _on_ended(self, job: "_Job", result: Any, error: Exception | None) -> None:
        self._running.remove(job)
        try:
            if error is None:
                job.on_done(result)
            elif not isinstance(error, Cancelled):
                self.failed.emit(error)
        except VrxError as refused:  # the result cannot be used as things stand now
            self.failed.emit(refused)
        finally:
            if not self._running:
                self.finished.emit()


class _Job:
    """One piece of work, and the progress that it reports to."""

    def __init__(self, runner: JobRunner, work: Work, on_done: Callable[[Any], None]) -> None:
        self.stop = Event()
        self.on_done = on_done
        self._runner, self._work = runner, work

    def run(self) -> None:
        """Do the work on the background thread."""
        result, error = None, None
        try:
            self.step(0, 0, "")
            result = self._work(self)
        except Exception as caught:
            # The edge of the thread: whatever went wrong is handed on, to be shown.
            error = caught
        self._runner._ended.emit(self, result, error)

    def step(self, done: int, total: int, stage: str) -> None:
        """Report a step, or stop if that was asked for."""
        if self.stop.is_set():
            raise Cancelled
        if stage:
            self._runner.stepped.emit(done, total, stage)
