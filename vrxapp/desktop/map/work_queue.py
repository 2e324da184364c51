"""Work in small slices on the window's own thread, so that no frame waits for it.

Painting gains nothing from other threads: from Python, QPainter holds the
interpreter's lock.
"""

import time
from collections.abc import Callable, Iterator

from PySide6.QtCore import QObject, QTimer, Signal, Slot
from shiboken6 import isValid

#: Longest stretch of work between two looks at the user. [s]
BUDGET_S = 0.008

DONE = object()
Work = Callable[[], Iterator[None]]


class WorkQueue(QObject):
    """Pieces of work, each under a key, done one after another in slices."""

    finished = Signal(object)  # the key of a piece of work

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._waiting: dict[object, Work] = {}
        self._key: object = None
        self._running: Iterator[None] | None = None
        self._timer = QTimer(self, interval=0)
        self._timer.timeout.connect(self._on_turn)

    def replace(self, waiting: dict[object, Work]) -> None:
        """Do this work, in this order; what is begun and still wanted is finished first."""
        self._waiting = dict(waiting)
        if self._key in self._waiting:
            del self._waiting[self._key]
        elif self._running is not None:
            self.abandon()
        if self._waiting or self._running is not None:
            self._timer.start()

    def abandon(self) -> None:
        """Drop the piece of work that is begun, for instance because its ground has changed."""
        if self._running is not None:
            self._running.close()
        self._key, self._running = None, None

    @Slot()
    def _on_turn(self) -> None:
        """Work until the budget is spent or nothing is left."""
        end = time.perf_counter() + BUDGET_S
        # The window, and this queue with it, may be collected in the middle of the work.
        while isValid(self) and time.perf_counter() < end:
            if self._running is None:
                if not self._waiting:
                    self._timer.stop()
                    return
                self._key = next(iter(self._waiting))
                self._running = self._waiting.pop(self._key)()
            if next(self._running, DONE) is DONE and isValid(self):
                key, self._key, self._running = self._key, None, None
                self.finished.emit(key)
