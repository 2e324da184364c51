"""Autosave and recovery: after a crash at most the last few seconds are gone."""

from pathlib import Path

from PySide6.QtCore import QObject, QStandardPaths, QTimer, Slot

from vrxapp.desktop.document import FarmDocument
from vrxapp.desktop.jobs import JobRunner
from vrxapp.farm import Farm
from vrxapp.progress import Progress

DELAY_MS = 2_000


def recovery_file() -> Path:
    """Where the newest unsaved farm is kept while the program runs."""
    places = QStandardPaths.StandardLocation
    return Path(QStandardPaths.writableLocation(places.AppLocalDataLocation)) / "unsaved.gpkg"


class Autosave(QObject):
    """Writes the farm aside a moment after each edit, off the GUI thread."""

    def __init__(self, document: FarmDocument, jobs: JobRunner, parent: QObject | None) -> None:
        super().__init__(parent)
        self._document, self._jobs = document, jobs
        self._saved: Farm | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(DELAY_MS)
        self._timer.timeout.connect(self._on_timeout)
        document.changed.connect(self._timer.start)

    @Slot()
    def _on_timeout(self) -> None:
        if self._jobs.is_busy():
            self._timer.start()
            return
        farm, path = self._document.farm, recovery_file()
        if farm is not self._saved:
            self._jobs.start("Keeping a copy", lambda _: _write(farm, path), self._on_written)

    @Slot(object)
    def _on_written(self, farm: Farm) -> None:
        self._saved = farm

    def write_now(self) -> None:
        """Write the copy at once, before the program ends."""
        self._timer.stop()
        if self._document.farm is not self._saved:
            self._saved = _write(self._document.farm, recovery_file())

    def forget(self) -> None:
        """Remove the copy: the farm was saved, or the user is done with it."""
        self._timer.stop()
        recovery_file().unlink(missing_ok=True)


def _write(farm: Farm, path: Path) -> Farm:
    """Write the copy; the library for it is heavy, so it is brought in only now."""
    from vrxapp.files.farm_file import write_farm

    path.parent.mkdir(parents=True, exist_ok=True)
    write_farm(farm, path)
    return farm


def save_farm(farm: Farm, path: Path, progress: Progress) -> Path:
    """Save the farm where the user wants it; work for a job."""
    from vrxapp.files.farm_file import write_farm

    progress.step(0, 1, "Saving the farm")
    write_farm(farm, path)
    return path
